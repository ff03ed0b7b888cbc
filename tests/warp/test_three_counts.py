"""Ends, heddles and dents are three counts: each job counts its own, from either edge."""

from collections import Counter
from dataclasses import replace
from itertools import groupby

import pytest
from drawn import warps
from hypothesis import given, settings

from assistant.errors import PlanError
from assistant.warp.heddles import heddles
from assistant.warp.locate import spot
from assistant.warp.model import Beam, EdgeSley, End, Group, Loom, Warp
from assistant.warp.passes import CHECK, HEDDLES, READ, SLEY, THREAD, TIE, WIND
from assistant.warp.plan import plan, wishes
from assistant.warp.reed import in_reed
from assistant.warp.sequence import loads
from assistant.warp.turned import as_called, turned

FLOATS, ONE, TWO = End(()), End((1,)), End((2,))
WITH_ONE = End((1,), joins=True)


def warp(text: str) -> Warp:
    return loads(text.encode(), "test.yaml")


def of(thread: str, more: str = "") -> Warp:
    return warp(f"{{shafts: 4, reed: 10, sley: [2], groups: [{{name: a, thread: '{thread}'}}]{more}}}")


def alone(group: Group) -> list[tuple[tuple[int, ...], int]]:
    """Each heddle by its shafts and how many ends it holds, counted by hand."""
    held: list[tuple[tuple[int, ...], int]] = []
    for end in group.ends:
        if end.joins:
            held[-1] = held[-1][0], held[-1][1] + 1
        elif end.shafts:
            held.append((end.shafts, 1))
    return held


def called(warp: Warp, size: int | None = None) -> list[int]:
    """How many units each call holds."""
    return [len(call.units) for call in THREAD.calls(warp, size)]


@settings(max_examples=25)
@given(warps())
def test_every_job_counts_its_own(warp: Warp) -> None:
    by_hand = [alone(group) for group in warp.groups]
    walked = as_called(warp).groups
    assert [len(units) for units in TIE.by_group(warp)] == [len(group.ends) for group in walked]
    wound = Counter(unit.yarn for units in WIND.by_group(warp) for unit in units)
    assert wound == Counter(end.yarn for end in warp.every_end())
    if not any(by_hand):
        for job in (THREAD, CHECK, READ, HEDDLES):
            with pytest.raises(PlanError, match="every end of this warp floats"):
                job.by_group(warp)
        return
    for job in (THREAD, CHECK, READ):
        units = job.by_group(warp)
        if warp.call_from in (None, "centre", warp.start):
            assert [[(unit.shafts, len(unit.ends)) for unit in group] for group in units] == by_hand
        assert sum(map(len, units)) == sum(map(len, by_hand))
    needed = Counter(shaft for group in by_hand for shafts, _ in group for shaft in shafts)
    assert Counter(shaft for group in HEDDLES.by_group(warp) for shaft in group) == needed == heddles(warp.every_end())


@settings(max_examples=25)
@given(warps())
def test_what_floats_is_told_once_beside_what_is_threaded(warp: Warp) -> None:
    if not any(map(alone, warp.groups)):
        return
    told = [item for call in THREAD.calls(warp) for item in THREAD.tell(as_called(warp), call)]
    beside = sum(int(str(item.tell.places["count"])) for item in told if item.tell.phrase == "floating")
    assert beside == sum(end.floats for group in warp.groups if alone(group) for end in group.ends)
    assert all(item.aside == (item.tell.phrase == "floating") for item in told)


@settings(max_examples=25)
@given(warps())
def test_turned_twice_a_warp_hangs_as_it_did(warp: Warp) -> None:
    there = turned(warp)
    back = turned(there)
    assert [alone(group) for group in reversed(there.groups)] == [alone(group)[::-1] for group in warp.groups]
    assert there.start != warp.start == back.start
    assert [(g.name, g.ends, g.calls) for g in back.groups] == [(g.name, g.ends, g.calls) for g in warp.groups]
    assert as_called(as_called(warp)) == as_called(warp)


@settings(max_examples=25)
@given(warps())
def test_from_the_other_edge_every_end_lies_in_its_dent(warp: Warp) -> None:
    try:
        lying = in_reed(warp)
    except PlanError:
        return
    if lying is None or not lying.has_dents or lying.dents > 5_000:
        return
    ends = range(1, warp.ends + 1)
    there, back = turned(warp), turned(turned(warp))
    of_there, of_back = in_reed(there), in_reed(back)
    assert of_there is not None
    assert of_back is not None
    assert [lying.dents + 1 - of_there.dent(warp.ends + 1 - end) for end in ends] == [lying.dent(end) for end in ends]
    assert [of_back.dent(end) for end in ends] == [lying.dent(end) for end in ends]


def test_two_ends_in_a_heddle_are_one_unit_told_with_how_many() -> None:
    (call,) = THREAD.calls(of("1*2 2 3/4*3"))
    told, *items = THREAD.tell(of("1*2 2 3/4*3"), call)
    assert told.tell.phrase == "in one heddle"
    assert [item.written for item in items] == ["1*2", "2", "3/4*3"]
    assert [item.tell.phrase for item in items] == ["shafts of several", "shafts", "shafts of several"]
    assert [figure.ends for item in items for figure in item.figures] == [2, 1, 3]


def test_a_group_that_floats_altogether_has_nothing_to_thread() -> None:
    groups = (Group("loose", (FLOATS,)), Group("body", (ONE, TWO)), Group("loose 2", (FLOATS, FLOATS)))
    assert [len(calls) for calls in THREAD.calls_by_group(Warp("", Loom(2), groups))] == [0, 1, 0]


def test_a_floating_end_is_located_as_such() -> None:
    lying = of("~ 1*2 2 ~")
    spots = [spot(lying, in_reed(lying), end) for end in range(1, 6)]
    assert [(each.heddle, each.together) for each in spots] == [(None, 0), (1, 2), (1, 2), (2, 1), (None, 0)]


# What is called together.


@pytest.mark.parametrize(
    ("thread", "sizes"),
    [
        ("8(1)", [4, 4]),
        ("5(1 2)", [4, 4, 2]),
        ("4(1 2 3)", [3, 3, 3, 3]),
        ("3(1 2 3 4)", [4, 4, 4]),
        ("2(1 2 3 4 1)", [5, 5]),
        ("3(1 3 1 3 1 2)", [6, 6, 6]),
        ("2(1 2 3 4 3 2 1)", [4, 3, 4, 3]),
        ("2(1 2 3 4 4 3 2 1)", [4, 4, 4, 4]),
        ("2(1 1 2 2 3 3 4 4 1 2) 1", [4, 3, 3, 4, 3, 3, 1]),
        ("1 2 3 4 1 1 3", [4, 3]),
    ],
)
def test_calls_follow_the_repeat_of_their_group(thread: str, sizes: list[int]) -> None:
    assert called(of(thread)) == sizes
    in_all = sum(sizes)
    assert called(of(thread), 4) == [4] * (in_all // 4) + [in_all % 4] * (in_all % 4 > 0)


@pytest.mark.parametrize(
    ("thread", "sizes"),
    [
        ("1 3 1 3 1 2; 1 4 1 4 1 2", [6, 6]),
        ("3(1 3 1 3 1 2; 1 4 1 4 1 2)", [6] * 6),
        ("3(1 3 1 3 1 2;)", [6, 6, 6]),
        ("1; 2 3 4 1 2 3 4", [1, 7]),
        ("13(1 2); 1 2", [9, 9, 8, 2]),
        ("1*2 2; ~ 3 4*2", [2, 2]),
    ],
)
def test_marks_end_calls_and_long_stretches_are_cut_evenly(thread: str, sizes: list[int]) -> None:
    assert called(of(thread)) == sizes


def test_a_chosen_size_cuts_what_lies_between_marks() -> None:
    assert called(of("1 3 1 3 1 2; 1 4 1 4 1 2"), 4) == [3, 3, 3, 3]


# Beams.

TOWEL = """
shafts: 4
beams: {ground: {name: ground, length: 4 m, take_up: 5}, loops: {name: loops}}
groups:
  - {name: edge, thread: 2(1 2), beam: ground}
  - {name: body, thread: 4(1 2 3), beam: "2 ground, 1 loops"}
  - {name: stripe, thread: 3(4), beam: loops}
"""


def test_each_beam_is_wound_on_its_own() -> None:
    towel = warp(TOWEL)
    along = WIND.along(towel)
    assert [(group.name, len(group.ends)) for group in along.groups] == [
        *(("edge", 4), ("body, ground", 8), ("body, loops", 4), ("stripe", 3)),
    ]
    assert WIND.along(along) == along
    begins = [WIND.tell(along, calls[0])[0].tell.phrase == "beam" for calls in WIND.calls_by_group(towel)]
    assert begins == [True, False, True, False]


def test_each_beam_has_a_length_of_its_own() -> None:
    planned = plan(warp(TOWEL), wishes("inch", cloth="2m", take_up="20", shrinkage="0", waste="1m"))
    assert [(beam.name, beam.ends, beam.metres and round(beam.metres, 3)) for beam in planned.beams] == [
        ("ground", 12, 4.0),  # as the file has it
        ("loops", 7, 3.5),  # 2 m / 0.8 + 1 m
    ]
    (yarn,) = planned.yarns
    assert yarn.metres == pytest.approx(12 * 4.0 + 7 * 3.5)


def test_each_beam_has_a_cross_of_its_own() -> None:
    over = [knot.over for group in TIE.by_group(warp(TOWEL)) for knot in group]
    beams = [end.beam for end in warp(TOWEL).every_end()]
    lying = sorted(zip(beams, over, strict=True), key=lambda each: each[0])
    for _, each in groupby(lying, key=lambda pair: pair[0]):
        crossed = [over for _, over in each]
        assert crossed == [at % 2 == 0 for at in range(len(crossed))]


def test_from_the_other_edge_edges_and_borders_stay_where_they_are() -> None:
    crammed = Warp(
        "", Loom(2, reed=10.0),
        (
            Group("a", (FLOATS, ONE, WITH_ONE, TWO), shares_dent=True),
            Group("b", (ONE, TWO) * 4, sley=(3,), empty_before=2),
            Group("c", (ONE, TWO, FLOATS)),
        ),
        sley=(2,), first_edge=EdgeSley(3, (3,)), beams={"": Beam("", "")},
    )  # fmt: skip
    lying, there = in_reed(crammed), in_reed(turned(crammed))
    assert lying is not None
    assert there is not None
    held = [len(used.ends) for used in lying.used]
    assert [len(used.ends) for used in there.used] == held[::-1]
    assert SLEY.by_group(replace(crammed, call_from="left"))
