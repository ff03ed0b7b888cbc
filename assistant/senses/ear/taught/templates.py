"""Examples of words side by side, and how far a sound is from each, in the noise in which it was said."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.segmenter import MARGIN
from assistant.senses.ear.taught.features import FAINTEST, Frames, cepstra, deltas
from assistant.senses.ear.taught.warping import distances

NOISE_FRAMES = 8  # at each end of a sound that are before and after the word
LOUDEST_SHARE = 4  # the level of a word is that of a fourth of its frames
LEVEL_WEIGHT, DELTA_WEIGHT = 0.2, 2.0  # of the first cepstrum, which is the level; of how the cepstra move


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
    """Several examples, ready to be compared with what is said."""

    def __init__(self, examples: Sequence[Example]):
        self.words = [example.word for example in examples]
        self._lengths = np.array([len(example.energies) for example in examples], np.intp)
        self._energies = _stacked([example.energies for example in examples])
        self._held = np.arange(self._energies.shape[1]) < self._lengths[:, None]
        self._levels = np.array([_level(example.energies) for example in examples])

    def distances(self, said: Frames, noise: NDArray[np.float32]) -> NDArray[np.float32]:
        """From a sound, given as mel energies, to each example.

        The examples are brought to the level of what was said, and the noise around it is added to them: energies of
        sounds that know nothing of each other add up (Gales & Young 1993, parallel model combination).
        """
        gains = _level(np.maximum(said - noise, FAINTEST)) / self._levels
        noisy = np.asarray(self._energies * gains[:, None, None] + noise, np.float32)
        alone = np.ones((1, len(said)), bool)
        return distances(_features(said[None], alone)[0], _features(noisy, self._held), self._lengths)


def noise_around(said: Frames) -> NDArray[np.float32]:
    """The mean energy in each band before and after a word."""
    return np.asarray(np.concatenate([said[:NOISE_FRAMES], said[-NOISE_FRAMES:]]).mean(axis=0), np.float32)


def _features(energies: Frames, held: NDArray[np.bool_]) -> Frames:
    """Cepstra less their mean over the frames that are held, and their deltas: sounds × frames × features."""
    found = cepstra(energies)
    means = (found * held[..., None]).sum(axis=1) / held.sum(axis=1)[:, None]
    found -= means[:, None].astype(np.float32)
    moving = deltas(found) * DELTA_WEIGHT
    found[..., 0] *= LEVEL_WEIGHT
    moving[..., 0] *= LEVEL_WEIGHT
    return np.concatenate([found, moving], axis=-1, dtype=np.float32)


def _level(energies: Frames) -> np.float64:
    """The mean energy of the loudest frames."""
    loudest = np.sort(energies.sum(axis=1))[-max(1, len(energies) // LOUDEST_SHARE) :]
    return np.float64(loudest.mean())


def _stacked(each: list[Frames]) -> Frames:
    """Sounds × frames × bands, the shorter ones filled up."""
    longest = max(map(len, each))
    return np.stack([np.pad(one, ((0, longest - len(one)), (0, 0)), constant_values=FAINTEST) for one in each])
