"""The words of each language: whole, spoken as num2words speaks them, and told apart."""

import re
import string
import sys
import unicodedata
from collections import Counter
from collections.abc import Iterator
from itertools import combinations, product
from typing import Any

import numpy as np
import pytest
from num2words import num2words

from assistant.errors import LanguageError
from assistant.senses.lesson.lesson import LessonWords
from assistant.senses.mouth import SPEED
from assistant.senses.mouth.player import MOUTH_RATE
from assistant.senses.mouth.voicebox import Voicebox
from assistant.senses.mouth.voices import choose
from assistant.session.events import Kind
from assistant.session.place import Course
from assistant.session.telling import told
from assistant.warp.model import MOST_SHAFTS
from assistant.warp.passes import PASSES, SLEY, TIE, Pass
from assistant.warp.sequence import loads
from assistant.words.language import Phrase, codes, load
from assistant.words.speech import Lettering
from assistant.words.wording import VERBS, Wording

TOLD = """
{shafts: 4, unit: inch, reed: 10, sley: [2, 0, 3], reed_width: 99, yarns: {flax: {}, rust: {}}, groups: [
  {thread: 44(1 2/3), yarn: "2 flax, 1 rust"}, {thread: 33(1), yarn: flax}, {thread: 3(4)}]}
"""
NOT_SPOKEN = {
    Kind.SIT_DOWN,
    Kind.LEAVE,
    Kind.NUMBER,
    Kind.READ,
    Kind.UNCLEAR,
    Kind.THREADED_BEFORE,
    Kind.HEDDLES_COUNTED,
    Kind.CLOCK_SET,
    Kind.SLEPT,
    Kind.EDITED,
}


@pytest.mark.parametrize("code", codes())
def test_numbers_are_those_of_num2words(code: str) -> None:
    """Source: the library num2words, from PyPI."""
    numbers = load(code).numbers
    assert len(numbers) == 100 > MOST_SHAFTS
    assert [number.replace("-", " ") for number in numbers] == [
        num2words(n, lang=code).replace("-", " ") for n in range(100)
    ]


@pytest.mark.parametrize("code", codes())
def test_numbers_that_sound_alike_are_shafts_each_pair_once_and_share_a_letter(code: str) -> None:
    """Letters are counted with their marks apart, and Hangul by its jamo (Unicode's decomposition, NFD)."""
    alike, numbers = load(code).alike, load(code).numbers
    assert len(alike) == len(set(alike)) >= 8
    assert all(1 <= one < other < len(numbers) for one, other in alike)
    assert max(Counter(number for pair in alike for number in pair).values()) <= 4
    assert all(
        set(unicodedata.normalize("NFD", numbers[one])) & set(unicodedata.normalize("NFD", numbers[other]))
        for one, other in alike
    )


def test_each_language_has_pairs_of_its_own() -> None:
    assert len({load(code).alike for code in codes()}) == len(codes())


def steps(one: str, other: str) -> int:
    """The edit distance of two texts: letters to add, to take away or to change (Levenshtein 1966)."""
    row = list(range(len(other) + 1))
    for n, letter in enumerate(one, 1):
        before, row[0] = row[0], n
        for m, opposite in enumerate(other, 1):
            before, row[m] = row[m], min(row[m] + 1, row[m - 1] + 1, before + (letter != opposite))
    return row[-1]


@pytest.mark.parametrize("code", codes())
def test_every_word_is_a_text(code: str) -> None:
    """YAML takes an unquoted yes, no, on, off or null for something else."""
    language = load(code)
    words = [*language.decoys, *language.numbers, *(word for spoken in language.commands.values() for word in spoken)]
    assert all(isinstance(word, str) and word == word.strip() != "" for word in words)
    assert len(language.decoys) == len(set(language.decoys))


@pytest.mark.parametrize("code", codes())
def test_two_shafts_told_together_are_no_third(code: str) -> None:
    """Three and twenty would be 23 in German, where numbers are made so."""
    language = load(code)
    numbers = {number.replace(" ", "").replace("-", "") for number in language.numbers}
    assert not numbers & {
        f"{one}{language.phrases['and']}{other}" for one, other in product(language.numbers, repeat=2)
    }


@pytest.mark.parametrize("code", codes())
def test_every_command_has_a_word_and_no_word_two_meanings(code: str) -> None:
    commands = load(code).commands
    assert set(commands) == {kind.value for kind in Kind} - {kind.value for kind in NOT_SPOKEN}
    words = [word for spoken in commands.values() for word in spoken]
    assert len(words) == len(set(words))
    assert not set(words) & {*load(code).decoys, *load(code).numbers}


@pytest.mark.parametrize("code", codes())
def test_what_is_said_over_paper_is_told_apart_from_all_else(code: str) -> None:
    language = load(code)
    assert set(language.writing_commands) - {kind.value for kind in Kind} == {"mirror", "name", "colour", "times"}
    ours = [word for words in language.writing_commands.values() for word in words]
    others = [word for words in language.commands.values() for word in words]
    assert len(ours) == len(set(ours))
    assert language.only_over_paper == {*ours} - {*others, *language.decoys, *language.numbers}
    assert not language.over_paper.only_over_paper


@pytest.mark.parametrize("code", codes())
def test_no_two_commands_are_nearly_spelled_alike(code: str) -> None:
    """Letters are counted with their marks apart, and Hangul by its jamo (Unicode's decomposition, NFD)."""
    alike = {
        (word, other)
        for words, others in combinations(load(code).over_paper.commands.values(), 2)
        for word, other in product(words, others)
        if steps(unicodedata.normalize("NFD", word), unicodedata.normalize("NFD", other)) < 2
    }
    assert not alike


@pytest.mark.parametrize("code", codes())
def test_every_phrase_is_there_and_fills_the_same_places(code: str) -> None:
    def places(phrase: Phrase) -> set[str]:
        texts = phrase.values() if isinstance(phrase, dict) else [phrase]
        names = {name for text in texts for _, name, _, _ in string.Formatter().parse(text) if name}
        return {name for name in names if not name.startswith("word_")} - {"units", *VERBS}

    english, language = load("en"), load(code)
    assert set(language.jobs) == set(PASSES)
    assert set(language.phrases) == set(english.phrases)
    for ours, theirs in (
        (language.lesson, english.lesson),
        (language.hearing, english.hearing),
        (language.plan, english.plan),
        (language.front, english.front),
        (language.pedal, english.pedal),
        (language.writing, english.writing),
        (language.paper, english.paper),
        (language.printed, english.printed),
    ):
        assert {name: places(phrase) for name, phrase in ours.items()} == {
            name: places(phrase) for name, phrase in theirs.items()
        }
    for job in PASSES:
        assert set(language.jobs[job]) >= set(english.jobs[job])
        ours, theirs = ({**each.phrases, **each.jobs[job]} for each in (language, english))
        assert {name: places(phrase) for name, phrase in ours.items()} == {
            name: places(phrase) for name, phrase in theirs.items()
        }


def test_what_is_printed_says_nothing_otherwise_than_paper() -> None:
    """Both are looked up together, and one key has one meaning."""
    assert not set(load("en").printed) & set(load("en").paper)


@pytest.mark.parametrize("code", codes())
def test_a_phrase_that_goes_by_a_count_has_both_forms(code: str) -> None:
    language = load(code)
    sections = (language.phrases, language.lesson, language.paper, language.plan, language.printed)
    spoken = (*sections, language.hearing, language.pedal, language.writing, *language.jobs.values())
    for name, phrase in [item for phrases in spoken for item in phrases.items()]:
        if isinstance(phrase, dict):
            assert set(phrase) == {"one", "other"}
            assert name == "units" or re.search(r"{(count|number)}", phrase["other"])


@pytest.mark.parametrize("code", codes())
@pytest.mark.parametrize("job", PASSES.values(), ids=lambda job: job.name)
def test_everything_a_pass_tells_has_its_words(code: str, job: Pass[Any]) -> None:
    words = Wording(load(code), job.name)
    for unit in ("inch", "cm"):
        warp = loads(TOLD.replace("inch", unit).encode(), "told.yaml")
        for size in (1, 2, 3):
            for call in job.calls(warp, size):
                parts = words.parts(told(Course(warp, job, size), call))
                assert all(part.text and "{" not in part.text for part in parts)
                for figure in (figure for item in job.tell(warp, call) for figure in item.figures):
                    shown = words.figure(figure)
                    assert shown.text
                    assert bool(shown.caption) == (figure.caption is not None)


def test_a_figure_is_shown_in_the_words_of_the_language() -> None:
    warp = loads(TOLD.encode(), "told.yaml")
    dents, tied = next(SLEY.calls(warp, 2)), next(TIE.calls(warp, 1))
    sleyed, knotted = Wording(load("de"), SLEY.name), Wording(load("de"), TIE.name)
    assert [sleyed.figure(f) for item in SLEY.tell(warp, dents) for f in item.figures] == [
        Lettering("2-0-3", "Rohre 1 bis 3")
    ]
    assert [knotted.figure(f) for item in TIE.tell(warp, tied) for f in item.figures] == [Lettering("ÜBER", "1 flax")]


@pytest.mark.parametrize("code", codes())
def test_every_word_that_can_be_taught_has_a_meaning_to_be_asked_by(code: str) -> None:
    words, language = LessonWords(load(code)), load(code)
    meanings = [words.means(word).text for word in (*language.commands, "7")]
    assert len(set(meanings)) == len(meanings)
    assert all(words.suggestions(word) for word in (*language.commands, "7"))


@pytest.mark.parametrize("code", codes())
def test_a_prompt_names_words_that_exist(code: str) -> None:
    language = load(code)
    for phrases, english in [
        (language.phrases, load("en").phrases),
        *((language.jobs[job], load("en").jobs[job]) for job in PASSES),
    ]:
        for name, phrase in phrases.items():
            named = set(re.findall(r"\{word_(\w+)\}", str(phrase)))
            assert named <= set(language.commands)
            assert named == set(re.findall(r"\{word_(\w+)\}", str(english.get(name, load("en").phrases.get(name)))))


@pytest.fixture(scope="module")
def box() -> Iterator[Voicebox]:
    with Voicebox() as box:
        yield box


@pytest.mark.parametrize("code", codes())
@pytest.mark.skipif(sys.platform != "linux", reason="other systems bring voices of their own")
def test_the_voice_of_the_language_says_its_words(box: Voicebox, code: str) -> None:
    language = load(code)
    voice = choose(box.voices(), language.voice)
    assert voice.language.partition("-")[0] == code
    for text in (language.commands["next"][0], language.numbers[2], str(language.phrases["first call"])):
        said = box.render(text, voice.id, SPEED)
        assert len(said) / MOUTH_RATE > 0.2
        assert np.abs(said).max() > 0.05


def test_a_language_that_is_not_there_is_one_clear_line() -> None:
    with pytest.raises(LanguageError, match=f"no language 'xx'; there are: {', '.join(codes())}"):
        load("xx")
