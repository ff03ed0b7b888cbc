"""The same warp described from its other edge: nothing in the cloth changes, only where counting begins."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import accumulate
from typing import NamedTuple

from assistant.errors import PlanError
from assistant.warp.model import Edge, Group, Warp
from assistant.warp.notation import period
from assistant.warp.reed import InReed, edges, in_reed
from assistant.warp.threads import backwards, calls_backwards

OTHER: dict[Edge, Edge] = {"right": "left", "left": "right"}


def as_called(warp: Warp) -> Warp:
    """The warp as it is called: from the other edge where that is asked for. Of what comes out the same comes out."""
    return turned(warp) if warp.call_from and warp.call_from != warp.start else warp


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


class _Part(NamedTuple):
    """The ends of a group in one dent."""

    dent: int
    ends: int
    in_all: int  # ends in the dent, those of other groups among them


def _sleyed(warp: Warp, there: Warp, lying: InReed) -> Warp:
    """The sley of the other side: one repeat where the warp has one, else each group by its own dents."""
    said = any(group.sley or group.empty_before or group.shares_dent for group in warp.groups)
    if not said and not any(edges(warp)):
        dents = [(used.dent, len(used.ends)) for used in lying.used]
        repeat = _repeat([_Part(dent, ends, ends) for dent, ends in reversed(dents)])
        if len(repeat) <= len(lying.sley.repeat):
            return replace(there, sley=repeat)
    parts = _parts(warp, lying)
    groups: list[Group] = []
    before = lying.dents + 1  # the dent reached
    edge = sum(piece.ends for piece in edges(warp)[1])
    if edge:
        before = lying.dent(lying.ends - edge + 1)
    for number, group in enumerate(there.groups):
        own, following = parts[-1 - number], next(filter(None, reversed(parts[: len(parts) - 1 - number])), [])
        shared = bool(own) and own[0].dent == before
        rest = own[1:] if shared else own
        last = own[-1].dent if own else before
        shares = bool(own and following) and following[0].dent == last
        empty = before - rest[0].dent - 1 if rest and not shared else 0
        sley = _repeat(rest, shares) if rest else (1,) if own else ()
        groups.append(replace(group, sley=sley, empty_before=empty, shares_dent=shares))
        before = last
    return replace(there, groups=tuple(groups))


def _parts(warp: Warp, lying: InReed) -> list[list[_Part]]:
    """For each group its dents from the last on, without those of the edges."""
    first, last = (sum(piece.ends for piece in pieces) for pieces in edges(warp))
    inside = range(first + 1, lying.ends - last + 1)
    borders = list(accumulate((len(group.ends) for group in warp.groups), initial=1))
    found: list[list[_Part]] = [[] for _ in warp.groups]
    number = 0
    for dent, ends, _ in lying.used:
        if ends.start not in inside:
            continue
        at = ends.start
        while at < ends.stop:
            while borders[number + 1] <= at:
                number += 1
            stop = min(ends.stop, borders[number + 1])
            found[number].append(_Part(dent, stop - at, len(ends)))
            at = stop
    return [parts[::-1] for parts in found]


def _repeat(parts: Sequence[_Part], shares: bool = False) -> tuple[int, ...]:
    """The ends in each dent, dents left empty among them; where the last is shared, all that it holds."""
    held: list[int] = []
    before = parts[0].dent + 1
    for part in parts:
        held += [0] * (before - part.dent - 1)
        held.append(part.ends)
        before = part.dent
    if shares:
        held[-1] = parts[-1].in_all
    return tuple(held) if 0 in held else tuple(held[: period(held)])
