"""What a sequence file says of the edges of the cloth: floating ends, doubled ends, and how these are sleyed."""

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import zip_longest

from assistant.warp.groups import sley
from assistant.warp.model import MOST_AT_AN_EDGE, Edge, EdgeSley, End, Group
from assistant.warp.source import Field, given
from assistant.warp.threads import backwards, calls_backwards

SIDES: tuple[Edge, Edge] = ("right", "left")
KEYS = ("floating", "doubled", "sley", "ends")


@dataclass(frozen=True, slots=True)
class Selvedge:
    """One edge, as it is written."""

    field: Field
    floating: int = 0  # ends outermost, in no heddle
    doubled: int = 0  # heddles, the outermost, with two ends each
    sley: EdgeSley | None = None


def read_selvedges(field: Field) -> dict[Edge, Selvedge]:
    """Those of both sides, or of the one that is written."""
    keys = field.entries((*KEYS, *SIDES), {})
    if not any(side in keys for side in SIDES):
        return dict.fromkeys(SIDES, _selvedge(field, keys))
    for key, value in keys.items():
        if key not in SIDES:
            raise value.error("{name} cannot stand beside {other}", "write it in one of them", other=" / ".join(SIDES))
    return {side: _selvedge(keys[side], keys[side].entries(KEYS, {})) for side in SIDES if side in keys}


def _selvedge(field: Field, keys: dict[str, Field]) -> Selvedge:
    floating = given(keys, "floating", _few, 0)
    doubled = given(keys, "doubled", _few, 0)
    if "sley" not in keys:
        if "ends" in keys:
            raise keys["ends"].needs("sley", "sley: [4]")
        return Selvedge(field, floating, doubled)
    dents = sley(keys["sley"])
    ends = given(keys, "ends", lambda field: field.whole(1, MOST_AT_AN_EDGE), floating + 2 * doubled)
    if not ends:
        raise keys["sley"].needs("ends", "ends: 4")
    return Selvedge(field, floating, doubled, EdgeSley(ends, dents))


def _few(field: Field) -> int:
    return field.whole(0, MOST_AT_AN_EDGE)


def with_selvedges(groups: tuple[Group, ...], first: Selvedge | None, last: Selvedge | None) -> tuple[Group, ...]:
    """The groups with what lies at the edge of the first end, and at that of the last.

    Raises SequenceError where that is more than the warp has.
    """
    found = list(groups)
    if first:
        _widen(found, range(len(found)), first, lambda group: group)
    if last:
        _widen(found, range(len(found) - 1, -1, -1), last, _flipped)
    ends, sleyed = sum(len(group.ends) for group in found), 0
    for edge in (first, last):
        if edge and ends > edge.field.source.most_ends:
            what = "with this the warp has more than {most:,} ends"
            raise edge.field.error(what, "look for a number too large", most=edge.field.source.most_ends)
        sleyed += edge.sley.ends if edge and edge.sley else 0
        if edge and sleyed > ends:
            raise edge.field.error("this sleys more ends than the warp has", "write fewer")
    return tuple(found)


def _widen(found: list[Group], order: range, edge: Selvedge, seen: Callable[[Group], Group]) -> None:
    """Change the groups, from the outermost on, each as it is seen from the edge."""
    left = edge.doubled
    for at in order:
        if not left:
            break
        group, left = _doubled(seen(found[at]), left)
        found[at] = seen(group)
    if left:
        raise edge.field.error("this doubles more heddles than the warp has", "write fewer")
    if edge.floating:
        found[order[0]] = seen(_beside(edge.floating, seen(found[order[0]])))


def _doubled(group: Group, heddles: int) -> tuple[Group, int]:
    """The group with two ends in each of its first heddles; and how many heddles more are to have two."""
    ends: list[End] = []
    added: list[int] = []  # after how many ends of the group
    for number, (end, following) in enumerate(zip_longest(group.ends, group.ends[1:]), 1):
        ends.append(end)
        if not heddles or end.floats or (following and following.joins):
            continue
        heddles -= 1
        if not end.joins:
            ends.append(replace(end, joins=True))
            added.append(number)
    calls = tuple(call + bisect_right(added, call) for call in group.calls)
    return replace(group, ends=tuple(ends), calls=calls), heddles


def _beside(floating: int, group: Group) -> Group:
    """The group behind so many floating ends, of the yarn beside them."""
    end = End((), group.ends[0].yarn, beam=group.ends[0].beam)
    return replace(group, ends=(*[end] * floating, *group.ends), calls=tuple(call + floating for call in group.calls))


def _flipped(group: Group) -> Group:
    return replace(group, ends=backwards(group.ends), calls=calls_backwards(group.calls))
