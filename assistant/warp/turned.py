"""The same warp described from its other edge: nothing in the cloth changes, only where counting begins."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from assistant.warp.model import Edge, End, Warp

OTHER: dict[Edge, Edge] = {"right": "left", "left": "right"}


def as_called(warp: Warp) -> Warp:
    """The warp as it is called: from the other edge where that is asked for. Of what comes out the same comes out."""
    return turned(warp) if warp.call_from and warp.call_from != warp.start else warp


def turned(warp: Warp) -> Warp:
    """The warp from the other edge. It hangs as it did; turned twice it is the same."""
    alike = {id(group.ends): group.ends for group in warp.groups}
    ends = {which: tuple(_ends(lying)) for which, lying in alike.items()}  # those of an entry stay one tuple
    groups = tuple(
        replace(group, ends=ends[id(group.ends)], calls=_marks(group.calls)) for group in reversed(warp.groups)
    )
    return replace(warp, groups=groups, start=OTHER[warp.start], call_from=None)


def _ends(ends: Sequence[End]) -> Iterator[End]:
    """Backwards: of those in one heddle the others now join what was the last."""
    for at in range(len(ends) - 1, -1, -1):
        joins = at + 1 < len(ends) and ends[at + 1].joins
        end = ends[at]
        yield end if end.joins == joins else replace(end, joins=joins)


def _marks(calls: Sequence[int]) -> tuple[int, ...]:
    """After how many ends calls end, counted from the last."""
    if not calls:
        return ()
    *inner, ends = calls
    return (*(ends - mark for mark in reversed(inner)), ends)
