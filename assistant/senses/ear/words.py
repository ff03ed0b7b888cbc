"""Words as a network knows them that was trained on many voices: the features of clips -> vectors, and scores.

Two convolutions over three hops and two full layers give a vector, whatever the language; one more layer for each
language scores its words. models/training makes the weights.
"""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

WEIGHTS = Path(__file__).parent / "weights" / "words.npz"
TAPS = 3  # hops that a convolution sees

Array = NDArray[np.float32]


class TrainedWords:
    """The words of one language: layers that all languages share, and one of its own."""

    def __init__(self, code: str):
        with np.load(WEIGHTS) as packed:
            self._mean, self._spread = _single(packed["mean"]), _single(packed["spread"])
            self._layers = [(_single(packed[f"kernel {n}"]), _single(packed[f"bias {n}"])) for n in range(4)]
            self._head = _single(packed[f"{code} kernel"]), _single(packed[f"{code} bias"])
            self._names: list[str] = packed[f"{code} names"].tolist()
            self.strangers = _single(packed["strangers"])

    @property
    def names(self) -> Sequence[str]:
        """Of the columns of scores: words as the language spells them, and NO_WORD."""
        return self._names

    def scores(self, features: Array) -> tuple[Array, Array]:
        """Of clips × hops × FEATURES: a vector of each, clips × any; how well each name fits, clips × names."""
        sounds = (features - self._mean) / self._spread
        for kernel, bias in self._layers[:2]:
            sounds = np.maximum(_beside(sounds) @ kernel + bias, 0)
        (third, third_bias), (last, last_bias) = self._layers[2:]
        middle = np.maximum(sounds.reshape(len(sounds), -1) @ third + third_bias, np.float32(0))
        vectors: Array = middle @ last + last_bias
        kernel, bias = self._head
        return vectors, np.asarray(vectors @ kernel + bias, np.float32)


def _beside(sounds: Array) -> Array:
    """Each hop with the one before and the one after, clips × hops × (TAPS × channels); nothing beyond the ends."""
    padded = np.pad(sounds, ((0, 0), (TAPS // 2, TAPS // 2), (0, 0)))
    hops = sounds.shape[1]
    return np.concatenate([padded[:, tap : tap + hops] for tap in range(TAPS)], axis=2)


def _single(packed: NDArray[np.float16]) -> Array:
    return packed.astype(np.float32)
