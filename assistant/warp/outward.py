"""A warp as it is sleyed from the centre of the reed: one half after the other, each outward from there."""

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from typing import Any, NamedTuple

from assistant.errors import PlanError
from assistant.warp.model import Edge, End, Group, Warp
from assistant.warp.reed import InReed, empty_before, in_reed, reed_dents
from assistant.warp.threads import backwards
from assistant.warp.turned import OTHER, as_called


class Leg(NamedTuple):
    """Groups of a walk, from this one up to that, each lying on from the one before.

    `start` is the side on which the first of them begins, as seen from the front; ends and dents count from there.
    """

    groups: range
    start: Edge
    lying: InReed


class Across(NamedTuple):
    """The group that lies across the centre: its halves are groups of their own, the first of either leg."""

    name: str
    ends: int


@dataclass(frozen=True, slots=True)
class Outward(Warp):
    """A warp whose groups come as they are sleyed from the centre: those of one half, then those of the other.

    `start` stays the edge of the first end of the file, to which the first half goes.
    """

    legs: tuple[Leg, ...] = ()
    across: Across | None = None

    @property
    def middle(self) -> tuple[int, int]:
        """The ends and dents on the first end's side of the centre."""
        lying = self.legs[0].lying
        return lying.ends, lying.dents

    def beside_centre(self, leg: Leg) -> int | None:
        """The dent of the reed that a leg begins at, counted from the end it goes to; None where it is not known.

        The warp lies in the reed as it does where it is sleyed from the edge.
        """
        near, *_ = self.legs
        used = sum(each.lying.dents for each in self.legs)
        in_all = reed_dents(near.lying, self.loom.reed_width) if self.loom.reed_width else 0
        if in_all < used:
            return None
        before = empty_before(used, in_all) + near.lying.dents
        return before if leg is near else in_all - before


def as_sleyed(warp: Warp) -> Warp:
    """The warp as sleying goes along it, from wherever it is called. Of what comes out the same comes out."""
    if isinstance(warp, Outward) or warp.call_from != "centre":
        return as_called(warp)
    try:
        lying = in_reed(warp)
    except PlanError:  # which sleying tells of
        lying = None
    return _outward(warp, lying) if lying and lying.has_dents else warp


def legs(warp: Warp) -> tuple[range, ...]:
    """The groups of a walk, parted where it goes on from another place than the one it has come to."""
    if isinstance(warp, Outward):
        return tuple(leg.groups for leg in warp.legs)
    return (range(len(warp.groups)),)


def as_hung(warp: Warp) -> Warp:
    """A walk's warp with its groups as they hang, from the edge of the first end on."""
    if not isinstance(warp, Outward):
        return warp
    near, *_ = legs(warp)
    groups = [replace(group, ends=backwards(group.ends)) for group in reversed(warp.groups[: near.stop])]
    return Warp(**{**_fields(warp), "groups": (*groups, *warp.groups[near.stop :])})


def _fields(warp: Warp) -> dict[str, Any]:
    return {each.name: getattr(warp, each.name) for each in fields(Warp)}


def centre(lying: InReed) -> int:
    """The dents on the first end's side of the centre: half of them, and of an odd number one more."""
    return -(-lying.dents // 2)


def _outward(warp: Warp, lying: InReed) -> Warp:
    """The first half, to the edge of the first end, then the other: whole dents, and the groups cut between them."""
    half = centre(lying)
    middle = lying.held(half + 1).start - 1 if half < lying.dents else warp.ends
    near, far, across = _halves(warp, middle)
    parts = [(near, OTHER[warp.start], range(half, 0, -1)), (far, warp.start, range(half + 1, lying.dents + 1))]
    told: list[Leg] = []
    stop = 0
    for groups, start, dents in parts:
        if groups:
            told.append(Leg(range(stop, stop + len(groups)), start, lying.part(dents)))
            stop += len(groups)
    return Outward(**{**_fields(warp), "groups": (*near, *far)}, legs=tuple(told), across=across)


def _halves(warp: Warp, middle: int) -> tuple[list[Group], list[Group], Across | None]:
    """The groups of either side of the end with this number, from there outward; and which one lies on both."""
    near: list[Group] = []
    far: list[Group] = []
    across = None
    before = 0
    for group in warp.groups:
        here = min(max(middle - before, 0), len(group.ends))
        before += len(group.ends)
        one, other = group.ends[:here], group.ends[here:]
        names = [group.name, group.name]
        if one and other:
            across = Across(group.name, len(group.ends))
            names = list(_names(group.name, {each.name for each in warp.groups}))
        if one:
            near.append(Group(names[0], backwards(one)))
        if other:
            far.append(Group(names[1], _alone(other)))
    return near[::-1], far, across


def _names(name: str, taken: set[str]) -> Iterator[str]:
    """Two names for the halves of a group that no other has."""
    for half in ("1", "2"):
        named = f"{name} ({half})"
        while named in taken:
            named = f"{named} ({half})"
        yield named


def _alone(ends: tuple[End, ...]) -> tuple[End, ...]:
    """The same, where the first joins none."""
    return (replace(ends[0], joins=False), *ends[1:]) if ends[0].joins else ends
