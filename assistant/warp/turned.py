"""The same warp described from its other edge: nothing in the cloth changes, only where counting begins."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import accumulate, pairwise
from typing import NamedTuple

from assistant.errors import PlanError
from assistant.warp.model import Edge, Warp
from assistant.warp.reed import InReed, beginning, edges, in_reed
from assistant.warp.threads import backwards, calls_backwards

OTHER: dict[Edge, Edge] = {"right": "left", "left": "right"}


def as_called(warp: Warp) -> Warp:
    """The warp as it is called from an edge: the other one where that is asked for, and that of the first end for
    the centre. Of what comes out the same comes out.
    """
    return turned(warp) if warp.call_from == OTHER[warp.start] else warp


def turned(warp: Warp) -> Warp:
    """The warp from the other edge. It hangs as it did; turned twice it is the same."""
    alike = {id(group.ends): group.ends for group in warp.groups}
    ends = {which: backwards(lying) for which, lying in alike.items()}  # those of an entry stay one tuple
    groups = tuple(
        replace(group, ends=ends[id(group.ends)], calls=calls_backwards(group.calls)) for group in reversed(warp.groups)
    )
    start = OTHER[warp.start]
    there = replace(
        warp, groups=groups, start=start, call_from=None, first_edge=warp.last_edge, last_edge=warp.first_edge
    )
    try:
        lying = in_reed(warp)
    except PlanError:  # which sleying tells of
        lying = None
    return _sleyed(warp, there, lying) if lying and lying.has_dents else there


# In the reed every dent holds the ends that it held.


class _Lie(NamedTuple):
    """How a group lies, as it says itself."""

    sley: tuple[int, ...] = ()
    empty_before: int = 0
    shares_dent: bool = False


def _sleyed(warp: Warp, there: Warp, lying: InReed) -> Warp:
    """The sley of the other side: one repeat where the warp has one, else each group by its own dents."""
    said = any(group.sley or group.empty_before or group.shares_dent for group in warp.groups)
    if not said and not any(edges(warp)):
        repeat = beginning([len(lying.held(dent)) for dent in range(lying.dents, 0, -1)]).repeat
        if len(repeat) <= len(lying.sley.repeat):
            return replace(there, sley=repeat)
    lies = zip(there.groups, _lies(warp, lying), strict=True)
    return replace(there, groups=tuple(replace(group, **lie._asdict()) for group, lie in lies))


def _lies(warp: Warp, lying: InReed) -> Iterator[_Lie]:
    """How each group lies that is described from the other edge, the last first; edges keep their sleys."""
    first, last = edges(warp)
    inside = range(1 + sum(edge.ends for edge in first), 1 + warp.ends - sum(edge.ends for edge in last))
    stops = accumulate((len(group.ends) for group in warp.groups), initial=1)
    groups = [range(max(a, inside.start), min(b, inside.stop)) for a, b in pairwise(stops)]
    left_by_edges = first[-1].sley.empty_after(first[-1].ends) if first else 0, last[0].sley.empty_before if last else 0
    return (_lie(lying, ends, inside, *left_by_edges) if ends else _Lie() for ends in reversed(groups))


def _lie(lying: InReed, ends: range, inside: range, after_first: int, before_last: int) -> _Lie:
    """How some ends lie, the last first; `inside` are those that lie by no edge, which leave so many dents empty."""
    dents = range(lying.dent(ends[0]), lying.dent(ends[-1]) + 1)
    held = [len(range(max(own.start, ends.start), min(own.stop, ends.stop))) for own in map(lying.held, dents)]
    begun_before = ends.start - lying.held(dents[0]).start
    held[0] += begun_before
    if goes_on := lying.held(dents[-1]).stop > ends.stop:
        held.pop()
    row = [*reversed(held)] or [1]
    empty = 0 if goes_on or ends.stop > lying.ends else lying.dent(ends.stop) - dents[-1] - 1
    empty -= before_last if ends.stop == inside.stop else 0
    outermost = lying.held(lying.dent(inside[0]))
    gap = (
        lying.dent(inside[0]) - lying.dent(inside[0] - 1) - 1 - after_first
        if inside[0] > 1 and outermost[-1] in ends
        else 0
    )
    short = beginning(row)
    beside = empty if ends.stop == inside.stop <= lying.ends else 0
    sley = (*(0,) * beside, *row, *(0,) * gap) if beside or gap or short.empty_after(sum(row)) else short.repeat
    return _Lie(sley, empty - beside, bool(begun_before))
