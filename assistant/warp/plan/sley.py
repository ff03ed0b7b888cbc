"""The sley plan: how many ends go in each dent, and which end lies where."""

from bisect import bisect_right
from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, count
from math import gcd

from assistant.errors import PlanError
from assistant.warp.lengths import plain
from assistant.warp.model import MOST_IN_A_DENT

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
        raise PlanError(f"reed is {plain(reed, 4)}; write its dents per unit, for instance 10")
    if not 1 / MOST_IN_A_DENT <= sett / reed <= MOST_IN_A_DENT:
        raise PlanError(
            f"sett {plain(sett, 4)} cannot be sleyed in a reed of {plain(reed, 4)}; look for a wrong number"
        )


def written(sley: Sley) -> str:
    """A repeat as weavers write it: "2-2-3", "2 in each dent"."""
    if len(set(sley.repeat)) == 1:
        return f"{sley.repeat[0]} in each dent"
    return "-".join(map(str, sley.repeat))
