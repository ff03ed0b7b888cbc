"""Where calls end: at the marks of a group, else where what is told repeats."""

from collections.abc import Hashable, Iterator, Sequence
from itertools import pairwise

from assistant.warp.notation import period
from assistant.warp.passes.walk import Size, UnitT
from assistant.warp.threads import LONGEST_AT_ONCE


def divided(
    units: Sequence[UnitT], told: Sequence[Hashable], marks: Sequence[int], size: int | None, sizes: Size
) -> Iterator[Sequence[UnitT]]:
    """The units of a group, cut into those of its calls.

    `told` is what is told of each, `marks` after how many a call ends, `size` the most in a call where the weaver has
    chosen that. A stretch between two marks is one call, and calls end where what is marked repeats; where it is longer
    than a call may be, it is cut evenly.
    Without marks a repeat of 3 to 6 units is one call, shorter ones are called several times over, as many units as is
    usual, and a longer one is cut evenly into calls of no more than that, the same at every repeat.
    """
    if marks:
        yield from _stretches(units, [0, *_at_every_repeat(told, marks), len(units)], size or sizes.most)
    elif size:
        yield from _stretches(units, [*range(0, len(units), size), len(units)], size)
    else:
        yield from _by_repeat(units, period(told), sizes.usual)


def _at_every_repeat(told: Sequence[Hashable], marks: Sequence[int]) -> Sequence[int]:
    """The marks, and where what stands between them repeats, if that holds one: nobody marks the last one's end."""
    marked = set(marks)
    repeat = period([(each, number in marked) for number, each in enumerate(told[:-1], 1)])
    if marks[0] >= repeat or len(told) % repeat:
        return marks
    return sorted(marked.union(range(repeat, len(told), repeat)))


def _by_repeat(units: Sequence[UnitT], repeat: int, usual: int) -> Iterator[Sequence[UnitT]]:
    if 2 * repeat > len(units) or usual % repeat == 0:
        repeat = usual
    most = repeat if repeat <= LONGEST_AT_ONCE else usual
    yield from _stretches(units, [*range(0, len(units), repeat), len(units)], most)


def _stretches(units: Sequence[UnitT], borders: Sequence[int], most: int) -> Iterator[Sequence[UnitT]]:
    """What lies between borders, each evenly in as few pieces of no more than `most` as there can be."""
    for first, stop in pairwise(borders):
        pieces = -(-(stop - first) // most)
        for piece in range(pieces):
            yield units[first + _border(piece, stop - first, pieces) : first + _border(piece + 1, stop - first, pieces)]


def _border(piece: int, units: int, pieces: int) -> int:
    """The units before a piece; the longer pieces come first."""
    return piece * (units // pieces) + min(piece, units % pieces)
