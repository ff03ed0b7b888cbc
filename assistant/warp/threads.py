"""A threading as it is written: what hangs in each heddle, in order, and where calls end."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import chain
from typing import NamedTuple

from assistant.warp.model import End

LONGEST_AT_ONCE = 6  # units of a repeat, or heddles of a block, that are called whole: common practice, no source


class Hung(NamedTuple):
    """Ends that hang together, in one heddle on each of these shafts; without shafts, an end that floats."""

    shafts: tuple[int, ...]
    ends: int = 1


class CallMark(Enum):
    """What stands between ends."""

    CALL_ENDS = ";"


CALL_ENDS = CallMark.CALL_ENDS
FLOATING = Hung(())
Item = Hung | CallMark


@dataclass(frozen=True, slots=True)
class Threaded:
    """What hangs where, with marks between."""

    items: tuple[Item, ...]

    @classmethod
    def of(cls, ends: Iterable[End], calls: Iterable[int] = ()) -> "Threaded":
        """That of such ends; `calls` as those of a Group."""
        known: dict[tuple[tuple[int, ...], int], Hung] = {}
        items: list[Item] = []
        cuts = frozenset(calls)
        for number, end in enumerate(ends, 1):
            last = items[-1] if items else CALL_ENDS
            shafts, together = end.shafts, 1
            if end.joins and not isinstance(last, CallMark):
                items.pop()
                together += last.ends
            hung = known.get((shafts, together))
            if hung is None:
                hung = known[shafts, together] = Hung(shafts, together)
            items.append(hung)
            if number in cuts:
                items.append(CALL_ENDS)
        return cls(tuple(items))

    @property
    def hung(self) -> tuple[Hung, ...]:
        """What hangs where, without marks."""
        return tuple(item for item in self.items if not isinstance(item, CallMark))

    @property
    def count(self) -> int:
        """How many ends it has."""
        return sum(one.ends for one in self.hung)

    @property
    def ends(self) -> tuple[End, ...]:
        """Its ends, of no yarn and on no beam; those that are equal are one and the same."""
        hung, known = self.hung, dict[End, End]()
        made = {one: tuple(known.setdefault(end, end) for end in _ends(one)) for one in set(hung)}
        return tuple(chain.from_iterable(made[one] for one in hung))

    @property
    def shafts(self) -> tuple[tuple[int, ...], ...]:
        """The shafts of each end."""
        return tuple(chain.from_iterable((one.shafts,) * one.ends for one in self.hung))

    @property
    def calls(self) -> tuple[int, ...]:
        """After how many ends a call ends, the last included; none where nothing is marked."""
        if CALL_ENDS not in self.items:
            return ()
        cuts, ends = {0}, 0
        for item in self.items:
            if isinstance(item, CallMark):
                cuts.add(ends)
            else:
                ends += item.ends
        return tuple(sorted({*cuts, ends} - {0}))

    @property
    def mirrored(self) -> "Threaded":
        """The same, backwards."""
        return Threaded(self.items[::-1])


def backwards(ends: Sequence[End]) -> tuple[End, ...]:
    """The ends the other way round: of those in one heddle, what was the last comes first, and the others join it."""
    known: dict[End, End] = {}
    found = []
    joins = False
    for end in reversed(ends):
        found.append(end if end.joins == joins else known.setdefault(end, replace(end, joins=joins)))
        joins = end.joins
    return tuple(found)


def calls_backwards(calls: Sequence[int]) -> tuple[int, ...]:
    """After how many ends calls end, counted from the last."""
    return (*(calls[-1] - call for call in reversed(calls[:-1])), calls[-1]) if calls else ()


def _ends(hung: Hung) -> tuple[End, ...]:
    return End(hung.shafts), *[End(hung.shafts, joins=True)] * (hung.ends - 1)
