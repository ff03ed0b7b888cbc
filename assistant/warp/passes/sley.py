"""Sleying: the ends through the dents of the reed, as many in each as the sley plan says."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, chain, groupby, islice

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp.model import Warp
from assistant.warp.passes.walk import Call, Figure, Item, Pass, Size
from assistant.warp.reed import InReed, in_reed, start, width_cautions

MARK = {"inch": 1, "cm": 2}  # how far apart the number of a dent is told


@dataclass(frozen=True, slots=True)
class Sleyed:
    """One end in its dent."""

    dent: int  # counted from the first in use
    nth: int  # of the ends in the dent, from 1
    held: int  # ends the dent holds in all
    empty: int  # dents left empty before this one
    mark: int  # inches or cm reached when this end is through; 0 between the marks
    yarn: str


@dataclass(frozen=True, slots=True)
class Dent:
    """A dent as it is to be filled: the yarns of the ends that come into it, after those that are in it; or empty."""

    number: int
    yarns: tuple[str, ...] = ()
    before: int = 0


def dents(units: Iterable[object]) -> tuple[Dent, ...]:
    """The dents of some units of a pass, in order, the empty ones among them; none where none is sleyed."""
    told: list[Dent] = []
    for ends in _by_dent([unit for unit in units if isinstance(unit, Sleyed)]):
        first = ends[0]
        left_empty = range(first.dent - first.empty, first.dent) if first.nth == 1 else ()
        told += map(Dent, left_empty)
        told.append(Dent(first.dent, tuple(end.yarn for end in ends), first.nth - 1))
    return tuple(told)


def _units(warp: Warp, _: int) -> Iterator[Sequence[Sleyed]]:
    ends = _sleyed(_dented(warp), MARK[warp.unit], [end.yarn for end in warp.every_end()])
    return (tuple(islice(ends, len(group.ends))) for group in warp.groups)


def _dented(warp: Warp) -> InReed:
    lying = in_reed(warp)
    if lying is None or not lying.has_dents:
        raise PlanError("there is no sley plan to follow; write reed, with sett or sley, in the file")
    return lying


def _sleyed(lying: InReed, apart: int, yarns: Sequence[str]) -> Iterator[Sleyed]:
    """The ends in order. A mark may lie in an empty dent: it is reached with the last end before it."""
    end, before, ahead = 1, 0, apart
    while end <= lying.ends:
        dent = lying.sley.dent(end)
        last = min(lying.sley.ends(dent).stop - 1, lying.ends)
        until = dent if last == lying.ends else lying.sley.dent(last + 1) - 1
        reached = 0
        while lying.dent_at(ahead) <= until:
            reached, ahead = ahead, ahead + apart
        held, empty = last - end + 1, dent - before - 1
        for nth in range(1, held + 1):
            yield Sleyed(dent, nth, held, empty, reached if nth == held else 0, yarns[end + nth - 2])
        end, before = last + 1, dent


def _by_dent(ends: Sequence[Sleyed]) -> list[list[Sleyed]]:
    return [list(dent) for _, dent in groupby(ends, key=lambda end: end.dent)]


def _cut(ends: Sequence[Sleyed], size: int) -> Iterator[Sequence[Sleyed]]:
    """Dents that are alike, up to a mark; a dent that two groups share stands alone."""
    called: list[list[Sleyed]] = []
    for dent in _by_dent(ends):
        if called and (len(called) == size or called[-1][-1].mark or _kind(dent) != _kind(called[-1])):
            yield tuple(chain.from_iterable(called))
            called = []
        called.append(dent)
    yield tuple(chain.from_iterable(called))


def _kind(dent: Sequence[Sleyed]) -> tuple[int, ...]:
    return dent[0].nth, len(dent), dent[0].held, dent[0].empty


def _ends_in(warp: Warp) -> Sequence[int]:
    lying = _dented(warp)
    return [lying.sley.dent(last) for last in accumulate(len(group.ends) for group in warp.groups)]


def _tell(warp: Warp, call: Call[Sleyed]) -> Sequence[Item]:
    begin = _begin(warp) if call.first == 1 else []
    alike = [_dents(list(dents)) for _, dents in groupby(_by_dent(call.units), key=_kind)]
    return [*begin, *alike, *_mark(warp, call.units[-1])]


def _begin(warp: Warp) -> list[Item]:
    """Where the first end goes, so that the warp lies in the middle of the reed."""
    dent = start(_dented(warp), warp.loom.reed_width).first_dent
    return [Item(Tell(f"begin at the {warp.start}", dent=dent), aside=True)] if dent else []


def _dents(dents: Sequence[Sequence[Sleyed]]) -> Item:
    """Dents that are alike; one alone may have been begun before."""
    first, last, held = dents[0][0], dents[-1][-1], len(dents[0])
    if first.nth > 1:
        more = Tell("caption: more in the dent", first=first.dent)
        return Item(Tell("more in the dent", held=held), (Figure(str(held), more),))
    numbers = Tell("caption: dent" if len(dents) == 1 else "caption: dents", first=first.dent, last=last.dent)
    each = Tell("caption: after empty ones", empty=first.empty) if first.empty else Tell("caption: in each")
    figures = Figure(str(len(dents)), numbers), Figure(str(held), each)
    if last.nth < last.held:
        return Item(Tell("part of a dent", held=held), figures)
    phrase = "dents after empty ones" if first.empty else "dents"
    return Item(Tell(phrase, count=len(dents), held=held, empty=first.empty), figures)


def _mark(warp: Warp, end: Sleyed) -> list[Item]:
    return [Item(Tell(f"mark {warp.unit}", count=end.mark, dent=end.dent), aside=True)] if end.mark else []


SLEY = Pass(
    name="sley",
    about="sley the reed, dents that are alike together, with the number of the dent at every mark",
    unit="end",
    size=Size("--per-call", "call at most N dents at once", 5, 20),
    units=_units,
    cut=_cut,
    tell=_tell,
    pace=8.0,
    cautions=width_cautions,
    ends_in=_ends_in,
)
