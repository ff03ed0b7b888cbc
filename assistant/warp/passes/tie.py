"""Tying a new warp to the old one: a knot for every end, from the crosses of both."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count

from assistant.meaning import Tell
from assistant.warp.model import Warp
from assistant.warp.passes.colours import one_by_one
from assistant.warp.passes.walk import USUAL_PACE, Call, Figure, Item, Pass, Size, chunks


@dataclass(frozen=True, slots=True)
class Knot:
    """One end of each warp; in both crosses they lie over the first lease stick, or under it."""

    over: bool
    yarn: str  # of the new warp

    @property
    def yarns(self) -> tuple[str, ...]:
        """The same, for those that ask for several."""
        return (self.yarn,)


def _units(warp: Warp, _: int) -> Iterator[Sequence[Knot]]:
    """The first end lies over, and every other one after it; each beam has a cross of its own."""
    number: defaultdict[str, Iterator[int]] = defaultdict(count)
    for group in warp.groups:
        yield tuple(Knot(next(number[end.beam]) % 2 == 0, end.yarn) for end in group.ends)


def _tell(warp: Warp, call: Call[Knot]) -> Sequence[Item]:
    return one_by_one(warp, call, _items)


def _items(knot: Knot, caption: Tell) -> Iterator[Item]:
    """Over or under, on the beat."""
    side = "over" if knot.over else "under"
    yield Item(Tell(side, beat=True), (Figure(Tell(side), caption, (knot.yarn,) if knot.yarn else ()),))


TIE = Pass(
    name="tie",
    about="tie a new warp to the old one, knot by knot from both crosses",
    unit="knot",
    size=Size("--per-call", "call at most N knots at once", 4, 12),
    units=_units,
    cut=chunks,
    tell=_tell,
    pace=USUAL_PACE,
)
