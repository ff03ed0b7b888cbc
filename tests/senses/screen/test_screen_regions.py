"""The map in block characters."""

from dataclasses import replace

from at_the_loom import CALLING, FINISHED, WORDS
from hypothesis import given
from hypothesis import strategies as st

from assistant.senses.screen.regions import SHAPES, legend, place, pointer, segments, strip
from assistant.session.view import Band, GroupLine, GroupState, View
from assistant.words.columns import columns

STATES = (GroupState.EVEN, GroupState.OFF, GroupState.SETTLED, GroupState.OPEN, GroupState.WAITING)


def lying(*groups: tuple[int, int, GroupState], here: int = 1, compares: bool = False) -> View:
    """Groups of so many ends, so many counted, that stand so."""
    lines = tuple(GroupLine(f"group {n}", *group) for n, group in enumerate(groups, 1))
    return replace(CALLING, summary=lines, groups=len(lines), group_number=here, compares=compares)


FIVE = lying(*((10, n, state) for n, state in zip((10, 8, 11, 5, 0), STATES, strict=True)), here=4)

groups = st.lists(st.tuples(st.integers(1, 500), st.integers(0, 500), st.sampled_from(STATES)), min_size=1, max_size=40)


def test_groups_stand_in_proportion_each_state_with_its_shape() -> None:
    """As seen from the front: a warp begun at the right has its first group there."""
    assert strip(FIVE, 10) == "░░▄▄▞▞××██"
    assert strip(replace(FIVE, start="left"), 10) == "██××▞▞▄▄░░"
    assert strip(lying((30, 30, GroupState.EVEN), (10, 0, GroupState.WAITING)), 8) == "░░██████"
    assert strip(lying((10, 10, GroupState.EVEN), compares=True), 3) == "▓▓▓"
    assert len(set(SHAPES.values())) == len(SHAPES) == 7


def test_the_place_now_is_pointed_at() -> None:
    assert place(FIVE, 50) == 35
    assert pointer(WORDS, FIVE, 10) == "  ▲"
    assert pointer(WORDS, FIVE, 200).index("▲") == 59
    assert pointer(WORDS, replace(FIVE, start="left"), 200).index("▲") == 140
    assert legend(WORDS, FIVE) == "█ 1 even, ▄ 1 open, ▞ 1 settled, ░ 1 waiting, × 1 off"
    assert legend(WORDS, FIVE) in pointer(WORDS, FIVE, 100)


@given(groups, st.integers(1, 200), st.data())
def test_it_fits_any_width_and_hides_no_group_that_is_off(
    lines: list[tuple[int, int, GroupState]], width: int, data: st.DataObject
) -> None:
    view = lying(*lines, here=data.draw(st.integers(1, len(lines))))
    assert columns(strip(view, width)) == width
    assert 0 <= place(view, width) < width
    assert pointer(WORDS, view, width)[width - 1 - place(view, width)] == "▲"
    assert columns(pointer(WORDS, view, width)) <= width
    assert (SHAPES["off"] in strip(view, width)) == any(state is GroupState.OFF for *_, state in lines)


@given(groups)
def test_segments_follow_each_other_without_a_gap(lines: list[tuple[int, int, GroupState]]) -> None:
    shown = segments(lying(*lines))
    assert [segment.start for segment in shown] == [sum(units for units, *_ in lines[:n]) for n in range(len(lines))]
    assert [segment.units for segment in shown] == [units for units, *_ in lines]


def test_a_group_is_told_in_words() -> None:
    bands = ((Band("rust silk", "#a4532c", 6), Band("mist wool", "", 2), Band("rust silk", "#a4532c", 2)),) * 5
    assert WORDS.group(replace(FIVE, bands=bands), 2) == (
        "group 2, group 2 of 5: 8 of 10 ends, OFF, 2 short, rust silk and mist wool"
    )
    assert WORDS.group(FIVE, 4) == "group 4, group 4 of 5: 5 of 10 ends, open, the place now"


def test_a_warp_of_forty_groups_shows_the_one_that_is_off_in_twenty_columns() -> None:
    shown = strip(FINISHED, 20)
    assert (shown.count("×"), shown.count("▞"), shown.count("█")) == (1, 1, 18)
