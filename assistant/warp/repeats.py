"""Where a sequence repeats itself: the stretches of one period, and the division of a warp into such stretches."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

MOST_COMPARED = 30_000_000  # items compared with each other; long sequences are searched for shorter periods only
LEAST_PERIOD_SOUGHT = 64
SECTION = 24  # what one more section costs, in characters of a sequence file
GROUP = 20  # what one more group costs
LATE, MOST_LATE = 0.15, 20  # what each end costs by which a repeat is begun later than it could be, up to so many
LONGEST_GROUP = 48  # ends; longer periods are written as several groups,
USUAL_GROUP = 32  # of about so many


@dataclass(frozen=True, slots=True)
class Run:
    """items[i] == items[i + period] from `start` on, up to where i + period is `stop`; at least two periods long."""

    start: int
    stop: int
    period: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """items[start : start + period * times]; `times` is 1 for a section that does not repeat."""

    start: int
    period: int
    times: int


def runs(items: Sequence[int]) -> Iterator[Run]:
    """The longest stretches of each period, shortest periods first; none whose period is a multiple of another's."""
    codes = np.asarray(items, dtype=np.int64)
    found: dict[int, list[Run]] = {}
    most = min(len(codes) // 2, max(LEAST_PERIOD_SOUGHT, MOST_COMPARED // max(1, len(codes))))
    for period in range(1, most + 1):
        for start, stop in _stretches(codes[:-period] == codes[period:], period):
            run = Run(start, stop + period, period)
            if not any(_covers(other, run) for q in found if period % q == 0 for other in found[q]):
                found.setdefault(period, []).append(run)
                yield run


def _stretches(same: NDArray[np.bool_], least: int) -> Iterator[tuple[int, int]]:
    """Start and stop of the stretches of True, at least so many long."""
    steps = np.diff(same.astype(np.int8), prepend=0, append=0)
    starts, stops = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1)
    long = stops - starts >= least
    return zip(starts[long].tolist(), stops[long].tolist(), strict=True)


def _covers(other: Run, run: Run) -> bool:
    return other.start <= run.start and run.stop <= other.stop


def divided(items: Sequence[int], costs: Sequence[float], begins: Sequence[float]) -> list[Stretch]:
    """The division into stretches, repeated and other, that costs least to write.

    `costs` says what each item costs, `begins` what it costs more to begin a section at each. A dynamic programme:
    the cheapest way to each place is known before those beyond it.
    """
    before = np.concatenate([[0.0], np.cumsum(costs)]).tolist()
    starting: dict[int, list[Run]] = {}
    for run in runs(items):
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
            for times in _times((run.stop - at) // run.period):
                stop = at + run.period * times
                unit = before[at + run.period] - before[at]
                late = LATE * min(at - run.start, MOST_LATE)
                cost = cheapest[at] + begins[at] + late + _price(unit, run.period, times)
                if cost < cheapest[stop]:
                    cheapest[stop], last[stop] = cost, Stretch(at, run.period, times)
    return _back(last)


def _times(most: int) -> range:
    """How often a period may be taken: as often as it goes, or a little less, to leave room for what follows."""
    return range(max(2, most - 2), most + 1)


def _price(unit: float, period: int, times: int) -> float:
    """What it costs to write a repeated section."""
    groups = 1 if period <= LONGEST_GROUP else times * -(-period // USUAL_GROUP)
    return SECTION + unit + GROUP * (groups - 1)


def _back(last: list[Stretch]) -> list[Stretch]:
    """The stretches, followed back from the last."""
    found, at = [], len(last) - 1
    while at:
        found.append(last[at])
        at = last[at].start
    return found[::-1]
