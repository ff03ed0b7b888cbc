"""Figures to be read across the room."""

import pytest
from at_the_loom import read
from hypothesis import given
from hypothesis import strategies as st

from assistant.senses.screen.letters import GLYPHS, big
from assistant.words.columns import columns
from assistant.words.speech import Lettering

SMALL, LARGE = (80, 16), (200, 52)  # what a terminal of 80x24 or 200x60 leaves for figures

shafts = st.integers(1, 24).map(str)
ends = st.lists(st.one_of(shafts, st.tuples(shafts, shafts).map("/".join)), min_size=1, max_size=4)


def pieces(*texts: str) -> list[Lettering]:
    return [Lettering(text, str(number)) for number, text in enumerate(texts, 998)]


def height(lines: list[str]) -> int:
    """Rows of the first line of figures."""
    rows = [bool(set(line) & set("█▀▄")) for line in [*lines, ""]]
    return rows.index(False, rows.index(True)) - rows.index(True)


@pytest.mark.parametrize("size", [SMALL, LARGE])
@given(texts=ends)
def test_any_call_of_four_ends_on_24_shafts_can_be_read(size: tuple[int, int], texts: list[str]) -> None:
    lines = big(pieces(*texts), *size)
    assert read(lines) == texts
    assert height(lines) >= 5


@given(ends, st.integers(1, 220), st.integers(1, 60))
def test_figures_keep_to_the_room_there_is(texts: list[str], width: int, height: int) -> None:
    lines = big(pieces(*texts), width, height)
    assert 1 <= len(lines) <= height
    assert {columns(line) for line in lines} == {width}


@pytest.mark.parametrize(
    ("texts", "size", "rows"),
    [
        (["1", "2", "3", "4"], SMALL, 15),
        (["21", "13", "24", "8"], SMALL, 8),
        (["3/7", "4", "3/7", "4"], SMALL, 8),
        (["23/24", "13/20", "22/23", "20/24"], SMALL, 5),
        (["1", "2", "3", "4"], LARGE, 40),
        (["23/24", "13/20", "22/23", "20/24"], LARGE, 18),
    ],
)
def test_figures_are_as_high_as_the_room_allows(texts: list[str], size: tuple[int, int], rows: int) -> None:
    assert height(big(pieces(*texts), *size)) >= rows


def test_a_call_drawn_in_full() -> None:
    assert big([Lettering("1", "7"), Lettering("3/7", "8 flax")], 32, 8) == [
        "   ██     ██████    ██  ██████  ",
        " ████         ██    ██      ██  ",
        "   ██     ██████  ████      ██  ",
        "   ██         ██  ██        ██  ",
        " ██████   ██████  ██        ██  ",
        " ─ 7 ──   ────── 8 flax ──────  ",
    ]


def test_each_end_has_its_number_and_yarn_under_it() -> None:
    last = big([Lettering("1", "215 flax"), Lettering("2", "216 rust")], *SMALL)[-1]
    assert last.replace("─", " ").split() == ["215", "flax", "216", "rust"]


def test_a_yarn_with_a_long_name_gives_way() -> None:
    line = big([Lettering(str(n), f"{n} hand-spun tussah silk, undyed") for n in range(1, 9)], *SMALL)[-1]
    assert columns(line) == 80
    assert line.count("…") == 8


def test_where_there_is_no_room_for_figures_the_call_is_written_small() -> None:
    assert big(pieces("3/7", "4"), 20, 2) == ["      3/7   4       ", "      998  999      "]
    assert big(pieces("3/7", "4"), 20, 1) == ["       3/7 4        "]
    assert big(pieces("3/7", "4"), 4, 1) == ["3/7…"]


def test_nothing_to_show() -> None:
    assert big([], 10, 5) == [" " * 10]


def test_no_two_letters_look_alike() -> None:
    shapes = {tuple(rows.split()) for rows in GLYPHS.values()}
    assert len(shapes) == len(GLYPHS)
    assert all(len(shape) == 5 and len({len(row) for row in shape}) == 1 for shape in shapes)
