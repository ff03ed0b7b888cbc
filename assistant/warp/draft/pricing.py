"""What any stretch of ends costs, written in the notation with its colour order, in characters of a file."""

from collections.abc import Sequence
from itertools import accumulate, pairwise

from assistant.warp.draft.repeats import BRACKET, DOTS, LEAST_COUNT
from assistant.warp.draft.strands import DraftStrand
from assistant.warp.notation import written
from assistant.warp.threads import Hung

NEW_YARN = 6  # characters that a change of yarn costs in a file
LONGEST_ORDER = 16  # ends after which a colour order is looked for to begin again

_BRACKETS = len("9()") + BRACKET
_MOST_REPEATED = 24  # ends of a repeat within a group that is looked for


def written_out(ends: Sequence[DraftStrand]) -> list[float]:
    """What each end costs by itself, after the one before it."""
    words = {end: 1.0 + len(end.word) for end in set(ends)}
    changes = [0, *(NEW_YARN * (end.yarns != before.yarns) for before, end in pairwise(ends))][: len(ends)]
    return [words[end] + change for end, change in zip(ends, changes, strict=True)]


class Prices:
    """The price of every stretch of at most `longest` ends; takes about 100 steps for each."""

    def __init__(self, ends: Sequence[DraftStrand], longest: int):
        self._threads = _threads([end.shafts for end in ends], longest)
        keys = [end.yarns[0] for end in ends]
        self._changes = [0, *accumulate(key != before for before, key in pairwise(keys))]
        self._alike = {length: _alike(keys, length) for length in range(1, LONGEST_ORDER + 1)}

    def of(self, start: int, stop: int) -> float:
        """What ends[start:stop] cost as a group."""
        return self._threads[start][stop - start] + NEW_YARN * self._order(start, stop)

    def _order(self, start: int, stop: int) -> int:
        """How many yarns the shortest colour order names."""
        last = stop
        for length, alike in self._alike.items():
            if alike[start] >= stop - length:
                last = min(start + length, stop)
                break
        return 1 + self._changes[last - 1] - self._changes[start]


def _alike(keys: Sequence[str], length: int) -> list[int]:
    """Up to where each place goes on being followed by the same, `length` places on."""
    found = [0] * len(keys)
    for at in range(len(keys) - 1, -1, -1):
        if at + length >= len(keys):
            found[at] = len(keys)
        elif keys[at] != keys[at + length]:
            found[at] = at
        else:
            found[at] = found[at + 1]
    return found


def _threads(shafts: Sequence[tuple[int, ...]], longest: int) -> list[list[float]]:
    """By place and number of ends: the price without colours, the cheapest first piece before the cheapest rest."""
    words = [1.0 + len(written(Hung(each))) for each in shafts]
    best: list[list[float]] = [[] for _ in range(len(shafts) + 1)]
    best[-1] = [0.0]
    for at in range(len(shafts) - 1, -1, -1):
        here = [0.0]
        count = _count(shafts, at, longest)
        repeated = _repeated(shafts, at, longest)
        for size in range(1, min(longest, len(shafts) - at) + 1):
            price = words[at] + best[at + 1][size - 1]
            for length in range(LEAST_COUNT, min(count, size) + 1):
                price = min(price, words[at] + words[at + length - 1] + 1 + DOTS + best[at + length][size - length])
            for period, times in repeated:
                if 2 * period > size:
                    break
                for taken in {2, min(times, size // period)}:
                    rest = best[at + period * taken][size - period * taken]
                    price = min(price, _BRACKETS + here[period] + rest)
            here.append(price)
        best[at] = here
    return best


def _count(shafts: Sequence[tuple[int, ...]], at: int, most: int) -> int:
    """How many ends from `at` on count up, or down, by one shaft each."""
    length = 1
    if at + 1 < len(shafts) and len(shafts[at]) == len(shafts[at + 1]) == 1:
        step = shafts[at + 1][0] - shafts[at][0]
        while (
            abs(step) == 1
            and length < most
            and shafts[at + length : at + length + 1] == [(shafts[at][0] + step * length,)]
        ):
            length += 1
    return length


def _repeated(shafts: Sequence[tuple[int, ...]], at: int, longest: int) -> list[tuple[int, int]]:
    """Period and times of what follows itself from `at` on, shortest periods first."""
    found = []
    for period in range(1, min(_MOST_REPEATED, longest // 2) + 1):
        unit, times = shafts[at : at + period], 1
        while times * period < longest and shafts[at + times * period : at + (times + 1) * period] == unit:
            times += 1
        if times > 1:
            found.append((period, times))
    return found
