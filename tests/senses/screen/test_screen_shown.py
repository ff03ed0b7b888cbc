"""What is shown of a moment, as values."""

from dataclasses import replace

import pytest
from at_the_page import CALLING, WORDS, session

from assistant.senses.screen.dyes import GROUNDS, PALE, contrast, dyes, lab
from assistant.senses.screen.shown import Stand, repeat, shown
from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.view import View, Yarn
from assistant.warp.passes import PASSES
from assistant.warp.sequence import loads

TWO_SHAFTS = """
title: Two
shafts: 13
yarns:
  rust: {name: rust silk, colour: "#a4532c"}
  brick: {name: brick wool, colour: "#a8502f"}
  milk: {name: milk wool, colour: "#f0efe6"}
groups: [{name: all, thread: "2(1 13 1/13)", yarn: "1 rust, 1 brick, 1 milk"}]
"""


def view(job: str = "thread", warp: str = TWO_SHAFTS) -> View:
    loom = Session(loads(warp.encode(), "two.yaml"), PASSES[job], 6)
    loom.handle(Event(Kind.SIT_DOWN, 0.0))
    return loom.view()


def test_an_end_on_two_shafts_is_one_thing_and_two_ends_are_two() -> None:
    told = shown(WORDS, view())
    assert [placard.lines for placard in told.pieces] == [("1",), ("13",), ("1", "13")] * 2
    assert told.row == 3
    assert told.place == "1 to 6 of 6"


def test_each_figure_carries_its_yarn_told_apart_where_two_are_alike_and_edged_where_pale() -> None:
    rust, brick, milk = (placard.dyes[0] for placard in shown(WORDS, view()).pieces[:3])
    assert (rust.colour, rust.pattern, rust.edge) == ("#a4532c", 0, False)
    assert (brick.colour, brick.pattern) == ("#a8502f", 1)
    assert (milk.pattern, milk.edge) == (0, True)
    assert [(strand.name, strand.ends) for strand in shown(WORDS, view()).yarns] == [
        ("rust silk", 2),
        ("brick wool", 2),
        ("milk wool", 2),
    ]


def test_the_place_changes_where_the_figures_do_not() -> None:
    warp = TWO_SHAFTS.replace("2(1 13 1/13)", "3(1 2 3 4)")
    loom = Session(loads(warp.encode(), "two.yaml"))
    loom.handle(Event(Kind.SIT_DOWN, 0.0))
    before = shown(WORDS, loom.view())
    loom.handle(Event(Kind.NEXT, 1.0))
    after = shown(WORDS, loom.view())
    assert [placard.lines for placard in before.pieces] == [placard.lines for placard in after.pieces]
    assert (before.place, after.place) == ("1 to 4 of 12", "5 to 8 of 12")


def test_the_shafts_stand_as_seen_from_the_front() -> None:
    """The first end of a warp begun at the right lies at the right; the front shaft is the lowest line."""
    told = shown(WORDS, view())
    assert told.stand == Stand(13, ((1, 13), (13,), (1,)) * 2, one_in_front=True)
    from_left = replace(view(), start="left")
    assert shown(WORDS, from_left).stand == Stand(13, ((1,), (13,), (1, 13)) * 2, one_in_front=True)
    behind = replace(from_left, shaft_1="back")
    assert shown(WORDS, behind).stand == Stand(13, ((13,), (1,), (13, 1)) * 2, one_in_front=False)


def test_no_shafts_stand_where_none_are_called() -> None:
    assert shown(WORDS, view("wind")).stand is None
    assert shown(WORDS, session(Kind.NEXT).view()).stand is None
    assert shown(WORDS, CALLING).stand


@pytest.mark.parametrize(
    ("told", "row"),
    [("12341234", 4), ("123412", 6), ("1234123", 7), ("12121", 2), ("1111", 2), ("1234", 4), ("12344321", 8), ("", 0)],
)
def test_a_row_breaks_where_what_is_called_repeats(told: str, row: int) -> None:
    assert repeat(told) == row


def test_colours_are_as_far_apart_as_the_published_values_say() -> None:
    """CIELAB of the primaries of sRGB for D65, as B. Lindbloom's calculator gives them."""
    assert lab("#ff0000") == pytest.approx((53.24, 80.09, 67.20), abs=0.02)
    assert lab("#00ff00") == pytest.approx((87.73, -86.18, 83.18), abs=0.02)
    assert lab("#0000ff") == pytest.approx((32.30, 79.19, -107.86), abs=0.02)
    assert contrast("#000000", "#ffffff") == pytest.approx(21, abs=0.01)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)  # just fails AA, as WebAIM says of it


def test_yarns_without_a_colour_are_told_apart_and_edged() -> None:
    told = dyes([Yarn("a", "a"), Yarn("b", "b"), Yarn("c", "c", "#808080")])
    assert [(dye.pattern, dye.edge) for dye in told.values()] == [(0, True), (1, True), (0, False)]
    assert min(contrast("#808080", ground) for ground in GROUNDS) > PALE
