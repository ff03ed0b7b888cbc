"""The reed: how many ends go in each dent, how the warp lies in it and where it begins, and which reed gives a sett."""

import math
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, count
from math import gcd
from typing import NamedTuple

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp.lengths import METRES, SPAN, plain
from assistant.warp.model import MOST_IN_A_DENT, Unit, Warp

WITHIN = 0.5  # ends per unit by which a sley plan may miss the sett
LEAST_DENTS, MOST_DENTS = 0.01, 1000.0  # per unit, of a reed
_HAIR = 1e-9


@dataclass(frozen=True)
class Sley:
    """Ends in each dent, repeating. Ends and dents count from 1; dent 1 is the first that holds an end."""

    repeat: tuple[int, ...]

    @property
    def per_dent(self) -> float:
        """Ends in a dent, on average."""
        return sum(self.repeat) / len(self.repeat)

    @cached_property
    def _begun(self) -> tuple[int, ...]:
        """The repeat, beginning with a dent that holds an end."""
        first = next(i for i, ends in enumerate(self.repeat) if ends)
        return self.repeat[first:] + self.repeat[:first]

    @cached_property
    def _before(self) -> tuple[int, ...]:
        """Ends before each dent of the repeat, and in all of it."""
        return tuple(accumulate(self._begun, initial=0))

    def dent(self, end: int) -> int:
        """The dent an end goes through; of the last end, the dents used, empty ones between included."""
        rounds, rest = divmod(end - 1, self._before[-1])
        return rounds * len(self.repeat) + bisect_right(self._before, rest)

    def ends(self, dent: int) -> range:
        """The ends in a dent of a warp without end."""
        rounds, rest = divmod(dent - 1, len(self.repeat))
        first = 1 + rounds * self._before[-1] + self._before[rest]
        return range(first, first + self._begun[rest])

    def filled(self, ends: int) -> dict[int, int]:
        """Ends in a dent -> dents that hold so many, for a warp of so many ends; 0 for the empty ones between."""
        rounds, rest = divmod(self.dent(ends) - 1, len(self.repeat))
        found = Counter({held: times * rounds for held, times in Counter(self._begun).items()})
        found.update(self._begun[:rest])
        found[ends - self.ends(self.dent(ends)).start + 1] += 1
        return {held: dents for held, dents in sorted(found.items()) if dents}


def evenly(ends: int, dents: int) -> Sley:
    """So many ends over so many dents, in the shortest repeat.

    The fuller dents fall as the steps of a line drawn in squares (Bresenham 1965), so that no two of them lie closer
    than they must and no stripe shows.
    """
    common = gcd(ends, dents)
    ends, dents = ends // common, dents // common
    return Sley(tuple((i + 1) * ends // dents - i * ends // dents for i in range(dents)))


def spread(sett: float, reed: float) -> Sley:
    """The shortest even repeat that comes within half an end per unit of the sett; PlanError where none can."""
    check(sett, reed)
    return next(
        evenly(ends, dents)
        for dents in count(1)
        if (ends := int(sett / reed * dents + 0.5)) and abs(ends / dents * reed - sett) <= WITHIN + _HAIR
    )


def check(sett: float, reed: float) -> None:
    """Raise PlanError where there is no such reed, or no dent of it could hold the ends, or hardly one would."""
    if not LEAST_DENTS <= reed <= MOST_DENTS:
        raise PlanError("reed is {reed}; write its dents per unit, for instance 10", reed=plain(reed, 4))
    if not 1 / MOST_IN_A_DENT <= sett / reed <= MOST_IN_A_DENT:
        what = "sett {sett} cannot be sleyed in a reed of {reed}; look for a wrong number"
        raise PlanError(what, sett=plain(sett, 4), reed=plain(reed, 4))


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
        raise PlanError("sett is {sett}; look for a wrong number", sett=f"{sett:g}")
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


def width_cautions(warp: Warp, reed_width: float | None = None) -> tuple[Tell, ...]:
    """That the warp, as reed and sley make it, is wider than the reed; nothing where either is not known.

    `reed_width`, in the unit, stands in for that of the file.
    """
    lying, room = in_reed(warp), reed_width or warp.loom.reed_width
    if not (lying and room and lying.width > room + 1e-6):
        return ()
    places = 1 if warp.unit == "cm" else 2
    return (Tell(f"too wide {warp.unit}", width=round(lying.width, places), room=round(room, places)),)


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
