"""Examples of words side by side, and how far a sound is from each, in the noise in which it was said."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.segmenter import MARGIN
from assistant.senses.ear.taught.features import FAINTEST, Frames, cepstra, deltas
from assistant.senses.ear.taught.glimpses import unlike
from assistant.senses.ear.taught.warping import distances, path

EDGE = 3  # frames of each margin of an example that are compared
TRIMMED = MARGIN - EDGE
COARSE = 2  # of so many frames one is enough to tell which example is nearest
LEEWAY = 10  # frames by which a word may be found to begin too early or end too late
LEAST_FOUND = 0.4  # part of a word's length that stands out of a noise; the room beside it is not taken for the rest
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
        inner = [example.energies[TRIMMED:-TRIMMED] for example in examples]
        self._lengths = np.array([len(energies) for energies in inner], np.intp)
        self._energies = _stacked(inner)
        self._held = np.arange(self._energies.shape[1]) < self._lengths[:, None]
        self._levels = np.array([_level(energies) for energies in inner])

    def distances(
        self, said: Frames, noise: NDArray[np.float32], margin: int, leeway: int = LEEWAY
    ) -> NDArray[np.float32]:
        """From a sound, given as mel energies with a margin on each side, to each example.

        The examples are brought to the level of what was said, and the noise around it is added to them: energies of
        sounds that know nothing of each other add up (Gales & Young 1993, parallel model combination).
        """
        noisy = self._energies * self._gains(said, noise, margin)[:, None, None] + noise
        ours, theirs = _features_around(said, margin - EDGE), _features(noisy, self._held)
        lengths = (self._lengths + COARSE - 1) // COARSE
        far = distances(
            ours[::COARSE], np.ascontiguousarray(theirs[:, ::COARSE]), lengths, (margin - EDGE + leeway) // COARSE
        )
        far[len(said) - 2 * margin < LEAST_FOUND * (self._lengths - 2 * EDGE)] = np.inf
        return far

    def unlike(self, said: Frames, noise: NDArray[np.float32], margin: int, place: int) -> float:
        """How much it differs from one example where that stands out of the noise, as `glimpses` has it."""
        length = self._lengths[place]
        word = self._energies[place, :length] * self._gains(said, noise, margin)[place]
        ours, theirs = _features_around(said, margin - EDGE), _features_around(word + noise, 0)
        return unlike(said, noise, word, path(ours, theirs, margin - EDGE + LEEWAY))

    def _gains(self, said: Frames, noise: NDArray[np.float32], margin: int) -> NDArray[np.float32]:
        """By how much the energies of each example are raised to the level of what was said."""
        word = said[margin:-margin] if len(said) > 2 * margin else said
        return np.asarray(_level(np.maximum(word - noise, FAINTEST)) / self._levels, np.float32)


def noise_around(said: Frames) -> NDArray[np.float32]:
    """The mean energy in each band before and after a word."""
    return np.asarray(np.concatenate([said[:NOISE_FRAMES], said[-NOISE_FRAMES:]]).mean(axis=0), np.float32)


def _features_around(sound: Frames, margin: int) -> Frames:
    """Features of one sound, frames × features; the mean is that of what is between the margins."""
    margin = margin if len(sound) > 2 * margin else 0
    held = np.zeros((1, len(sound)), bool)
    held[:, margin : len(sound) - margin] = True
    features: Frames = _features(sound[None], held)[0]
    return features


def _features(energies: Frames, held: NDArray[np.bool_]) -> Frames:
    """Cepstra less their mean over the frames that are held, and their deltas: sounds × frames × features."""
    found = cepstra(energies)
    weights = held / held.sum(axis=1, keepdims=True, dtype=np.float32)
    found -= weights[:, None] @ found
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
