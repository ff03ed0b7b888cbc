"""What a question points at, as a picture: ends or dents from left to right, and how they are counted. Pure."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise

from assistant.senses.screen.dyes import Dye
from assistant.session.view import Edge, Pointing, Thing, View

MOST = 21  # ends or dents that are drawn; the others are told by their number
APART = 3  # of them, from one that has its number to the next
PLAIN = Dye("", edge=True)


@dataclass(frozen=True, slots=True)
class Drawn:
    """An end, or a dent with what is in it; or so many of either that are left out."""

    number: int  # as it is counted; 0: those left out, or more that follow
    meant: bool = False
    numbered: bool = False
    dots: tuple[Dye, ...] = ()  # DENTS: the ends that come into it, from left to right
    before: int = 0  # and those that are in it already
    left_out: int = 0  # 0: it only goes on


@dataclass(frozen=True, slots=True)
class Pointed:
    """A row of marks, as seen from the front."""

    thing: Thing
    marks: tuple[Drawn, ...]  # from left to right
    side: Edge  # from which they are counted
    count: int = 0  # so many from there, or from the mark `since`; 0: nothing is counted
    since: int = -1  # the place of that mark in the row; -1: from the side
    goal: int = -1  # the place of the mark that is counted to


def pointed(view: View, dyed: Mapping[str, Dye]) -> Pointed | None:
    """What a moment points at: in sleying the dents of the call, else what the question is about."""
    if view.dents:
        return _called(view, dyed)
    return _counted(view.pointing) if view.pointing else None


def _called(view: View, dyed: Mapping[str, Dye]) -> Pointed:
    ends = {1, len(view.dents)} if len(view.dents) > APART else {len(view.dents)}
    marks = [
        Drawn(dent.number, bool(dent.yarns), at in ends, tuple(dyed.get(key, PLAIN) for key in dent.yarns), dent.before)
        for at, dent in enumerate(view.dents, 1)
    ]
    return Pointed(Thing.DENTS, _lying(marks, view.side), view.side)


def _counted(told: Pointing) -> Pointed:
    """One counts to the first that is meant; where that is the very first, to the last of those with it."""
    first, last = told.meant[0]
    goal = last if first == 1 else first
    meant = {number for one, other in told.meant for number in range(one, other + 1)}
    edges = [number for span in told.meant for number in span]
    points = [goal, *([told.since] if told.since else []), *edges, *([] if told.since else [1])]
    held = dict(enumerate(told.held, first))
    numbered = _numbered(points)
    marks = [
        replace(mark, meant=mark.number in meant, numbered=mark.number in numbered,
                dots=(PLAIN,) * held.get(mark.number, 0)) if mark.number else mark
        for mark in _row(_drawn(points, max(told.of, last)), max(told.of, last), meant)
    ]  # fmt: skip
    lying = _lying(marks, told.side)
    place = {mark.number: at for at, mark in enumerate(lying) if mark.number}
    return Pointed(told.thing, lying, told.side, abs(goal - told.since), place.get(told.since, -1), place[goal])


def _lying(marks: Sequence[Drawn], side: Edge) -> tuple[Drawn, ...]:
    if side == "left":
        return tuple(marks)
    return tuple(replace(mark, dots=mark.dots[::-1]) for mark in reversed(marks))


def _drawn(points: Sequence[int], of: int) -> list[int]:
    """The numbers that are drawn: those nearest to what matters, rising; one alone is not left out."""
    near = sorted(range(1, of + 1), key=lambda one: (min(abs(one - point) for point in points), abs(one - points[0])))
    drawn = set(near[:MOST])
    drawn |= {one + 1 for one in drawn if one + 2 in drawn}
    return sorted(drawn)


def _row(drawn: Sequence[int], of: int, meant: Collection[int]) -> Iterator[Drawn]:
    """The marks in their order, with what is left out between them."""
    for before, number in pairwise([0, *drawn]):
        if number > before + 1:
            yield Drawn(0, before + 1 in meant, left_out=number - before - 1)
        yield Drawn(number)
    if drawn[-1] < of:
        yield Drawn(0)


def _numbered(points: Sequence[int]) -> set[int]:
    """Of the points those that have room for their number, the foremost first."""
    numbered: set[int] = set()
    for point in points:
        if all(abs(point - other) >= APART for other in numbered):
            numbered.add(point)
    return numbered


def written(picture: Pointed, width: int) -> list[str]:
    """In characters: the marks in a line, and under them how they are counted; nothing where there is no room."""
    ends = picture.thing is Thing.ENDS
    before = "" if ends else "│"
    for apart in (" ", ""):
        cells = [_cell(picture, at, apart) for at in range(len(picture.marks))]
        wide = sum(map(len, cells), len(before))
        if wide <= width:
            break
    else:
        return []
    pad = (width - wide) // 2
    starts = accumulate(map(len, cells), initial=pad + len(before))
    middles = [start + (1 if ends else (len(cell) - 1) // 2) for start, cell in zip(starts, cells, strict=False)]
    under = [" "] * width
    if picture.count:
        _count(under, (pad, pad + wide - 1), middles, picture)
    else:
        for mark, middle in zip(picture.marks, middles, strict=True):
            if mark.numbered:
                _put(under, middle, str(mark.number))
    return [" " * pad + before + "".join(cells), "".join(under).rstrip()]


def _cell(picture: Pointed, at: int, apart: str) -> str:
    mark = picture.marks[at]
    if not mark.number:
        return f" {mark.left_out} … " if mark.left_out else " … "
    if picture.thing is Thing.ENDS:
        return f" {'┃' if mark.meant else '╎' if at == picture.since else '│'}{apart}"
    inside = "○" * mark.before + "●" * len(mark.dots)
    return f"{inside or ('▒▒' if mark.meant else '  ')}│"


def _count(under: list[str], edges: tuple[int, int], middles: Sequence[int], picture: Pointed) -> None:
    """From where counting begins to where it ends, with the number on the way, or past it where that is short."""
    edge = edges[0] if picture.side == "left" else edges[1]
    begin, end = edge if picture.since < 0 else middles[picture.since], middles[picture.goal]
    low, high = sorted((begin, end))
    under[low : high + 1] = "─" * (high - low + 1)
    under[end] = "▲"
    label = f" {picture.count} "
    past = end + (len(label) if begin < end else -len(label))
    _put(under, (low + high + 1) // 2 if high - low > len(label) + 2 else past, label)


def _put(under: list[str], middle: int, text: str) -> None:
    """A text over these columns, within the line."""
    start = max(min(middle - len(text) // 2, len(under) - len(text)), 0)
    under[start : start + len(text)] = text[: len(under)]
