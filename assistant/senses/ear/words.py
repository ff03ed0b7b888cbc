"""Words as a network knows them that was trained on many voices: clips -> vectors, and scores.

The general network of speech, whose last layers were taught on for words, gives features; two convolutions over three
hops and two full layers a vector, whatever the language; one more layer for each language scores its words.
models/training makes the weights.
"""

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.embedding import Layer, Mel, features

WEIGHTS = Path(__file__).parent / "weights" / "words.npz"
TAPS = 3  # hops that a convolution sees

Array = NDArray[np.float32]


class TrainedWords:
    """The words of one language: layers that all languages share, and one of its own."""

    def __init__(self, code: str):
        with np.load(WEIGHTS) as packed:
            self._mean, self._spread = _single(packed["mean"]), _single(packed["spread"])
            self._general: list[Layer] = [*_general(packed)]
            self._layers = [(_single(packed[f"kernel {n}"]), _single(packed[f"bias {n}"])) for n in range(4)]
            self._head = _single(packed[f"{code} kernel"]), _single(packed[f"{code} bias"])
            self._names: list[str] = packed[f"{code} names"].tolist()
            self.strangers = _single(packed["strangers"])

    @property
    def names(self) -> Sequence[str]:
        """Of the columns of scores: words as the language spells them, and NO_WORD."""
        return self._names

    def scores(self, clips: Mel) -> tuple[Array, Array]:
        """Of clips × FRAMES × BANDS: a vector of each, clips × any; how well each name fits, clips × names."""
        sounds = (features(clips, self._general) - self._mean) / self._spread
        for kernel, bias in self._layers[:2]:
            sounds = np.maximum(_beside(sounds) @ kernel + bias, 0)
        (third, third_bias), (last, last_bias) = self._layers[2:]
        middle = np.maximum(sounds.reshape(len(sounds), -1) @ third + third_bias, np.float32(0))
        vectors: Array = middle @ last + last_bias
        kernel, bias = self._head
        return vectors, np.asarray(vectors @ kernel + bias, np.float32)


def _general(packed: "np.lib.npyio.NpzFile") -> Iterator[Layer]:
    for name in sorted(packed.files):
        if name.startswith("general kernel"):
            yield _single(packed[name]), _single(packed[name.replace("kernel", "bias")])


def _beside(sounds: Array) -> Array:
    """Each hop with the one before and the one after, clips × hops × (TAPS × channels); nothing beyond the ends."""
    padded = np.pad(sounds, ((0, 0), (TAPS // 2, TAPS // 2), (0, 0)))
    hops = sounds.shape[1]
    return np.concatenate([padded[:, tap : tap + hops] for tap in range(TAPS)], axis=2)


def _single(packed: NDArray[np.float16]) -> Array:
    return packed.astype(np.float32)
