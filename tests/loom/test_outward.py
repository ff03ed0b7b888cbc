"""Sleying from the centre of the reed, done by hands that know nothing but what is said."""

from dataclasses import replace
from itertools import accumulate, pairwise

import pytest
from drawn import edges, groups, sleys
from hypothesis import given, settings
from hypothesis import strategies as st
from told import HandsAtReed

from assistant.errors import PlanError
from assistant.session.place import Course
from assistant.session.telling import told
from assistant.warp.model import EdgeSley, End, Group, Loom, Warp
from assistant.warp.passes import SLEY
from assistant.warp.reed import in_reed, reed_dents, start
from assistant.words.language import load
from assistant.words.wording import Wording

WORDS = Wording(load("en"), "sley")


def sleyed(warp: Warp, size: int | None = None) -> HandsAtReed:
    """The reed as the calls have it."""
    course = Course(replace(warp, call_from="centre"), SLEY, size)
    stops = list(accumulate((len(group.ends) for group in warp.groups), initial=1))
    numbers = {
        group.name: tuple(range(first, stop)) for group, (first, stop) in zip(warp.groups, pairwise(stops), strict=True)
    }
    width, lying = warp.loom.reed_width, in_reed(warp)
    assert lying is not None
    hands = HandsAtReed(numbers, warp.start, reed_dents(lying, width) if width else 0)
    for calls in course.calls:
        for call in calls:
            hands.hear(WORDS.text(*told(course, call)))
        assert calls[-1].units[-1].dent == hands.stands
    return hands


def as_planned(warp: Warp, hands: HandsAtReed) -> None:
    """Every end lies in the dent of the plan, and the warp in the middle, but for half a dent on the first side."""
    lying = in_reed(warp)
    assert lying is not None
    way = 1 if warp.start == "right" else -1
    assert set(hands.lies) == set(range(1, warp.ends + 1))
    assert len({dent + way * lying.dent(end) for end, dent in hands.lies.items()}) == 1
    right, left = max(hands.lies.values()), 1 - min(hands.lies.values())
    assert way * (right - left) == lying.dents % 2


@st.composite
def plans(draw: st.DrawFn) -> Warp:
    """Warps with all that may lie in a reed, of up to some hundred ends."""
    names = [f"g{number}" for number in range(draw(st.integers(1, 4)))]
    lying = tuple(draw(groups(name, 4)) for name in names)
    return Warp(
        "", Loom(4, reed=draw(st.sampled_from([5.0, 10.0, 12.5])), reed_width=draw(st.sampled_from([None, 500.0]))),
        lying,
        start=draw(st.sampled_from(["right", "left"])), unit=draw(st.sampled_from(["inch", "cm"])),
        sley=draw(st.sampled_from([(1,), (2,), (1, 2), (2, 2, 3)]) | sleys),
        first_edge=draw(st.none() | edges), last_edge=draw(st.none() | edges),
    )  # fmt: skip


@settings(max_examples=40)
@given(plans(), st.sampled_from([None, 3, 24]))
def test_hands_that_only_listen_put_every_end_in_its_dent(warp: Warp, size: int | None) -> None:
    try:
        in_reed(warp)
    except PlanError:
        return
    as_planned(warp, sleyed(warp, size))


def plain(count: int, sley: tuple[int, ...], **more: object) -> Warp:
    return Warp("", Loom(4, reed=10, reed_width=30), (Group("rose", (End((1,)),) * count),), sley=sley, **more)  # type: ignore[arg-type]


def test_a_warp_of_22_inches_reaches_11_from_the_centre() -> None:
    """Common practice, no source: 220 dents of a reed of 10, of 30 inches: 40 are left empty at either side."""
    warp = plain(440, (2,))
    hands = sleyed(warp)
    assert hands.reach == [11, 11]
    assert max(hands.lies.values()) == 110
    assert start(in_reed(warp), 30).first_dent == 41  # type: ignore[arg-type]
    first = WORDS.text(*told(course := Course(replace(warp, call_from="centre"), SLEY), course.calls[0][0]))
    assert first.startswith(
        "rose (1), 220 ends: From the centre of the reed to the right. Dents are counted from the centre. "
        "Begin in dent 150, counted from the right end of the reed. From the centre to the edge it is 11 inches. "
        "rose lies across the centre, 220 of its 440 ends on this side."
    )


@pytest.mark.parametrize("sley", [(1, 2), (2, 2, 3), (2, 1), (1,), (2,), (3, 2, 2)])
@pytest.mark.parametrize("count", [240, 263, 301])
def test_at_most_one_call_for_six_dents_either_way(sley: tuple[int, ...], count: int) -> None:
    warp = plain(count, sley)
    as_planned(warp, sleyed(warp))
    for calls in Course(replace(warp, call_from="centre"), SLEY).calls:
        assert len(calls) <= -(-calls[-1].units[-1].dent // 6)


def test_the_dent_is_told_at_every_inch_from_the_centre_in_either_half() -> None:
    hands = sleyed(plain(440, (2,)))
    assert hands.marks == [(mark, 10 * mark) for mark in range(1, 12)] * 2


def test_the_odd_dent_is_on_the_side_of_the_first_end() -> None:
    for edge, first in (("right", 11), ("left", 10)):
        hands = sleyed(plain(42, (2,), start=edge))
        assert (max(hands.lies.values()), 1 - min(hands.lies.values())) == (first, 21 - first)


def test_empty_dents_at_the_centre_are_left_on_both_sides() -> None:
    """10 dents of 2, 5 empty, 10 of 2: the 13th dent of 25 is empty, as are two on either side of it."""
    body = (End((1,)),) * 20
    warp = Warp("", Loom(4, reed=10), (Group("a", body), Group("b", body, empty_before=5)), sley=(2,))
    hands = sleyed(warp)
    as_planned(warp, hands)
    assert not {-1, 0, 1, 2, 3} & set(hands.lies.values())
    assert {4, -2} <= set(hands.lies.values())


def test_one_dent_has_no_other_half() -> None:
    warp = plain(2, (2,))
    hands = sleyed(warp)
    assert hands.lies == {1: 1, 2: 1}


def test_crammed_edges_and_floating_ends_lie_as_planned() -> None:
    ends = (End(()), *(End((1,)),) * 40, End(()))
    edge = EdgeSley(5, (4,))
    warp = Warp("", Loom(4, reed=10), (Group("a", ends), Group("b", ends, sley=(3,))), "left", sley=(2,),
                first_edge=edge, last_edge=edge)  # fmt: skip
    as_planned(warp, sleyed(warp))
