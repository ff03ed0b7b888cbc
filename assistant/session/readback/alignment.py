"""Numbers said aligned with numbers heard: one dynamic programme, for the best alignment or the sum over all.

A number said is heard, as itself or as another, or missed; two in a row may be turned round; a number heard may be
spurious. With np.logaddexp the weights add up to the forward probability of a pair hidden Markov model (Durbin, Eddy,
Krogh and Mitchison 1998, chapter 4); with np.maximum they give the best alignment (Needleman and Wunsch 1970).
"""

from dataclasses import dataclass
from math import isclose
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Weights:
    """Logarithms of the weight of each step, for the numbers heard in one reading."""

    heard: Floats  # [j, s]: the j-th number heard, where s was said
    spurious: Floats  # [j]: the j-th number heard, where nothing was said
    missed: float
    turned: float


def align(said: Whole, weights: Weights, plus: np.ufunc) -> Floats:
    """[j, h, i]: the weight of aligning the first i numbers of row h with the first j heard. `said` is [h, i]."""
    rows, length = said.shape
    missing = weights.missed * np.arange(length + 1)
    table = np.empty((len(weights.heard) + 1, rows, length + 1))
    table[0] = missing
    before: Any = None
    for j, spurious in enumerate(weights.spurious):
        each = weights.heard[j][said]
        now = table[j] + spurious
        now[:, 1:] = plus(now[:, 1:], table[j, :, :-1] + each)
        if before is not None:
            now[:, 2:] = plus(now[:, 2:], table[j - 1, :, :-2] + weights.turned + before[:, 1:] + each[:, :-1])
        table[j + 1] = plus.accumulate(now - missing, axis=1) + missing
        before = each
    return table


def best_pairs(said: Whole, weights: Weights) -> tuple[int, list[tuple[int, int]]]:
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
        elif i and _same(here, table[j, i - 1] + weights.missed):
            i -= 1
        else:
            i, j = i - 2, j - 2
            pairs += [(i + 1, j), (i, j + 1)]
    return reached, pairs


def _same(one: float, other: float) -> bool:
    return isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
