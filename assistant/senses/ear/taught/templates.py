"""Examples of words side by side, and words that nobody says made of them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.segmenter import MARGIN
from assistant.senses.ear.taught.features import BANDS, FAINTEST, Frames

EDGE = 3  # frames of each margin of an example that are compared
TRIMMED = MARGIN - EDGE
LOUDEST_SHARE = 4  # the level of a word is that of a fourth of its frames


@dataclass(frozen=True, slots=True)
class Example:
    """A word as it was said once: mel energies, with a margin of the room's quiet on each side."""

    word: str  # a command's kind, or a number in digits
    energies: Frames


def decoys(examples: Sequence[Example], count: int) -> list[Example]:
    """Words that nobody says, in this weaver's voice: up to so many, made by turning words round or swapping halves.

    With few words taught they stand for all the others from which a word has to be told apart.
    """
    words = list(dict.fromkeys(example.word for example in examples))
    ways = (_backwards, _swapped, _both)
    made = [(word, number, way) for number, way in enumerate(ways) for word in words][:count]
    return [
        Example(f"{word} made {number}", way(example.energies))
        for word, number, way in made
        for example in examples
        if example.word == word
    ]


def _backwards(energies: Frames) -> Frames:
    return energies[::-1]


def _swapped(energies: Frames) -> Frames:
    """The second half of the word before its first, between the same margins."""
    middle = len(energies) // 2
    return np.concatenate([energies[:MARGIN], energies[middle:-MARGIN], energies[MARGIN:middle], energies[-MARGIN:]])


def _both(energies: Frames) -> Frames:
    return _backwards(_swapped(energies))


class Templates:
    """Several examples side by side: frames × sounds × bands, the shorter ones filled up."""

    def __init__(self, examples: Sequence[Example]):
        self.words = np.array([example.word for example in examples])
        inner = [example.energies[TRIMMED:-TRIMMED] for example in examples]
        self.lengths = np.array([len(energies) for energies in inner], np.intp)
        self.held = np.arange(self.lengths.max())[:, None] < self.lengths  # frames × sounds: those that are their own
        self.energies = np.full((*self.held.shape, BANDS), FAINTEST, np.float32)
        for place, energies in enumerate(inner):
            self.energies[: len(energies), place] = energies
        self._levels = _levels(self.energies, self.lengths)

    def gains(self, word: Frames) -> NDArray[np.float32]:
        """By what the energies of each have to be multiplied to be as loud as this word."""
        return (_levels(word[:, None], np.array([len(word)])) / self._levels).astype(np.float32)


def _levels(energies: Frames, lengths: NDArray[np.intp]) -> NDArray[np.float64]:
    """The mean energy of the loudest frames of each sound: frames × sounds × bands."""
    loudest = -np.sort(-energies.sum(axis=-1), axis=0)
    counted = np.maximum(1, lengths // LOUDEST_SHARE)
    sums = loudest.cumsum(axis=0, dtype=np.float64)
    return np.asarray(sums[counted - 1, np.arange(len(counted))] / counted)
