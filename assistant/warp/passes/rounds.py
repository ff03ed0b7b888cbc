"""A row of numbers as hands keep it: what comes again is told once, and how often."""

from collections.abc import Hashable, Sequence
from functools import lru_cache
from typing import NamedTuple

PART, TIMES = 0.5, 1.0  # what a further part costs, and how often it comes, in numbers to keep in mind


class Round(NamedTuple):
    """So many of a row, one after the other, and how often they come."""

    length: int
    times: int


class Rounds(NamedTuple):
    """A whole row in rounds, and how much there is to keep in mind."""

    rounds: tuple[Round, ...]
    cost: float


def rounds(row: Sequence[Hashable]) -> Rounds:
    """The rounds that leave least to keep in mind; of those that leave as much, the one with the longest first."""
    return _rounds(tuple(row))


@lru_cache(maxsize=4096)
def _rounds(row: tuple[Hashable, ...]) -> Rounds:
    best = [Rounds((), 0.0)] * (len(row) + 1)
    for start in reversed(range(len(row))):
        best[start] = min(
            (_then(each, best[start + each.length * each.times]) for each in _from(row[start:])),
            key=lambda told: (told.cost, -told.rounds[0].length * told.rounds[0].times),
        )
    return best[0]


def _then(one: Round, others: Rounds) -> Rounds:
    cost = one.length + PART + (TIMES if one.times > 1 else 0.0)
    return Rounds((one, *others.rounds), cost + others.cost)


def _from(row: tuple[Hashable, ...]) -> list[Round]:
    """The rounds with which a row may begin."""
    found = [Round(length, 1) for length in range(1, len(row) + 1)]
    for length in range(1, len(row) // 2 + 1):
        times = 1
        while row[length * times : length * (times + 1)] == row[:length]:
            times += 1
            found.append(Round(length, times))
    return found
