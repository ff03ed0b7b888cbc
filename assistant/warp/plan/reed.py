"""The warp in the reed: its width, its dents, where it begins; and which reed gives a sett."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from assistant.errors import PlanError
from assistant.warp.lengths import METRES, SPAN, with_unit
from assistant.warp.model import Unit, Warp
from assistant.warp.plan.sley import LEAST_DENTS, WITHIN, Sley, check, evenly, spread

WIDEST = 10_000.0  # metres
LONGEST_REPEAT = 5  # dents: longer ones are hard to keep in mind
COMFORTABLE = 4  # ends in a dent: more crowd it


@dataclass(frozen=True, slots=True)
class InReed:
    """How a warp lies in the reed, its width in the unit of the warp; distances go from the edge of the first end.

    Where the reed is not known, every end has a space to itself, as wide as the sett gives it.
    """

    ends: int
    sley: Sley
    per_inch_or_cm: float  # dents, or such spaces
    has_dents: bool

    @property
    def dents(self) -> int:
        """Dents used, empty ones between included."""
        return self.sley.dent(self.ends)

    @property
    def width(self) -> float:
        """From the first dent to the last, both included."""
        return self.dents / self.per_inch_or_cm

    @property
    def usual(self) -> int:
        """Ends a dent holds that is not crammed: the mean of the dents in use, rounded up."""
        used = [held for held in self.sley.repeat if held]
        return math.ceil(sum(used) / len(used))

    def sett(self, unit: Unit) -> float:
        """Ends per unit, as sett is counted, of the whole repeat."""
        return self.sley.per_dent * self.per_inch_or_cm * SPAN[unit]

    def at(self, end: int) -> float:
        """Where an end lies: ends in one dent share it evenly."""
        dent = self.sley.dent(end)
        held = self.sley.ends(dent)
        there = min(held.stop - 1, self.ends) - held.start + 1
        return (dent - 1 + (end - held.start + 0.5) / there) / self.per_inch_or_cm

    def dent_at(self, distance: float) -> int:
        """The last dent within a distance, to the nearest whole one."""
        return round(distance * self.per_inch_or_cm)

    def nearest(self, distance: float) -> int:
        """The end that lies nearest to a distance within the width."""
        dent = min(self.dents, max(1, math.ceil(distance * self.per_inch_or_cm)))
        held = self.sley.ends(dent)
        around = range(max(1, held.start - 1), min(self.ends, held.stop) + 1)
        return min(around, key=lambda end: abs(self.at(end) - distance))


class Start(NamedTuple):
    """Where a warp begins in a reed."""

    first_dent: int | None  # counted from the reed's end on the side of the first end; None where it does not fit
    from_centre: float


class ReedChoice(NamedTuple):
    """A reed, and the sley plan with which it comes nearest to the sett wanted."""

    reed: float
    sley: Sley
    sett: float  # that it gives
    off: float  # its sett less the one wanted


def in_reed(warp: Warp) -> InReed | None:
    """How the warp lies in the reed; None where neither the sett nor reed and sley tell."""
    reed, sett, span = warp.loom.reed, warp.sett, SPAN[warp.unit]
    if reed:
        check(sett or reed, reed)
    if reed and (warp.sley or sett):
        sley = Sley(warp.sley) if warp.sley else spread(sett or 0, reed)
        lying = InReed(warp.ends, sley, reed / span, True)
    elif sett:
        lying = InReed(warp.ends, Sley((1,)), sett / span, False)
    else:
        return None
    if lying.per_inch_or_cm < LEAST_DENTS / SPAN["cm"]:
        raise PlanError(f"sett is {sett:g}; look for a wrong number")
    if lying.width * METRES[warp.unit] > WIDEST:
        raise PlanError("by its sett, reed and sley the warp is more than 10 km wide; look for a wrong number")
    return lying


def start(lying: InReed, reed_width: float | None) -> Start:
    """Where to begin so that the warp lies in the middle of a reed so wide; the odd dent is left at the far side."""
    if reed_width is None:
        return Start(None, lying.width / 2)
    in_all = reed_dents(lying, reed_width)
    if in_all < lying.dents:
        return Start(None, lying.width / 2)
    empty = (in_all - lying.dents) // 2
    return Start(empty + 1, (in_all / 2 - empty) / lying.per_inch_or_cm)


def reed_dents(lying: InReed, reed_width: float) -> int:
    """The dents in a reed so wide."""
    return math.floor(reed_width * lying.per_inch_or_cm + 1e-6)


def too_wide(warp: Warp, lying: InReed | None, reed_width: float | None) -> Iterator[str]:
    """A line where the warp is wider than the reed."""
    if lying and reed_width and lying.width > reed_width + 1e-6:
        width, room = with_unit(lying.width, warp.unit), with_unit(reed_width, warp.unit)
        yield f"the warp is {width} wide in the reed, the reed {room}"


def rank_reeds(sett: float, reeds: Iterable[float]) -> tuple[ReedChoice, ...]:
    """Each reed with its best repeat of up to 5 dents.

    First those that come within half an end per unit, the simplest first: few dents to a repeat, no dent
    crowded; then the others, the nearest first.
    """
    return tuple(sorted((_choice(sett, reed) for reed in dict.fromkeys(reeds)), key=_rank))


def _choice(sett: float, reed: float) -> ReedChoice:
    check(sett, reed)
    repeats = [evenly(max(1, round(sett / reed * dents)), dents) for dents in range(1, LONGEST_REPEAT + 1)]
    choices = (ReedChoice(reed, sley, sley.per_dent * reed, sley.per_dent * reed - sett) for sley in repeats)
    return min(choices, key=_rank)


def _rank(choice: ReedChoice) -> tuple[float, int, float]:
    beyond = max(0.0, round(abs(choice.off) - WITHIN, 6))
    crowded = max(0, max(choice.sley.repeat) - COMFORTABLE)
    return beyond, len(choice.sley.repeat) + crowded, abs(choice.off)
