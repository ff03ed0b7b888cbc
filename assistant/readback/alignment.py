"""Numbers said aligned with numbers heard: one dynamic programme, for the best alignment or the sum over all.

A number said is heard, as itself or as another, or missed; two in a row may be turned round; a number heard may be
spurious. With np.logaddexp the weights add up to the forward probability of a pair hidden Markov model (Durbin, Eddy,
Krogh and Mitchison 1998, chapter 4); with np.maximum they give the best alignment (Needleman and Wunsch 1970).
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import accumulate
from math import isclose
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.readback.hearing import OUT_OF_STEP, SLIP, Hearing, TypedShaft
from assistant.warp.notation import Ends, Shafts

AHEAD = 4  # numbers that a reading may have gone beyond as many as were heard
ANY = 0  # in place of a shaft: any shaft at all

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class StepWeights:
    """Logarithms of the weight of each step, for the numbers heard in one reading."""

    heard: Floats  # [j, s]: the j-th number heard, where s was said
    spurious: Floats  # [j]: the j-th number heard, where nothing was said
    missed: Floats  # [j]: a number missed, after j of them were heard
    turned: Floats  # [j]: the j-th number heard and the one before it, where they were said the other way round


def align(said: Whole, weights: StepWeights, plus: np.ufunc) -> Floats:
    """[j, h, i]: the weight of aligning the first i numbers of row h with the first j heard. `said` is [h, i]."""
    rows, length = said.shape
    missing = weights.missed[:, np.newaxis] * np.arange(length + 1)
    table = np.empty((len(weights.heard) + 1, rows, length + 1))
    table[0] = missing[0]
    before: Any = None
    for j, spurious in enumerate(weights.spurious):
        each = weights.heard[j][said]
        now = table[j] + spurious
        now[:, 1:] = plus(now[:, 1:], table[j, :, :-1] + each)
        if before is not None:
            now[:, 2:] = plus(now[:, 2:], table[j - 1, :, :-2] + weights.turned[j] + before[:, 1:] + each[:, :-1])
        table[j + 1] = plus.accumulate(now - missing[j + 1], axis=1) + missing[j + 1]
        before = each
    return table


def best_pairs(said: Whole, weights: StepWeights) -> tuple[int, list[tuple[int, int]]]:
    """How many numbers of one row were read in its best alignment, and (number said, number heard) for each heard.

    Reading stops anywhere; of equal alignments the one with the fewest numbers missed at the end.
    """
    row = said[np.newaxis]
    table = align(row, weights, np.maximum)[:, 0]
    i, j = int(np.argmax(table[-1])), len(table) - 1
    reached, pairs = i, []
    while j:
        here, each = table[j, i], weights.heard[j - 1]
        if i and _same(here, table[j - 1, i - 1] + each[said[i - 1]]):
            i, j = i - 1, j - 1
            pairs.append((i, j))
        elif _same(here, table[j - 1, i] + weights.spurious[j - 1]):
            j -= 1
        elif i and _same(here, table[j, i - 1] + weights.missed[j]):
            i -= 1
        else:
            i, j = i - 2, j - 2
            pairs += [(i + 1, j), (i, j + 1)]
    return reached, pairs


def _same(one: float, other: float) -> bool:
    return isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)


def weights(heard: tuple[int, ...], hearing: Hearing) -> StepWeights:
    """The steps of an alignment with these numbers; one that is no shaft speaks for no shaft more than another."""
    known = [number if 1 <= number <= hearing.most else 0 for number in heard]
    keys = [isinstance(number, TypedShaft) for number in heard]
    beside = [keys[max(0, j - 1) : j + 1] for j in range(len(heard) + 1)]  # the numbers on either side of each gap
    typed, between = np.array(keys, dtype=bool), np.array([any(each) and all(each) for each in beside])
    out_of_step = np.log(OUT_OF_STEP)
    turned = np.full(len(heard), np.log(hearing.turned))
    turned[between[:-1]] = out_of_step
    return StepWeights(
        np.where(typed[:, np.newaxis], _log_typed(hearing.most)[known], _log_heard(hearing)[known]),
        np.where(typed, out_of_step, np.log(hearing.spurious)) - np.log(hearing.most),
        np.where(between, out_of_step, log_missed(hearing)),
        turned,
    )


def log_missed(hearing: Hearing) -> float:
    """The weight of a number said and not heard."""
    return float(np.log(hearing.missed * (1 - hearing.spurious)))


@lru_cache(maxsize=4)
def _log_heard(hearing: Hearing) -> Floats:
    """[heard, said]; heard 0 is a number that is no shaft, said 0 is any shaft."""
    most = hearing.most
    table = np.full((most + 1, most + 1), 1 / most)
    table[1:, ANY + 1 :] = np.array(hearing.confusion).T
    return np.asarray(np.log(table * (1 - hearing.missed - hearing.turned) * (1 - hearing.spurious)))


@lru_cache(maxsize=4)
def _log_typed(most: int) -> Floats:
    """The same, of a number that was typed."""
    table = np.full((most + 1, most + 1), SLIP / max(1, most - 1))
    np.fill_diagonal(table, 1 - SLIP)
    table[:, ANY] = 1 / most
    return np.asarray(np.log(table))


@dataclass(frozen=True, slots=True)
class ReadThrough:
    """One reading from end `start` on, counted from 0, and the numbers heard in it."""

    start: int
    heard: tuple[int, ...] = ()
    to_the_end: bool = False  # after it the weaver found no further end in the group

    def more(self, heard: tuple[int, ...]) -> "ReadThrough":
        """The same reading, gone on."""
        return replace(self, heard=self.heard + heard)

    def stop(self, expected: Ends) -> int:
        """The end before which it stopped at the latest."""
        left = len(self.heard) + AHEAD
        for end in range(self.start, len(expected)):
            if left <= 0:
                return end
            left -= len(expected[end])
        return len(expected)


@dataclass(frozen=True, slots=True)
class Traced:
    """One reading laid along the threading expected, in its best alignment."""

    heard: dict[int, Shafts]  # the ends wholly read, counted from 0 -> what was heard of them
    reached: int  # the end before which it stopped
    rest: tuple[int, ...]  # the numbers after the last one that belongs to an end wholly read

    def right(self, expected: Ends) -> set[int]:
        """The ends heard as expected."""
        return {end for end, heard in self.heard.items() if heard == expected[end]}


def trace(expected: Ends, one: ReadThrough, hearing: Hearing, set_right: bool = False) -> Traced:
    """Lay one reading along the threading expected.

    Two numbers that were read the wrong way round are each what was read there, or, `set_right`, as was expected.
    """
    ends = range(one.start, one.stop(expected))
    said = np.array(read_out(expected[ends.start : ends.stop]), dtype=np.int64)
    reached, pairs = best_pairs(said, weights(one.heard, hearing))
    said_at, heard_in = zip(*pairs, strict=True) if pairs else ((), ())
    heard_at = dict(pairs if set_right else zip(sorted(said_at), sorted(heard_in), strict=True))
    heard: dict[int, Shafts] = {}
    used = -1
    for end, stop in zip(ends, accumulate(len(expected[end]) for end in ends), strict=True):
        if stop > reached:
            break
        places = [heard_at[number] for number in range(stop - len(expected[end]), stop) if number in heard_at]
        heard[end] = tuple(one.heard[place] for place in places)
        used = max((used, *places))
    return Traced(heard, one.start + len(heard), one.heard[used + 1 :])


def read_out(ends: Ends) -> list[int]:
    """The shafts as they are read out, one after another."""
    return [shaft for end in ends for shaft in end]
