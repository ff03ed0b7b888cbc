"""The ends of a warp by heddles: what is divided into groups, and never apart."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from assistant.warp.model import MOST_AT_AN_EDGE, End
from assistant.warp.notation import written
from assistant.warp.threads import Hung


@dataclass(frozen=True, slots=True)
class DraftStrand:
    """The ends of one heddle, or one that floats: their shafts, and of each its yarn and beam."""

    shafts: tuple[int, ...]
    yarns: tuple[str, ...]
    beams: tuple[str, ...]

    @property
    def word(self) -> str:
        """As the notation has it."""
        return written(Hung(self.shafts, len(self.yarns)))

    @property
    def plain(self) -> "DraftStrand":
        """One of its ends alone."""
        return DraftStrand(self.shafts, self.yarns[:1], self.beams[:1])


Strands = tuple[DraftStrand, ...]


def strands(ends: Iterable[End]) -> Strands:
    """The ends by heddles; those alike are one value."""
    known: dict[tuple[End, ...], DraftStrand] = {}
    found: list[DraftStrand] = []
    together: tuple[End, ...] = ()
    for end in ends:
        if end.joins and together:
            together = (*together, end)
            continue
        if together:
            found.append(_strand(together, known))
        together = (end,)
    return (*found, _strand(together, known)) if together else ()


def _strand(ends: tuple[End, ...], known: dict[tuple[End, ...], DraftStrand]) -> DraftStrand:
    if ends not in known:
        known[ends] = DraftStrand(ends[0].shafts, tuple(end.yarn for end in ends), tuple(end.beam for end in ends))
    return known[ends]


def words(of: Iterable[DraftStrand]) -> tuple[str, ...]:
    """Each in the notation."""
    return tuple(strand.word for strand in of)


def yarns(of: Iterable[DraftStrand]) -> list[str]:
    """The yarn of every end."""
    return [yarn for strand in of for yarn in strand.yarns]


def beams(of: Iterable[DraftStrand]) -> list[str]:
    """The beam of every end."""
    return [beam for strand in of for beam in strand.beams]


@dataclass(frozen=True, slots=True)
class BothEdges:
    """What both sides have alike: so many ends float outermost, then so many heddles have two ends."""

    floating: int = 0
    doubled: int = 0

    @property
    def key(self) -> str:
        """As a sequence file has it, "" where there is nothing."""
        given = {"floating": self.floating, "doubled": self.doubled}
        return ", ".join(f"{name}: {count}" for name, count in given.items() if count)


def without_selvedge(of: Strands) -> tuple[BothEdges, Strands]:
    """What both sides have alike, and the strands without it: those that float gone, those doubled single."""
    floating = _alike(of, lambda strand: not strand.shafts)
    inside = of[floating : len(of) - floating]
    doubled = _alike(inside, lambda strand: len(strand.yarns) == 2 and len({*strand.yarns}) == 1)
    if not inside or any(strand.yarns[0] != of[at].yarns[0] for at, strand in ((0, inside[0]), (-1, inside[-1]))):
        return BothEdges(), of
    single = tuple(strand.plain for strand in inside)
    stop = len(inside) - doubled
    return BothEdges(floating, doubled), (*single[:doubled], *inside[doubled:stop], *single[stop:])


def _alike(of: Sequence[DraftStrand], fits: Callable[[DraftStrand], bool]) -> int:
    """How many fit at either side, the same number; those of both sides never meet."""
    sides = []
    for side in (of, of[::-1]):
        fitting, run = next(groupby(side, fits), (False, ()))
        sides.append(len(list(run)) if fitting else 0)
    return min(*sides, (len(of) - 1) // 2, MOST_AT_AN_EDGE) if of else 0
