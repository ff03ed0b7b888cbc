"""The walks over a warp, in calls."""

from itertools import pairwise
from typing import Any

import pint
import pytest
from drawn import warps
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.errors import PassError, PlanError
from assistant.meaning import Tell
from assistant.warp.heddles import heddles
from assistant.warp.model import End, Group, Loom, Warp, Yarn
from assistant.warp.passes import HEDDLES, PASSES, SLEY, THREAD, TIE, WIND, Call, Figure, Pass
from assistant.warp.passes.thread import InHeddle
from assistant.warp.sequence import loads

UNITS: pint.UnitRegistry[float] = pint.UnitRegistry()
ONE, TWO = End((1,)), End((2,))


def warp(text: str) -> Warp:
    return loads(text.encode(), "test.yaml")


def written(figure: Figure) -> str:
    return figure.text if isinstance(figure.text, str) else figure.text.phrase.upper()


def told(job: Pass[Any], warp: Warp, size: int | None = None) -> list[list[tuple[str, ...]]]:
    """Each call by what it tells: phrases, with the figures they show."""
    return [
        [(item.tell.phrase, *(written(figure) for figure in item.figures)) for item in job.tell(warp, call)]
        for call in job.calls(warp, size)
    ]


def dented(sley: list[int], unit: str = "inch", reed: float = 10, ends: str = "40(1)", more: str = "") -> Warp:
    return warp(f"{{shafts: 4, unit: {unit}, reed: {reed}, sley: {sley}, groups: [{{name: a, thread: {ends}}}{more}]}}")


def test_a_call_never_crosses_the_end_of_a_group() -> None:
    one, two = InHeddle((ONE,)), InHeddle((TWO,))
    warp = Warp("", Loom(2), (Group("a", (ONE,) * 5), Group("b", (TWO,) * 4), Group("c", (ONE, TWO))))
    assert list(THREAD.calls(warp)) == [
        Call(0, 0, 5, 1, None, (one,) * 4),
        Call(0, 4, 5, 5, one, (one,)),
        Call(1, 0, 4, 6, None, (two,) * 4),
        Call(2, 0, 2, 10, None, (one, two)),
    ]


@given(warps(), st.sampled_from(list(PASSES.values())), st.integers(1, 10))
def test_every_unit_is_called_once_and_in_order(warp: Warp, job: Pass[Any], size: int) -> None:
    try:
        groups = list(job.units(job.along(warp), size))
    except PlanError:
        assert job is SLEY or all(end.floats for end in warp.every_end())
        return
    calls = list(job.calls(warp, size))
    assert [unit for call in calls for unit in call.units] == [unit for units in groups for unit in units]
    first = 1
    for call in calls:
        units = list(groups[call.group])
        assert (call.of, call.first) == (len(units), first)
        assert call.before == (units[call.start - 1] if call.start else None)
        assert list(call.units) == units[call.start : call.start + len(call.units)]
        assert call.stop == call.start + len(call.units) <= len(units)
        assert job.tell(job.along(warp), call)
        first += len(call.units)


@given(warps(), st.sampled_from([WIND, HEDDLES, THREAD, TIE]), st.data())
def test_a_call_taken_up_in_the_middle_tells_the_rest(warp: Warp, job: Pass[Any], data: st.DataObject) -> None:
    assume(not all(end.floats for end in warp.every_end()))
    call = data.draw(st.sampled_from(list(job.calls(warp))))
    past = data.draw(st.integers(0, len(call.units) - 1))
    rest = call.after(past)
    assert (rest.start, rest.first, rest.units) == (call.start + past, call.first + past, call.units[past:])
    assert job.tell(job.along(warp), rest)


@pytest.mark.parametrize("job", PASSES.values(), ids=lambda job: job.name)
def test_a_size_out_of_range_is_one_clear_line(job: Pass[Any]) -> None:
    for size in (-1, job.size.most + 1):
        with pytest.raises(PassError, match=rf"^{job.size.option} is {size}; it goes from 1 to {job.size.most}$"):
            list(job.calls(dented([2]), size))


def test_a_yarn_is_told_where_it_changes() -> None:
    stripes = warp("{shafts: 4, yarns: {flax: {}, rust: {}}, groups: [{thread: 1..4 3/4, yarn: '2 flax, 1 rust'}]}")
    assert told(THREAD, stripes) == [
        [("yarn",), ("shafts", "1"), ("shafts", "2"), ("yarn",), ("shafts", "3"), ("yarn",), ("shafts", "4")],
        [("shafts", "3/4")],
    ]


def test_heddles_are_counted_out_shaft_by_shaft() -> None:
    """A 36-end lace repeat with 18, 6 and 2 on each of six shafts: common practice, no source."""
    lace = warp(
        "{shafts: 8, groups: [{name: repeat, "
        "thread: 6(1 2) 2(1 3) 2(1 4) 2(1 5) 2(1 6) 2(1 7) 2(1 8)}, {name: edge, thread: 25(1) 4/2}]}"
    )
    assert list(heddles(lace.groups[0].ends).values()) == [18, 6, 2, 2, 2, 2, 2, 2]
    assert told(HEDDLES, lace) == [
        *[[("heddles", count, shaft)] for shaft, count in (("1", "18×"), ("2", "6×"))],
        *[[("heddles", "2×", str(shaft))] for shaft in range(3, 9)],
        [("heddles", "20×", "1")],
        [("more heddles", "5×", "1")],
        [("heddles", "1×", "2")],
        [("heddles", "1×", "4")],
    ]


@given(warps())
def test_heddles_counted_out_are_those_of_the_plan(warp: Warp) -> None:
    assume(not all(end.floats for end in warp.every_end()))
    counted = [unit for call in HEDDLES.calls(warp) for unit in call.units]
    assert {shaft: counted.count(shaft) for shaft in sorted(set(counted))} == heddles(warp.every_end())


def test_winding_tells_colours_and_the_counting_thread() -> None:
    stripes = warp(
        "{shafts: 2, yarns: {a: {}, b: {}}, groups: [{thread: 14(1), yarn: '4 a, 2 b, 1 a'}, {thread: 31(1)}]}"
    )
    assert told(WIND, stripes) == [
        [("ends of", "4"), ("ends of", "2")],
        [("ends of", "5"), ("ends of", "2"), ("ends of", "1"), ("counting thread",)],
        *[[("ends", "10")], [("ends", "10"), ("counting thread",)]],
        *[[("ends", "10")], [("ends", "1"), ("counting thread",)]],
    ]


def test_ends_are_wound_in_pairs_alike_or_of_two_colours() -> None:
    pairs = warp("{shafts: 2, yarns: {a: {}, b: {}}, groups: [{thread: 5(1), yarn: a}, {thread: 16(1), yarn: 'a, b'}]}")
    assert told(WIND, pairs, 2) == [
        [("pairs of", "2"), ("ends of", "1"), ("counting thread",)],
        [("pairs of", "5")],
        [("pairs of", "3"), ("counting thread",)],
    ]
    assert told(WIND, pairs, 4)[1] == [("turns of", "2")]


@given(warps(), st.integers(1, 10))
def test_the_counting_thread_closes_every_group_and_no_bundle_is_large(warp: Warp, together: int) -> None:
    """About twenty ends to a bundle: common practice, no source."""
    for units, group in zip(WIND.units(warp, together), warp.groups, strict=True):
        assert tuple(unit.yarn for unit in units) == tuple(end.yarn for end in group.ends)
        tied = [0, *(number for number, unit in enumerate(units, 1) if unit.tied)]
        assert tied[-1] == len(group.ends)
        assert all(10 <= there - here < 30 for here, there in pairwise(tied)) or len(tied) == 2


def test_twenty_ends_lie_in_an_inch_of_ten_dents_with_two_in_each() -> None:
    """Common practice, no source."""
    marks = [unit for call in SLEY.calls(dented([2])) for unit in call.units if unit.mark]
    assert [(unit.dent, unit.mark) for unit in marks] == [(10, 1), (20, 2)]


@given(st.floats(20, 200), st.integers(1, 4), st.integers(1, 400))
def test_marks_in_centimetres_are_where_pint_puts_them(reed: float, held: int, ends: int) -> None:
    """Source: pint, from PyPI, for the arithmetic of units."""
    calls = list(SLEY.calls(dented([held], "cm", round(reed, 3), f"{ends}(1)")))
    for unit in (unit for call in calls for unit in call.units if unit.mark):
        there = (unit.dent / (round(reed, 3) / (10 * UNITS.cm))).to("cm").magnitude
        assert unit.mark % 2 == 0
        assert there == pytest.approx(unit.mark, abs=0.51 * 10 / reed)


def test_sleying_begins_where_the_warp_lies_in_the_middle() -> None:
    """Half the width is measured each way from the centre of the reed: common practice, no source."""
    text = "{shafts: 1, reed: 10, sley: [2], reed_width: 24, start: left, groups: [{thread: 200(1)}]}"
    first = next(iter(SLEY.calls(warp(text))))
    begin = SLEY.tell(warp(text), first)[0]
    assert begin.tell == Tell("begin at the left", dent=71)  # 240 dents less 100, halved


def test_without_a_reed_there_is_nothing_to_sley() -> None:
    with pytest.raises(PlanError, match="no sley plan to follow; write reed, with sett or sley, in the file"):
        list(SLEY.calls(warp("{shafts: 1, sett: 20, groups: [{thread: 1}]}")))


def test_a_warp_wider_than_its_reed_is_cautioned_before_it_is_sleyed() -> None:
    wide = warp("{shafts: 1, reed: 10, sley: [2], reed_width: 5, groups: [{thread: 200(1)}]}")
    assert SLEY.cautions(wide) == (Tell("too wide inch", width=10, room=5),)


def test_knots_are_tied_from_over_and_under_by_turns() -> None:
    """A cross holds every other end over the same stick: common practice, no source."""
    yarns = {"a": Yarn("a", "ash"), "b": Yarn("b", "birch")}
    groups = Group("x", (End((1,), "a"),) * 3), Group("y", (End((1,), "b"),) * 2)
    assert told(TIE, Warp("", Loom(1), groups, yarns=yarns), 2) == [
        [("yarn",), ("over", "OVER"), ("under", "UNDER")],
        [("over", "OVER")],
        [("yarn",), ("under", "UNDER"), ("over", "OVER")],
    ]
