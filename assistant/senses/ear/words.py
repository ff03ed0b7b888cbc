"""Words as a network knows them that was trained on many voices: the features of clips -> vectors, and scores."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

WEIGHTS = Path(__file__).parent / "weights" / "words.npz"

Array = NDArray[np.float32]


class TrainedWords:
    """The words of one language: layers that all languages share, and one of its own."""

    def __init__(self, code: str):
        with np.load(WEIGHTS) as packed:
            layers = sum(name.startswith("kernel ") for name in packed.files)
            self._layers = [(packed[f"kernel {n}"], packed[f"bias {n}"]) for n in range(layers)]
            self._head = packed[f"{code} kernel"], packed[f"{code} bias"]
            self._names: list[str] = packed[f"{code} names"].tolist()

    @property
    def names(self) -> Sequence[str]:
        """Of the columns of scores: words as the language spells them, and NO_WORD."""
        return self._names

    def scores(self, features: Array) -> tuple[Array, Array]:
        """Of clips × hops × FEATURES: a vector of each, clips × any; how well each name fits, clips × names."""
        vectors = features.reshape(len(features), -1)
        for kernel, bias in self._layers:
            vectors = np.maximum(vectors @ kernel + bias, 0)
        kernel, bias = self._head
        return vectors, vectors @ kernel + bias
