"""Which way round a draft lies, and what its colours are called."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.meaning import Tell
from assistant.warp.draft import Draft, edges, read_list, to_warp
from assistant.warp.draft.yarns import colour_words, from_hex, to_hex
from assistant.warp.model import Edge, End, Yarn
from assistant.words.language import load
from assistant.words.printed import Printed

YARNS = {"red": Yarn("red", "red", "#ff0000"), "flax": Yarn("flax", "flax")}


def told(tells: tuple[Tell, ...]) -> tuple[str, ...]:
    return tuple(map(Printed(load("en")).told, tells))


def test_both_edges_are_shown_as_they_lie() -> None:
    draft = read_list(b"1 2 3 4 5 6 7 8 1/2 3", "list.txt")
    assert told(edges(draft, "right")) == (
        "left edge, from end 10: 3 1/2 8 7 6 5 4 3 …",
        "right edge, up to end 1: … 8 7 6 5 4 3 2 1",
    )
    assert told(edges(draft, "left")) == (
        "left edge, from end 1: 1 2 3 4 5 6 7 8 …",
        "right edge, up to end 10: … 3 4 5 6 7 8 1/2 3",
    )


def test_yarns_are_named_where_they_change() -> None:
    ends = (End((1,), "red"), End((2,), "red"), End((3,), "flax"), End((4,)))
    draft = Draft("", 4, ends, YARNS, None, "inch", ())
    assert told(edges(draft, "left"))[0] == "left edge, from end 1: red (#ff0000) 1 2, flax 3, 4"
    assert told(edges(draft, "right"))[1] == "right edge, up to end 1: 4, flax 3, red (#ff0000) 2 1"


@pytest.mark.parametrize("start", ["right", "left"])
def test_the_warp_begins_with_the_first_end_of_the_draft(start: Edge) -> None:
    draft = read_list(b"1 2 3 4", "list.txt")
    warp = to_warp(draft, start)
    assert (warp.start, warp.title, warp.loom.shafts) == (start, "list", 4)
    assert tuple(warp.every_end()) == draft.ends


@pytest.mark.parametrize(
    ("colour", "words"),
    [
        ("#000000", "black"),
        ("#ffffff", "white"),
        ("#808080", "grey"),
        ("#c0c0c0", "light grey"),
        ("#ff0000", "red"),
        ("#800000", "dark red"),
        ("#8b4513", "brown"),
        ("#ffa500", "orange"),
        ("#d2b48c", "beige"),
        ("#ffff00", "yellow"),
        ("#008000", "dark green"),
        ("#40e0d0", "turquoise"),
        ("#0000ff", "blue"),
        ("#ee82ee", "light pink"),
        ("#f5f5dc", "cream"),
    ],
)
def test_colours_have_names_that_can_be_spoken(colour: str, words: str) -> None:
    """The colours are those of the CSS Color Module Level 4, section 6.1; our words for them are fewer."""
    assert colour_words(colour) == words


@given(st.from_regex("#[0-9a-f]{6}", fullmatch=True))
def test_a_colour_in_numbers_comes_back(colour: str) -> None:
    assert to_hex(from_hex(colour), 0, 255) == colour
    assert colour_words(colour)
