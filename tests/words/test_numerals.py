"""Numbers as each language writes them."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.meaning import Runs, Tell, runs
from assistant.words.language import codes, load
from assistant.words.phrases import Phrases

THIN, WHOLE = "\u202f", "\u00a0"  # blanks at which no line is broken


@pytest.mark.parametrize(
    ("code", "thousand", "million", "part"),
    [
        ("en", "1,234", "1,234,567", "2.5"),
        ("ko", "1,234", "1,234,567", "2.5"),
        ("de", "1.234", "1.234.567", "2,5"),
        ("fr", f"1{THIN}234", f"1{THIN}234{THIN}567", "2,5"),
        ("fi", f"1{WHOLE}234", f"1{WHOLE}234{WHOLE}567", "2,5"),
        ("sv", f"1{WHOLE}234", f"1{WHOLE}234{WHOLE}567", "2,5"),
        ("es", "1234", f"1{WHOLE}234{WHOLE}567", "2,5"),
    ],
)
def test_thousands_and_decimals(code: str, thousand: str, million: str, part: str) -> None:
    numerals = load(code).numerals
    assert [numerals.plain(number) for number in (1234, 1234567, 2.5)] == [thousand, million, part]


def test_a_tail_of_zeros_is_left_out_or_kept() -> None:
    english, german = load("en").numerals, load("de").numerals
    assert [english.plain(number) for number in (20.0, 12.60, 1224.004, 100)] == ["20", "12.6", "1,224", "100"]
    assert [german.plain(number, 0) for number in (1000, 1000.4)] == ["1.000", "1.000"]
    assert [german.fixed(5, 1), german.fixed(1234.56, 1), german.fixed(-1234, 0)] == ["5,0", "1.234,6", "-1.234"]


def test_every_language_tells_its_numbers() -> None:
    assert {code: load(code).numerals.runs(runs([3, 4, 5, 7])) for code in codes()} == {
        "de": "3 bis 5, 7",
        "en": "3 to 5, 7",
        "es": "3 a 5, 7",
        "fi": "3–5, 7",
        "fr": "3 à 5, 7",
        "ko": "3~5, 7",
        "sv": "3 till 5, 7",
    }


@pytest.mark.parametrize(
    ("numbers", "most", "told"),
    [
        ([], None, ""),
        ([7], None, "7"),
        ([4, 5], None, "4, 5"),
        ([1, 3, 4, 5, 9, 10], None, "1, 3 to 5, 9, 10"),
        ([999, 1000, 1001], None, "999 to 1,001"),
        ([1, 3, 4, 5, 9], 2, "1, 3 to 5, …"),
        ([1, 3, 4, 5], 2, "1, 3 to 5"),
    ],
)
def test_numbers_that_follow_on_are_told_as_a_run(numbers: list[int], most: int | None, told: str) -> None:
    assert load("en").numerals.runs(runs(numbers, most)) == told


@given(st.sets(st.integers(1, 60)).map(sorted))
def test_runs_hold_the_same_numbers(numbers: list[int]) -> None:
    spans = runs(numbers).spans
    assert [number for first, last in spans for number in range(first, last + 1)] == numbers
    assert all(last + 1 < first for (_, last), (first, _) in pairwise(spans))


def test_numbers_in_the_places_of_phrases_to_read_are_written_so() -> None:
    phrases = Phrases.read(load("de"), "paper")
    assert phrases.text("ends", count=1224, number=1224) == "1.224 Fäden"
    assert phrases.told(Tell("per cm", number=62.5)) == "62,5 auf 10 cm"
    assert phrases.text("as", group=Runs(((1, 3),))) == "wie 1 bis 3"


def test_digits_to_be_spoken_stand_as_they_are() -> None:
    english = load("en").paper
    assert Phrases(english, english).text("dents left empty", count=1224) == "1224 dents left empty"
