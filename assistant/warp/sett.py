"""A repeat of dents: how many ends go in each, which repeat gives a sett in a reed, and which reeds give it best."""

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, count, cycle, takewhile
from math import gcd
from typing import NamedTuple

from assistant.errors import PlanError
from assistant.warp.lengths import plain
from assistant.warp.model import MOST_IN_A_DENT

WITHIN = 0.5  # ends per unit by which a sley plan may miss the sett
LONGEST_REPEAT = 12  # dents, unless none so short comes near enough
COMFORTABLE = 4  # ends in a dent: more crowd it
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
    def empty_before(self) -> int:
        """Dents that the repeat, as it is written, leaves empty before its first end."""
        return sum(1 for _ in takewhile(lambda ends: not ends, self.repeat))

    def empty_after(self, ends: int) -> int:
        """Dents that the repeat, as it is written, leaves empty after so many ends, before it begins anew."""
        at = (self.dent(ends) + self.empty_before) % len(self.repeat)
        return sum(1 for _ in takewhile(lambda held: not held, self.repeat[at:])) if at else 0

    @cached_property
    def _begun(self) -> tuple[int, ...]:
        """The repeat, beginning with a dent that holds an end."""
        return self.repeat[self.empty_before :] + self.repeat[: self.empty_before]

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

    def room(self, ends: int) -> int:
        """How many ends more the last dent of so many would hold."""
        return self.ends(self.dent(ends)).stop - 1 - ends

    @property
    def without_end(self) -> Iterable[int]:
        """The ends in each dent of a warp without end."""
        return cycle(self._begun)

    def filled(self, ends: int) -> Counter[int]:
        """Ends in a dent -> dents that hold so many, for a warp of so many ends; 0 for the empty ones between."""
        rounds, rest = divmod(self.dent(ends) - 1, len(self.repeat))
        found = Counter({held: times * rounds for held, times in Counter(self._begun).items()})
        found.update(self._begun[:rest])
        found[ends - self.ends(self.dent(ends)).start + 1] += 1
        return found


def evenly(ends: int, dents: int) -> Sley:
    """So many ends over so many dents, in the shortest repeat.

    The fuller dents fall as the steps of a line drawn in squares (Bresenham 1965), so that no two of them lie closer
    than they must and no stripe shows.
    """
    common = gcd(ends, dents)
    ends, dents = ends // common, dents // common
    return Sley(tuple((i + 1) * ends // dents - i * ends // dents for i in range(dents)))


def spread(sett: float, reed: float) -> Sley:
    """The even repeat that gives the sett: the shortest that does so exactly, else the nearest; PlanError where none.

    Repeats of up to twelve dents are tried; where none of them comes within half an end per unit, longer ones are.
    """
    check(sett, reed)
    tried = [sley for dents in range(1, LONGEST_REPEAT + 1) if (sley := _of_dents(dents, sett, reed))]
    nearest = min(tried, key=lambda sley: round(abs(off(sley, sett, reed)), 2), default=None)
    return nearest if nearest and _near(nearest, sett, reed) else _shortest(sett, reed)


def spread_before(sett: float, reed: float) -> Sley:
    """The plan that was made while a repeat was to be short rather than exact, for what was begun with it."""
    check(sett, reed)
    return _shortest(sett, reed)


def off(sley: Sley, sett: float, reed: float) -> float:
    """Ends per unit by which a repeat is over the sett; under it: negative."""
    return sley.per_dent * reed - sett


def _shortest(sett: float, reed: float) -> Sley:
    """The shortest even repeat that comes within half an end per unit."""
    tried = (_of_dents(dents, sett, reed) for dents in count(1))
    return next(sley for sley in tried if sley and _near(sley, sett, reed))


def _near(sley: Sley, sett: float, reed: float) -> bool:
    return abs(off(sley, sett, reed)) <= WITHIN + _HAIR


def _of_dents(dents: int, sett: float, reed: float) -> Sley | None:
    """The repeat of so many dents that comes nearest; None where it would hold no end."""
    ends = int(sett / reed * dents + 0.5)
    return evenly(ends, dents) if ends else None


def check(sett: float, reed: float) -> None:
    """Raise PlanError where there is no such reed, or no dent of it could hold the ends, or hardly one would."""
    if not LEAST_DENTS <= reed <= MOST_DENTS:
        raise PlanError("reed is {reed}; write its dents per unit, for instance 10", reed=plain(reed, 4))
    if not 1 / MOST_IN_A_DENT <= sett / reed <= MOST_IN_A_DENT:
        what = "sett {sett} cannot be sleyed in a reed of {reed}; look for a wrong number"
        raise PlanError(what, sett=plain(sett, 4), reed=plain(reed, 4))


class ReedChoice(NamedTuple):
    """A reed, and the sley plan that it gets for the sett wanted."""

    reed: float
    sley: Sley
    sett: float  # that it gives
    off: float  # its sett less the one wanted


def rank_reeds(sett: float, reeds: Iterable[float]) -> tuple[ReedChoice, ...]:
    """Each reed with its sley plan, the simplest first, few dents to a repeat and none crowded; then the nearest."""
    return tuple(sorted((_choice(sett, reed) for reed in dict.fromkeys(reeds)), key=_rank))


def _choice(sett: float, reed: float) -> ReedChoice:
    sley = spread(sett, reed)
    return ReedChoice(reed, sley, sley.per_dent * reed, off(sley, sett, reed))


def _rank(choice: ReedChoice) -> tuple[int, float]:
    crowded = max(0, max(choice.sley.repeat) - COMFORTABLE)
    return len(choice.sley.repeat) + crowded, abs(choice.off)
