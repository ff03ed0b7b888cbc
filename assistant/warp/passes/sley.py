"""Sleying: the ends through the dents of the reed, as many in each as the sley plan says."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain, groupby, islice

from assistant.errors import PlanError
from assistant.meaning import Tell, listed
from assistant.warp.model import Edge, Warp
from assistant.warp.outward import Leg, Outward, as_sleyed
from assistant.warp.passes.rounds import Round, rounds
from assistant.warp.passes.walk import Call, Figure, Item, Pass, Size
from assistant.warp.reed import InReed, in_reed, sley_cautions, start, width_cautions
from assistant.warp.turned import OTHER

MARK = {"inch": 1, "cm": 2}  # how far apart the number of a dent is told
LEAST = 6  # dents in a call, where neither its group nor its size ends it before
MOST_IN_MIND = 7.0  # numbers of a call, as rounds count them


@dataclass(frozen=True, slots=True)
class Sleyed:
    """One end in its dent."""

    dent: int  # counted from the first in use
    nth: int  # of the ends in the dent, from 1
    held: int  # ends the dent holds in all
    empty: int  # dents left empty before this one
    mark: int  # inches or cm reached when this end is through; 0 between the marks
    yarn: str
    begins: bool = field(default=False, compare=False)  # the repeat begins anew with its dent


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
    for leg in lies(warp):
        groups = warp.groups[leg.groups.start : leg.groups.stop]
        ends = _sleyed(leg.lying, MARK[warp.unit], [end.yarn for group in groups for end in group.ends])
        yield from (tuple(islice(ends, len(group.ends))) for group in groups)


def lies(warp: Warp) -> tuple[Leg, ...]:
    """The legs in which it is gone along the reed. Raises PlanError where no sley is known."""
    if isinstance(warp, Outward):
        return warp.legs
    return (Leg(range(len(warp.groups)), warp.start, _dented(warp)),)


def _dented(warp: Warp) -> InReed:
    lying = in_reed(warp)
    if lying is None or not lying.has_dents:
        raise PlanError("there is no sley plan to follow; write reed, with sett or sley, in the file")
    return lying


def _sleyed(lying: InReed, apart: int, yarns: Sequence[str]) -> Iterator[Sleyed]:
    """The ends in order. A mark may lie in an empty dent: it is reached with the last end before it."""
    before, ahead, used = 0, apart, list(lying.used)
    following = [*(each.dent for each in used[1:]), lying.dents + 1]
    for (dent, ends, begins), after in zip(used, following, strict=True):
        until, reached, held = after - 1, 0, len(ends)
        while lying.dent_at(ahead) <= until:
            reached, ahead = ahead, ahead + apart
        for nth, end in enumerate(ends, 1):
            yield Sleyed(dent, nth, held, dent - before - 1, reached if nth == held else 0, yarns[end - 1], begins)
        before = dent


_Dent = Sequence[Sleyed]


def _by_dent(ends: Sequence[Sleyed]) -> list[_Dent]:
    return [list(dent) for _, dent in groupby(ends, key=lambda end: end.dent)]


def _cut(ends: Sequence[Sleyed], size: int) -> Iterator[Sequence[Sleyed]]:
    """Whole repeats, up to the one in which a mark lies, in calls that are about as long as each other."""
    dents, done = _by_dent(ends), 0
    repeats = [*(at for at, dent in enumerate(dents) if at and dent[0].begins), len(dents)]
    marked = {repeats[bisect_left(repeats, at)] for at, dent in enumerate(dents, 1) if dent[-1].mark}
    goals = sorted({*marked, len(dents)})
    while done < len(dents):
        goal = goals[min(bisect_left(goals, done + LEAST), len(goals) - 1)]
        stop = next(stop for stop in _stops(repeats, done, goal, size) if _kept_in_mind(dents[done:stop]))
        yield tuple(chain.from_iterable(dents[done:stop]))
        done = stop


def _stops(repeats: Sequence[int], done: int, goal: int, size: int) -> Iterator[int]:
    """Where a call may end that begins after so many dents, best first: with a repeat, else anywhere."""
    calls = -(-(goal - done) // size)
    even = done - (done - goal) // calls
    ends = repeats[bisect_right(repeats, done) : bisect_right(repeats, min(done + size, goal))]
    yield from reversed([end for end in ends if end <= even])
    yield from (end for end in ends if end > even)
    yield from range(even, done, -1)


def _kept_in_mind(dents: Sequence[_Dent]) -> bool:
    return len(dents) == 1 or sum(cost for _, cost in _told_together(dents)) <= MOST_IN_MIND


def _told_together(dents: Sequence[_Dent]) -> Iterator[tuple[Sequence[tuple[Sequence[_Dent], Round]], float]]:
    """Dents in rounds, and what there is of them to keep in mind; one that two groups share is told alone."""
    for alone, together in groupby(dents, key=_shared):
        row, at, told = list(together), 0, []
        found = rounds([(dent[0].empty, len(dent)) if not alone else number for number, dent in enumerate(row)])
        for one in found.rounds:
            told.append((row[at : at + one.length * one.times], one))
            at += one.length * one.times
        yield told, found.cost


def _shared(dent: _Dent) -> bool:
    return len(dent) < dent[0].held


def _tell(warp: Warp, call: Call[Sleyed]) -> Sequence[Item]:
    dents = _by_dent(call.units)
    told = [_items(dents, one) for together, _ in _told_together(dents) for dents, one in together]
    begun = [Item(tell, aside=True) for tell in _begin(warp, call.group)] if call.start == 0 else []
    return [*begun, *chain.from_iterable(told), *_marks(warp, call.units)]


def _begin(warp: Warp, group: int) -> Iterator[Tell]:
    """Where a leg begins with this group, so that the warp lies in the middle of the reed."""
    if isinstance(warp, Outward):
        for leg in warp.legs:
            if leg.groups.start == group:
                yield from _out(warp, leg)
    elif group == 0 and (dent := start(_dented(warp), warp.loom.reed_width).first_dent):
        yield Tell(f"begin at the {warp.start}", dent=dent)


def _out(warp: Outward, leg: Leg) -> Iterator[Tell]:
    """The way from the centre to an edge, and how much of the group that lies across the centre is on this side."""
    first = leg.groups.start == 0
    edge: Edge = OTHER[leg.start]
    yield Tell(f"{'out' if first else 'back and'} to the {edge}")
    if dent := warp.beside_centre(leg):
        yield Tell(f"begin at the {edge}", dent=dent)
    yield Tell(f"reaches {warp.unit}", distance=round(leg.lying.width, 1 if warp.unit == "cm" else 2))
    if warp.across:
        here = len(warp.groups[leg.groups.start].ends)
        yield Tell("across the centre", group=warp.across.name, count=here, ends=warp.across.ends)


def _items(dents: Sequence[_Dent], told: Round) -> list[Item]:
    if any(map(_shared, dents)):
        return [item for dent in dents for item in _of_shared(dent)]
    return [_alike(dents) if told.length == 1 else _in_rounds(dents, told)]


def _of_shared(dent: _Dent) -> list[Item]:
    """What comes into a dent that was begun before, or goes on after."""
    first, held = dent[0], len(dent)
    if first.nth > 1:
        more = Tell("caption: more in the dent", first=first.dent)
        return [Item(Tell("more in the dent", held=held), (Figure(str(held), more),))]
    empty = [Item(Tell("rounds", count=1, held=_left_empty(first)))] if first.empty else []
    return [*empty, Item(Tell("part of a dent", held=held), _figures(_written([first], held), None, 1, [dent]))]


def _alike(dents: Sequence[_Dent]) -> Item:
    first, count = dents[0][0], len(dents)
    phrase = "dents after empty ones" if first.empty else "dents"
    each = Tell("caption: after empty ones", empty=first.empty) if first.empty else Tell("caption: in each")
    written = _written([first]) if count == 1 else str(first.held)
    figures = _figures(written, each, count, dents)
    return Item(Tell(phrase, count=count, held=first.held, empty=first.empty), figures)


def _in_rounds(dents: Sequence[_Dent], told: Round) -> Item:
    """The ends of each dent in turn, and how often."""
    row = [dent[0] for dent in dents[: told.length]]
    spoken: list[Tell | int] = []
    for end in row:
        spoken += [_left_empty(end), end.held] if end.empty else [end.held]
    return Item(
        Tell("rounds", count=told.times, held=listed(spoken, ", ")), _figures(_written(row), None, told.times, dents)
    )


def _left_empty(end: Sleyed) -> Tell:
    return Tell("leave empty", count=end.empty)


def _written(row: Sequence[Sleyed], held: int = 0) -> str:
    """The ends in each dent as weavers write them: "2-2-3"."""
    return "-".join(str(each) for end in row for each in (*(0,) * end.empty, held or end.held))


def _figures(written: str, each: Tell | None, times: int, dents: Sequence[_Dent]) -> tuple[Figure, ...]:
    """What comes into the dents, and how often where that is more than once."""
    if times == 1:
        return (Figure(written, _numbers(dents)),)
    return Figure(written, each), Figure(f"{times}×", _numbers(dents))


def _numbers(dents: Sequence[_Dent]) -> Tell:
    first, last = dents[0][0].dent, dents[-1][0].dent
    first -= dents[0][0].empty if len(dents) == 1 else 0
    return Tell("caption: dent" if first == last else "caption: dents", first=first, last=last)


def _marks(warp: Warp, ends: Sequence[Sleyed]) -> Iterator[Item]:
    """The dent at each mark; where the last lies before the end of a call, the dent that it ends in, too."""
    marked = [end for end in ends if end.mark]
    for end in marked:
        where = "mark" if end is ends[-1] else "mark within"
        yield Item(Tell(f"{where} {warp.unit}", count=end.mark, dent=end.dent), aside=True)
    if marked and not ends[-1].mark:
        yield Item(Tell("that is dent", dent=ends[-1].dent), aside=True)


# As it was called while each call held equal dents, for what was begun then.


def _cut_alike(ends: Sequence[Sleyed], size: int) -> Iterator[Sequence[Sleyed]]:
    """Dents that are alike, up to a mark; a dent that two groups share stands alone."""
    called: list[_Dent] = []
    for dent in _by_dent(ends):
        if called and (len(called) == size or called[-1][-1].mark or _kind(dent) != _kind(called[-1])):
            yield tuple(chain.from_iterable(called))
            called = []
        called.append(dent)
    yield tuple(chain.from_iterable(called))


def _kind(dent: _Dent) -> tuple[int, ...]:
    return dent[0].nth, len(dent), dent[0].held, dent[0].empty


SLEY = Pass(
    name="sley",
    about="sley the reed, repeat by repeat, with the number of the dent at every mark",
    unit="end",
    size=Size("--per-call", "call at most N dents at once", 12, 24),
    units=_units,
    cut=_cut,
    tell=_tell,
    pace=8.0,
    cautions=lambda warp: (*width_cautions(warp), *sley_cautions(warp)),
    along=as_sleyed,
    lies=lies,
)
SLEY = replace(SLEY, before=replace(SLEY, size=replace(SLEY.size, usual=5, most=20), cut=_cut_alike))
