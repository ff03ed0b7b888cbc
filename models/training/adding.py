"""Words added to weights that are there: for each a column of its language's layer; all else stays as it was learnt."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

STEPS, RATE = 300, 0.05  # of learning
FADING = 1e-4  # how weights fade

Array = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Layer:
    """What of a language scores its words: vector × words, and a number for each."""

    names: Sequence[str]
    kernel: Array
    bias: Array

    def scores(self, vectors: Array) -> Array:
        return vectors @ self.kernel + self.bias


def added(layer: Layer, vectors: Array, said: NDArray[np.str_], new: Sequence[str]) -> Layer:
    """The layer with columns for new words, learnt from vectors of clips; `said`: the word that each is, "" where none.

    A new column learns against all that are there, which do not change. It begins where its word's vectors lie. However
    often a new word is among the clips, it weighs as much as one of the others does.
    """
    known = [*layer.names, *new]
    right = np.array([known.index(word) for word in said])
    fixed = layer.scores(vectors)
    length = np.median(np.linalg.norm(layer.kernel, axis=0))
    kernel = np.stack([vectors[said == word].mean(axis=0) for word in new], axis=1)
    kernel *= length / np.linalg.norm(kernel, axis=0)
    bias = np.full(len(new), np.median(layer.bias), np.float32)
    first, second = (np.zeros((len(kernel) + 1, len(new)), np.float32) for _ in range(2))
    wanted = right[:, None] == np.arange(len(layer.names), len(known))
    often = np.bincount(right, minlength=len(known))
    usual = np.median(often[1 : len(layer.names)]) if len(layer.names) > 1 else often[0]
    weight = np.where(right < len(layer.names), 1, usual / np.maximum(often[right], 1)).astype(np.float32)[:, None]
    for step in range(1, STEPS + 1):
        slope = weight * (_shares(np.hstack([fixed, vectors @ kernel + bias]))[:, len(layer.names) :] - wanted)
        slopes = np.vstack([vectors.T @ slope, slope.sum(axis=0)]) / weight.sum()
        first += 0.1 * (slopes - first)
        second += 0.001 * (slopes**2 - second)
        moved = RATE * first / (1 - 0.9**step) / (np.sqrt(second / (1 - 0.999**step)) + 1e-8)
        kernel, bias = kernel * (1 - RATE * FADING) - moved[:-1], bias - moved[-1]
    return Layer(known, np.hstack([layer.kernel, kernel]), np.concatenate([layer.bias, bias]))


def _shares(scores: Array) -> Array:
    shares = np.exp(scores - scores.max(axis=1, keepdims=True))
    return np.asarray(shares / shares.sum(axis=1, keepdims=True), np.float32)
