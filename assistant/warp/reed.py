"""How a warp lies in the reed: which ends in which dent, how wide, and where it begins."""

import math
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import islice, takewhile
from operator import attrgetter
from typing import NamedTuple

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp.lengths import METRES, SPAN
from assistant.warp.model import EdgeSley, End, Unit, Warp
from assistant.warp.notation import period
from assistant.warp.sett import LEAST_DENTS, Sley, check, spread, spread_before

WIDEST = 10_000.0  # metres


class Strip(NamedTuple):
    """Ends that lie by one repeat, from this one, in this dent, up to those of the next strip."""

    end: int
    dent: int
    sley: Sley


class Used(NamedTuple):
    """A dent that holds ends."""

    dent: int
    ends: range
    begins: bool  # a repeat does, in it


@dataclass(frozen=True, slots=True)
class InReed:
    """How a warp lies in the reed, its width in the unit of the warp; distances go from the edge of the first end.

    Ends and dents count from 1; dent 1 holds the first end, but in a part that begins with empty dents. Where the reed
    is not known, every end has a space to itself, as wide as the sett gives it.
    """

    ends: int
    sley: Sley  # the warp's own; where no end lies by it, the one by which most do
    strips: tuple[Strip, ...]
    per_inch_or_cm: float  # dents, or such spaces
    has_dents: bool

    def dent(self, end: int) -> int:
        """The dent an end goes through."""
        return _dent(self._of_end(end), end)

    def held(self, dent: int) -> range:
        """The ends in a dent in use; none in an empty one, which lies before the end it begins at."""
        at = max(0, bisect_right(self.strips, dent, key=attrgetter("dent")) - 1)
        strip, stop = self.strips[at], self._stop(at)
        if dent < strip.dent:
            return range(strip.end, strip.end)
        ends = strip.sley.ends(dent - strip.dent + 1)
        first = strip.end - 1
        return range(min(first + ends.start, stop), min(first + ends.stop, stop))

    @property
    def used(self) -> Iterator[Used]:
        """The dents that hold ends, in order."""
        for at, (first, dent, sley) in enumerate(self.strips):
            end, stop = first, self._stop(at)
            for number, held in enumerate(sley.without_end):
                if end >= stop:
                    break
                if held:
                    yield Used(dent + number, range(end, min(end + held, stop)), number % len(sley.repeat) == 0)
                end += held

    def repeats(self, ends: Sequence[int]) -> list[Sley]:
        """Those by which these ends lie, the first to the last, each once."""
        first, last = (bisect_right(self.strips, end, key=attrgetter("end")) for end in (ends[0], ends[-1]))
        return list(dict.fromkeys(strip.sley for strip in self.strips[first - 1 : last]))

    @property
    def filled(self) -> dict[int, int]:
        """Ends in a dent -> dents that hold so many; 0 for the empty ones between."""
        found: Counter[int] = Counter()
        for at, strip in enumerate(self.strips):
            found.update(strip.sley.filled(self._stop(at) - strip.end))
        found[0] += self.dents - found.total()
        return {held: dents for held, dents in sorted(found.items()) if dents}

    @property
    def dents(self) -> int:
        """Dents used, empty ones between included."""
        return self.dent(self.ends)

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
        dent = self.dent(end)
        held = self.held(dent)
        return (dent - 1 + (end - held.start + 0.5) / len(held)) / self.per_inch_or_cm

    def dent_at(self, distance: float) -> int:
        """The last dent within a distance, to the nearest whole one."""
        return round(distance * self.per_inch_or_cm)

    def nearest(self, distance: float) -> int:
        """The end that lies nearest to a distance within the width."""
        dent = min(self.dents, max(1, math.ceil(distance * self.per_inch_or_cm)))
        held = self.held(dent)
        around = range(max(1, held.start - 1), min(self.ends, held.stop) + 1)
        return min(around, key=lambda end: abs(self.at(end) - distance))

    def part(self, dents: range) -> "InReed":
        """These dents, rising or falling by one, as they lie one after the other: ends and dents count from the first.

        One of them at least holds an end.
        """
        strips, ends = [], 1
        for at in range(len(self.strips))[:: dents.step]:
            for dent, repeat, held in self._runs(at, dents):
                strips.append(Strip(ends, dents.index(dent) + 1, repeat))
                ends += held
        return InReed(ends - 1, self.sley, tuple(strips), self.per_inch_or_cm, self.has_dents)

    def _runs(self, at: int, dents: range) -> Iterator[tuple[int, Sley, int]]:
        """Of the dents of a strip those asked for, in that order: the first, the repeat from there, and their ends.

        A dent that its repeat would fill further is alone.
        """
        strip = self.strips[at]
        own = range(strip.dent, _dent(strip, self._stop(at) - 1) + 1)
        inside = [dent for dent in (own if dents.step > 0 else reversed(own)) if dent in dents and self.held(dent)]
        while inside:
            dent, held = inside[0], len(self.held(inside[0]))
            row = (dent - strip.dent + 1 + dents.step * number for number in range(len(strip.sley.repeat)))
            repeat = tuple(len(strip.sley.ends(each)) for each in row)
            if held < repeat[0]:
                inside = inside[1:]
                yield dent, Sley((held,)), held
            else:
                yield dent, Sley(repeat), sum(len(self.held(each)) for each in inside)
                inside = []

    def _of_end(self, end: int) -> Strip:
        return self.strips[bisect_right(self.strips, end, key=attrgetter("end")) - 1]

    def _stop(self, at: int) -> int:
        """The first end after a strip."""
        return self.strips[at + 1].end if at + 1 < len(self.strips) else self.ends + 1


def _dent(strip: Strip, end: int) -> int:
    return strip.dent - 1 + strip.sley.dent(end - strip.end + 1)


class Start(NamedTuple):
    """Where a warp begins in a reed."""

    first_dent: int | None  # counted from the reed's end on the side of the first end; None where it does not fit
    from_centre: float


def in_reed(warp: Warp) -> InReed | None:
    """How the warp lies in the reed; None where neither the sett nor reed and sley tell.

    Raises PlanError where they cannot be, or tell of some groups alone.
    """
    reed, sett, span = warp.loom.reed, warp.sett, SPAN[warp.unit]
    if reed:
        check(sett or reed, reed)
    own = Sley(warp.sley) if warp.sley else spread(sett, reed) if sett and reed else None
    if reed and (own or _said_of_some(warp)):
        lying = _dented(warp, own, reed / span)
    elif sett:
        single = Sley((1,))
        lying = InReed(warp.ends, single, (Strip(1, 1, single),), sett / span, False)
    else:
        return None
    if lying.per_inch_or_cm < LEAST_DENTS / SPAN["cm"]:
        raise PlanError("sett is {sett}; look for a wrong number", sett=f"{sett:g}")
    if lying.width * METRES[warp.unit] > WIDEST:
        raise PlanError("by its sett, reed and sley the warp is more than 10 km wide; look for a wrong number")
    return lying


def _said_of_some(warp: Warp) -> bool:
    return any(group.sley for group in warp.groups) or warp.first_edge is not None or warp.last_edge is not None


class _Edge(NamedTuple):
    """So many of the outermost ends, and how they lie."""

    ends: int
    sley: Sley


class _Piece(NamedTuple):
    """So many ends of a group, or of an edge, and how they lie: by a repeat of their own, or, for None, as the warp."""

    ends: int
    sley: Sley | None
    empty: int = 0  # dents left empty before them
    shares: bool = False  # those after them fill up their last dent
    group: str = ""


def _dented(warp: Warp, own: Sley | None, per_inch_or_cm: float) -> InReed:
    strips = tuple(_strips(_pieces(warp), own))
    stops = [*(strip.end for strip in strips[1:]), warp.ends + 1]
    lie_by: Counter[Sley] = Counter()
    for strip, stop in zip(strips, stops, strict=True):
        lie_by[strip.sley] += stop - strip.end
    sley = own if own and own in lie_by else max(lie_by, key=lambda each: lie_by[each])
    return InReed(warp.ends, sley, strips, per_inch_or_cm, True)


def _pieces(warp: Warp) -> Iterator[_Piece]:
    """The outermost ends of both edges, and the groups without them, in the order of the file."""
    sley_of = cache(Sley)
    first, last = edges(warp)
    inside = range(sum(edge.ends for edge in first), warp.ends - sum(edge.ends for edge in last))
    if inside.stop < inside.start:
        raise PlanError("the edges hold more ends than the warp has; look for a wrong number in their sley")
    yield from (_Piece(*edge) for edge in first)
    before, empty = 0, 0
    for group in warp.groups:
        ends = len(range(max(before, inside.start), min(before + len(group.ends), inside.stop)))
        if ends:
            sley = sley_of(group.sley) if group.sley else None
            gap = group.empty_before if before >= inside.start else 0
            shares = group.shares_dent and before + len(group.ends) < inside.stop
            yield _Piece(ends, sley, gap, shares, group.name)
        elif before == inside.stop:
            empty = group.empty_before
        before += len(group.ends)
    for edge in last:
        yield _Piece(*edge, empty)
        empty = 0


def edges(warp: Warp) -> tuple[list[_Edge], list[_Edge]]:
    """The ends that lie by the sley of an edge, and floating ones beside them in a dent of their own, of both edges."""
    first = _edge(warp.first_edge, list(warp.every_end()))
    last = _edge(warp.last_edge, [end for group in reversed(warp.groups) for end in reversed(group.ends)])
    return first, [_Edge(each.ends, _from_inside(each)) for each in reversed(last)]


def _edge(edge: EdgeSley | None, ends: Sequence[End]) -> list[_Edge]:
    """The same of one edge, from the outermost end on; a warp that floats altogether has no edge that does."""
    floating = sum(1 for _ in takewhile(attrgetter("floats"), ends))
    alone = floating - (edge.ends if edge else 0) if floating < len(ends) else 0
    own = [_Edge(edge.ends, Sley(edge.sley))] if edge else []
    return [*own, _Edge(alone, Sley((alone,)))] if alone > 0 else own


def _from_inside(edge: _Edge) -> Sley:
    """The repeat by which the ends of an edge lie in the same dents, the innermost first."""
    return beginning([*(0,) * edge.sley.empty_after(edge.ends), *reversed(_dealt(edge.sley, edge.ends))])


def _dealt(sley: Sley, ends: int) -> list[int]:
    """The ends in each dent of so many."""
    held = list(islice(sley.without_end, sley.dent(ends)))
    held[-1] -= sley.room(ends)
    return held


def beginning(held: Sequence[int]) -> Sley:
    """The shortest repeat that begins with these dents."""
    return Sley(tuple(held[: period(held)]))


def _strips(pieces: Iterator[_Piece], own: Sley | None) -> Iterator[Strip]:
    """Pieces that lie by the same repeat without a break are one strip, as is what fills up its last dent."""
    strip: Strip | None = None
    before, end, as_warp = _Piece(0, None), 1, False
    for piece in pieces:
        ends = piece.ends
        goes_on = before.sley is piece.sley is None and not piece.empty
        shares = goes_on or (before.shares and not piece.empty)
        if strip and shares:
            more = ends if goes_on and as_warp else min(strip.sley.room(end - strip.end), ends)
            end, ends = end + more, ends - more
        if ends:
            sley = piece.sley or own
            if sley is None:
                what = "there is no sley for {group}; write sley, or sett, for the whole warp in the file"
                raise PlanError(what, group=piece.group)
            dent = 1
            if strip:
                between = 0 if shares else strip.sley.empty_after(end - strip.end)
                dent = _dent(strip, end - 1) + 1 + between + piece.empty + sley.empty_before
                yield strip
            strip, end, as_warp = Strip(end, dent, sley), end + ends, piece.sley is None
        before = piece
    if strip:
        yield strip


def planned_before(warp: Warp) -> Warp:
    """The warp with the sley plan that was made for it while a repeat was to be short rather than exact."""
    if warp.sley or not (warp.loom.reed and warp.sett):
        return warp
    return replace(warp, sley=spread_before(warp.sett, warp.loom.reed).repeat)


def as_planned(begun: Warp, now: Warp) -> Warp:
    """The warp of now; where it leaves its sley to the plan, by that with which the same sett and reed were begun."""
    same = (begun.sett, begun.loom.reed, begun.unit) == (now.sett, now.loom.reed, now.unit)
    planned = planned_before(now)
    return planned if same and planned.sley == begun.sley else now


def start(lying: InReed, reed_width: float | None) -> Start:
    """Where to begin so that the warp lies in the middle of a reed so wide; the odd dent is left at the far side."""
    if reed_width is None:
        return Start(None, lying.width / 2)
    in_all = reed_dents(lying, reed_width)
    if in_all < lying.dents:
        return Start(None, lying.width / 2)
    empty = empty_before(lying.dents, in_all)
    return Start(empty + 1, (in_all / 2 - empty) / lying.per_inch_or_cm)


def empty_before(dents: int, in_all: int) -> int:
    """Dents of a reed left empty before the first end, so that so many in use lie in the middle of all."""
    return (in_all - dents) // 2


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


def sley_cautions(warp: Warp) -> tuple[Tell, ...]:
    """That no repeat gives the sett exactly, where the sley plan comes of it."""
    lying, sett = in_reed(warp), warp.sett
    if warp.sley or not (lying and lying.has_dents and sett and lying.sley == spread(sett, warp.loom.reed or 0)):
        return ()
    given = lying.sett(warp.unit)
    missed = round(abs(given - sett), 2)
    return (
        (Tell(f"sett missed {warp.unit}", asked=round(sett, 2), given=round(given, 2), off=missed),) if missed else ()
    )
