"""What a question points at, as a picture: marks from left to right, and how one counts to the one that is meant."""

from dataclasses import replace

import pytest
from at_the_loom import CALLING
from hypothesis import given
from hypothesis import strategies as st

from assistant.senses.screen.dyes import Dye, dyes
from assistant.senses.screen.pointed import MOST, PLAIN, Pointed, pointed, written
from assistant.session.view import Dent, Pointing, Thing, Yarn

ENDS, DENTS = Thing.ENDS, Thing.DENTS


def picture(told: Pointing) -> Pointed:
    found = pointed(replace(CALLING, pointing=told), {})
    assert found
    return found


def test_the_seventh_from_the_right_stands_seventh_from_the_right() -> None:
    row = picture(Pointing(ENDS, ((7, 7),), "right", 12))
    assert [mark.number for mark in row.marks] == [*range(12, 0, -1)]
    assert [mark.number for mark in row.marks if mark.meant] == [7]
    assert (row.count, row.marks[row.goal].number, row.since) == (7, 7, -1)
    assert written(row, 80)[0].strip() == "│  │  │  │  │  ┃  │  │  │  │  │  │"
    from_left = picture(Pointing(ENDS, ((7, 7),), "left", 12))
    assert from_left.marks == tuple(reversed(row.marks))


def test_of_two_hundred_ends_those_near_what_is_meant_are_drawn_and_the_others_counted() -> None:
    row = picture(Pointing(ENDS, ((140, 140),), "right", 199))
    numbers = [mark.number for mark in row.marks]
    assert {1, 2, 137, 140, 143} <= set(numbers)
    assert row.marks[0].number == row.marks[0].left_out == 0  # on the far side it only goes on
    (gap,) = [mark for mark in row.marks if mark.left_out]
    drawn = {mark.number for mark in row.marks if mark.number}
    assert gap.left_out == len(set(range(1, 140)) - drawn)
    assert row.count == 140


def test_counting_goes_on_from_the_end_looked_at_last_to_either_side() -> None:
    further = picture(Pointing(ENDS, ((145, 145),), "right", 199, since=140))
    assert (further.count, further.marks[further.since].number, further.marks[further.goal].number) == (5, 140, 145)
    back = picture(Pointing(ENDS, ((137, 137),), "right", 199, since=140))
    assert back.count == 3
    assert back.since < back.goal  # 140 lies to the left of 137, as ends are counted from the right
    first, last = back.marks[0], back.marks[-1]
    assert first.number == 0
    assert last.left_out > 100  # those towards the right are not drawn, but told


def test_all_up_to_an_end_are_meant_and_counted_to_the_last_of_them() -> None:
    row = picture(Pointing(ENDS, ((1, 50),), "right", 199))
    assert row.count == 50
    assert {mark.number for mark in row.marks if mark.meant and mark.number} <= set(range(1, 51))
    assert [mark.meant for mark in row.marks if mark.left_out] == [True]


def test_ends_that_move_stand_apart() -> None:
    row = picture(Pointing(ENDS, ((7, 8), (12, 12)), "right", 24))
    assert [mark.number for mark in row.marks if mark.meant] == [12, 8, 7]
    assert row.count == 7


def test_dents_hold_what_they_should_only_where_that_is_told() -> None:
    asked = picture(Pointing(DENTS, ((8, 8),), "right", 14))
    assert not any(mark.dots for mark in asked.marks)
    along = picture(Pointing(DENTS, ((3, 6),), "right", 14, held=(2, 0, 2, 1)))
    assert {mark.number: len(mark.dots) for mark in along.marks if mark.meant} == {3: 2, 4: 0, 5: 2, 6: 1}
    assert "│●│●●│▒▒│●●│" in written(along, 80)[0]


def test_the_dents_of_a_call_hold_their_ends_in_the_order_seen_from_the_front() -> None:
    dyed = dyes([Yarn("rust", "rust", "#a4532c"), Yarn("mist", "mist", "#f0efe6")])
    call = (Dent(15, ("rust", "mist"), 1), Dent(16), Dent(17, ("mist", "mist")))
    row = pointed(replace(CALLING, dents=call, start="right"), dyed)
    assert row
    assert [(mark.number, mark.before, mark.dots) for mark in row.marks] == [
        (17, 0, (dyed["mist"],) * 2),
        (16, 0, ()),
        (15, 1, (dyed["mist"], dyed["rust"])),
    ]
    assert row.count == 0
    unknown = pointed(replace(CALLING, dents=(Dent(1, ("",)),)), dyed)
    assert unknown
    assert unknown.marks[0].dots == (PLAIN,) == (Dye("", edge=True),)


def test_nothing_is_drawn_where_nothing_is_pointed_at() -> None:
    assert pointed(CALLING, {}) is None


@given(
    st.sampled_from(Thing), st.sampled_from(["left", "right"]), st.integers(1, 2000), st.integers(1, 2000),
    st.integers(0, 2000), st.integers(0, 2000),
)  # fmt: skip
def test_any_row_is_short_whole_and_fits_a_line(
    thing: Thing, side: str, one: int, other: int, since: int, more: int
) -> None:
    """What is drawn and what is left out are together all that hang between the side and the last that is drawn."""
    first, last = sorted((one, other))
    told = Pointing(thing, ((first, last),), side, last + more, since if since not in (one, other) else 0)  # type: ignore[arg-type]
    if told.since > told.of:
        told = replace(told, since=0)
    row = picture(told)
    drawn = [mark.number for mark in row.marks if mark.number]
    assert len(drawn) <= 2 * MOST
    assert len(drawn) + sum(mark.left_out for mark in row.marks) == max(drawn)
    assert row.marks[row.goal].number in (first, last)
    lines = written(row, 78)
    assert all(len(line) <= 78 for line in lines)
    if thing is ENDS:
        assert len(lines) == 2
        assert "▲" in lines[1]
        assert str(row.count) in lines[1]


@pytest.mark.parametrize("width", [0, 1, 10, 30])
def test_where_there_is_no_room_nothing_is_drawn(width: int) -> None:
    assert written(picture(Pointing(ENDS, ((7, 7),), "right", 24)), width) == []
