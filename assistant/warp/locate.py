"""Where is it? From a distance in the cloth, an end or a dent to the group, the end, its shaft and its dent."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from assistant.errors import FindError, PlanError
from assistant.meaning import Tell
from assistant.warp.lengths import length, measured
from assistant.warp.model import End, Unit, Warp
from assistant.warp.reed import InReed, in_reed, start

WAYS = ("from_right", "from_left", "end", "dent")


@dataclass(frozen=True, slots=True)
class Spot:
    """One end and where it lies; distances in `unit` as the warp lies in the reed; None where it is not known."""

    end: int  # in the warp, from 1, in the order of the file
    group: str
    place: int  # in the group, from 1
    of: int  # ends in the group
    shafts: tuple[int, ...]  # none where it floats
    heddle: int | None  # in the group, from 1, as threading counts them; None where it floats
    together: int  # ends in that heddle
    yarn: str  # its name, "" where none is given
    beam: str  # likewise
    dent: int | None  # from 1 at the first dent in use
    reed_dent: int | None  # counted from the end of the reed on the side of the first end
    unit: Unit
    from_right: float | None
    from_left: float | None
    from_centre: float | None  # below 0 to the left of it

    def as_json(self) -> dict[str, object]:
        """Every field by name."""
        return {name: _rounded(getattr(self, name)) for name in self.__slots__}


def locate(
    warp: Warp,
    *,
    from_right: str | None = None,
    from_left: str | None = None,
    end: int | None = None,
    dent: int | None = None,
    cloth_width: str | None = None,
) -> tuple[Spot, ...]:
    """The end at a place given in one way, or every end in a dent, which counts from the first in use.

    `cloth_width` is how wide the cloth lies where the distance was measured, where it has drawn in.
    Raises PlanError where the place cannot be read or lies outside the warp.
    """
    given = [name for name, value in zip(WAYS, (from_right, from_left, end, dent), strict=True) if value is not None]
    if len(given) != 1:
        raise PlanError("say in one way where it is: a distance from the right or the left, an end or a dent")
    lying = in_reed(warp)
    if end is not None:
        if not 1 <= end <= warp.ends:
            raise PlanError("there is no end {number}; this warp has ends 1 to {most}", number=end, most=warp.ends)
        return (spot(warp, lying, end),)
    if dent is not None:
        return tuple(spot(warp, lying, number) for number in _in_dent(lying, dent))
    if lying is None:
        raise PlanError("the width of the warp is not known; write sett, or reed and sley, in the file")
    from_edge = length(from_right or from_left or "", Tell("the distance"), warp.unit)
    if cloth_width is not None:
        from_edge *= lying.width / length(cloth_width, Tell("the width of the cloth"), warp.unit)
    if from_edge > lying.width + 1e-9:
        what = "{distance} is beyond the other edge: the warp is {width} wide"
        raise PlanError(what, distance=measured(from_edge, warp.unit), width=measured(lying.width, warp.unit))
    if (from_right is not None) != (warp.start == "right"):
        from_edge = lying.width - from_edge
    return (spot(warp, lying, lying.nearest(from_edge)),)


def _in_dent(lying: InReed | None, dent: int) -> range:
    """The ends in a dent, at least one."""
    if lying is None or not lying.has_dents:
        raise PlanError("the dents are not known; write reed, with sett or sley, in the file")
    if not 1 <= dent <= lying.dents:
        raise PlanError("there is no dent {number}; this warp has dents 1 to {most}", number=dent, most=lying.dents)
    held = lying.held(dent)
    if not held:
        what = "dent {dent} is left empty; ends {before} and {after} lie beside it"
        raise PlanError(what, dent=dent, before=held.start - 1, after=held.start)
    return held


def spot(warp: Warp, lying: InReed | None, number: int) -> Spot:
    """The end of this number, which the warp has, as it lies."""
    before = list(accumulate((len(group.ends) for group in warp.groups), initial=0))
    index = bisect_right(before, number - 1) - 1
    group, place = warp.groups[index], number - before[index]
    end = group.ends[place - 1]
    heddle = sum(1 for each in group.ends[:place] if each.shafts and not each.joins)
    width = lying.width if lying else 0.0
    from_first = lying.at(number) if lying else None
    from_last = None if from_first is None else width - from_first
    from_right, from_left = (from_first, from_last) if warp.start == "right" else (from_last, from_first)
    dent = lying.dent(number) if lying and lying.has_dents else None
    begin = start(lying, warp.loom.reed_width).first_dent if lying and dent else None
    return Spot(
        end=number,
        group=group.name,
        place=place,
        of=len(group.ends),
        shafts=end.shafts,
        heddle=None if end.floats else heddle,
        together=_together(group.ends, place - 1),
        yarn=warp.yarns[end.yarn].name if end.yarn in warp.yarns else "",
        beam=warp.beams[end.beam].name if end.beam in warp.beams else "",
        dent=dent,
        reed_dent=begin + dent - 1 if begin and dent else None,
        unit=warp.unit,
        from_right=from_right,
        from_left=from_left,
        from_centre=None if from_right is None else width / 2 - from_right,
    )


def _together(ends: Sequence[End], at: int) -> int:
    """The ends in the heddle of this one; 0 where it floats."""
    if ends[at].floats:
        return 0
    first, stop = at, at + 1
    while first and ends[first].joins:
        first -= 1
    while stop < len(ends) and ends[stop].joins:
        stop += 1
    return stop - first


def _rounded(value: object) -> object:
    return round(value, 4) if isinstance(value, float) else value


def group_named(warp: Warp, name: str) -> int:
    """The number of the group of that name, from 0. Raises FindError where there is none."""
    number = next((number for number, group in enumerate(warp.groups) if group.name == name), None)
    if number is None:
        names = [group.name for group in warp.groups]
        some = names if len(names) <= 12 else [*names[:6], "…", *names[-6:]]
        raise FindError("there is no group {name!r}; the groups are: {names}", name=name, names=", ".join(some))
    return number
