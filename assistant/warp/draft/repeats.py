"""Where a sequence repeats itself: its division into stretches of one period, and the shortest way to write it.

The notation is that of a sequence file: counts a..b, repeats n(…), nested.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

MOST_COMPARED = 30_000_000  # items compared with each other; long sequences are searched for shorter periods only
LEAST_PERIOD_SOUGHT = 64
SECTION = 24  # what one more section costs, in characters of a sequence file
FURTHER_GROUP = 20  # what one more group costs
LATE, MOST_LATE = 0.15, 20  # what each end costs by which a repeat is begun later than it could be, up to so many
MOST_TOGETHER, LONGEST_GROUP = 40, 48  # ends of a group; the latter to keep a scrap whole
USUAL_GROUP = 32  # about so many in groups of a longer period


@dataclass(frozen=True, slots=True)
class Repeat:
    """items[i] == items[i + period] from `start` on, up to where i + period is `stop`; at least two periods long."""

    start: int
    stop: int
    period: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """A period so many times, and the first `rest` items of it once more; `times` is 1 where nothing repeats."""

    start: int
    period: int
    times: int
    rest: int = 0

    @property
    def stop(self) -> int:
        """The place after its last item."""
        return self.start + self.period * self.times + self.rest


def repeats(items: Sequence[int]) -> Iterator[Repeat]:
    """The longest stretches of each period, shortest periods first; none whose period is a multiple of another's."""
    codes = np.asarray(items, dtype=np.int64)
    found: dict[int, list[Repeat]] = {}
    most = min(len(codes) // 2, max(LEAST_PERIOD_SOUGHT, MOST_COMPARED // max(1, len(codes))))
    for period in range(1, most + 1):
        for start, stop in _stretches(codes[:-period] == codes[period:], period):
            run = Repeat(start, stop + period, period)
            if not any(_covers(found[q], run) for q in found if period % q == 0):
                found.setdefault(period, []).append(run)
                yield run


def _stretches(same: NDArray[np.bool_], least: int) -> Iterator[tuple[int, int]]:
    """Start and stop of the stretches of True, at least so many long."""
    steps = np.diff(same.astype(np.int8), prepend=0, append=0)
    starts, stops = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1)
    long = stops - starts >= least
    return zip(starts[long].tolist(), stops[long].tolist(), strict=True)


def _covers(others: Sequence[Repeat], run: Repeat) -> bool:
    """Whether one of those of a period, in order, covers the run: only the last that begins before it may."""
    at = bisect_right(others, run.start, key=lambda other: other.start)
    return at > 0 and run.stop <= others[at - 1].stop


def divided(
    items: Sequence[int], costs: Sequence[float], begins: Sequence[float], closing: int = 0
) -> tuple[list[Stretch], float]:
    """The division into stretches, repeated and other, that costs least to write, and what it costs.

    `costs` says what each item costs, `begins` what it costs more to begin a section at each; a stretch may go on for
    up to `closing` items of one more period. A dynamic programme: the cheapest way to each place is known before those
    beyond it.
    """
    before = np.concatenate([[0.0], np.cumsum(costs)]).tolist()
    starting: dict[int, list[Repeat]] = {}
    for run in repeats(items):
        if (before[run.stop] - before[run.start]) * (1 - run.period / (run.stop - run.start)) > SECTION:
            for start in range(run.start, min(run.start + 2 * run.period, run.stop - 2 * run.period + 1)):
                starting.setdefault(start, []).append(run)
    count = len(items)
    cheapest = [0.0] + [float("inf")] * count  # up to each place
    last: list[Stretch] = [Stretch(0, 0, 0)] * (count + 1)  # the stretch that ends there
    open_from, open_cost = (
        0,
        float("inf"),
    )  # the section without repeats that is going on: where from, and its cost here
    for at in range(count + 1):
        if open_cost < cheapest[at]:
            cheapest[at], last[at] = open_cost, Stretch(open_from, at - open_from, 1)
        if at == count:
            break
        if last[at].times != 1 and cheapest[at] + SECTION + begins[at] < open_cost:
            open_from, open_cost = at, cheapest[at] + SECTION + begins[at]
        open_cost += costs[at]
        for run in starting.get(at, ()):
            unit = before[at + run.period] - before[at]
            late = LATE * min(at - run.start, MOST_LATE)
            for times in _times((run.stop - at) // run.period):
                cost = cheapest[at] + begins[at] + late + _price(unit, run.period, times)
                stop = at + run.period * times
                for rest in _rests(run.stop - stop, run.period, closing):
                    closed = cost + before[stop + rest] - before[stop] + (FURTHER_GROUP if rest else 0)
                    if closed < cheapest[stop + rest]:
                        cheapest[stop + rest], last[stop + rest] = closed, Stretch(at, run.period, times, rest)
    return _back(last), cheapest[count]


def _times(most: int) -> range:
    """How often a period may be taken: as often as it goes, or a little less, to leave room for what follows."""
    return range(max(2, most - 2), most + 1)


def _rests(left: int, period: int, closing: int) -> range:
    """How many of the items left may close a stretch: none, or a few of those that begin one more period."""
    return range(min(left, closing) + 1 if left < period else 1)


def _price(unit: float, period: int, times: int) -> float:
    """What it costs to write a repeated section."""
    groups = 1 if period <= MOST_TOGETHER else 1 + -(-period // USUAL_GROUP)
    return SECTION + unit + FURTHER_GROUP * (groups - 1)


def _back(last: list[Stretch]) -> list[Stretch]:
    """The stretches, followed back from the last."""
    found, at = [], len(last) - 1
    while at:
        found.append(last[at])
        at = last[at].start
    return found[::-1]


BRACKET = 2  # characters of longer notation that a reader takes for one pair of brackets less
DOTS = 1  # and for one count less
LEAST_COUNT = 4  # ends; 1 2 3 is easier to read than 1..3


def short(words: Sequence[str]) -> str:
    """The ends, each written alone in the notation, in the fewest characters. Takes about n² steps for n ends."""
    return _shortest(tuple(words))[1]


@lru_cache(maxsize=65536)
def _shortest(words: tuple[str, ...]) -> tuple[int, str]:
    """Price in characters, and the text: the best first piece before the best rest, found from the last end back."""
    best: list[tuple[int, str]] = [(-1, "")]  # of the last 0, 1, 2 … ends; the space before nothing costs nothing
    for at in range(len(words) - 1, -1, -1):
        left = len(words) - at
        price, rest = best[left - 1]
        found = (price + len(words[at]) + 1, words[at], rest)
        count = _count(words, at)
        for length in range(LEAST_COUNT, count + 1):
            text = f"{words[at]}..{words[at + length - 1]}"
            price, rest = best[left - length]
            found = min((price + len(text) + DOTS + 1, text, rest), found, key=_first)
        for period in range(1, left // 2 + 1):
            times = _follows(words, at, period)
            if times == 1:
                continue
            inner, unit = _shortest(words[at : at + period])
            for repeats in {2, times - 1, times} - {1}:
                price, rest = best[left - period * repeats]
                head = len(f"{repeats}()")
                found = min((price + inner + head + BRACKET + 1, f"{repeats}({unit})", rest), found, key=_first)
        best.append((found[0], f"{found[1]} {found[2]}".rstrip()))
    return best[-1]


def _first(found: tuple[int, str, str]) -> int:
    return found[0]


def _count(words: tuple[str, ...], at: int) -> int:
    """How many ends from `at` on count up, or down, by one shaft each."""
    length = 1
    if words[at].isdecimal() and words[at + 1 : at + 2] in ((str(int(words[at]) + 1),), (str(int(words[at]) - 1),)):
        step = int(words[at + 1]) - int(words[at])
        while words[at + length : at + length + 1] == (str(int(words[at]) + step * length),):
            length += 1
    return length


def _follows(words: tuple[str, ...], at: int, period: int) -> int:
    """How many times the `period` ends from `at` on follow each other."""
    unit = words[at : at + period]
    times = 1
    while words[at + times * period : at + (times + 1) * period] == unit:
        times += 1
    return times
