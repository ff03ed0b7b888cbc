"""How far a sound is from each example, in the noise in which it was said."""

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.taught.features import FAINTEST, Frames, cepstra, deltas
from assistant.senses.ear.taught.glimpses import unlike
from assistant.senses.ear.taught.templates import EDGE, Templates
from assistant.senses.ear.taught.warping import Warped, warp

COARSE = 2  # of so many frames one is enough to tell which example is nearest
LEEWAY = 10  # frames by which a word may be found to begin too early or end too late
LEAST_FOUND = 0.4  # part of a word's length that stands out of a noise; the room beside it is not taken for the rest
NOISE_FRAMES = 8  # at each end of a sound that are before and after the word
LEVEL_WEIGHT, DELTA_WEIGHT = 0.2, 2.0  # of the first cepstrum, which is the level; of how the cepstra move
LONGER = 1.1  # times as long as a word is another of which it may be the end
LONGER_TRIED = 2  # of the words that are longer
BEFORE_WORD = 30  # frames over which, with the word's own, the mean of the cepstra is taken for them


class Comparison:
    """A sound, given as mel energies with a margin on each side, beside examples.

    The examples are brought to the level of what was said, and the noise around it is added to them: energies of
    sounds that know nothing of each other add up (Gales & Young 1993, parallel model combination).
    """

    def __init__(
        self, templates: Templates, said: Frames, noise: NDArray[np.float32], margin: int, leeway: int = LEEWAY
    ):
        margin = margin if len(said) > 2 * margin else 0
        self._templates, self._said, self._noise = templates, said, noise
        self._found = len(said) - 2 * margin
        self._beside = max(0, margin - EDGE)  # frames of each margin that no example has
        self._free = (self._beside + leeway) // COARSE
        self._loud = templates.at_level(np.maximum(said[margin : len(said) - margin] - noise, FAINTEST))
        self._known = _features(self._loud + noise, templates.held)[:, ::COARSE]
        self._lengths = (templates.lengths + COARSE - 1) // COARSE
        self._warped = self._warp(said, self._beside, np.arange(len(templates.words)), self._free)

    @cached_property
    def distances(self) -> NDArray[np.float32]:
        """From the sound to each example."""
        too_short = self._found < LEAST_FOUND * (self._templates.lengths - 2 * EDGE)
        return np.where(too_short, np.float32(np.inf), self._warped.distances)

    def unlike(self, place: int) -> float:
        """How much the sound differs from one example where that stands out of the noise, as `glimpses` has it."""
        return self._differing(self._said, self._warped, place, place)

    def longer(self, whole: Frames, place: int) -> float:
        """How far the sound, with more before it, is from longer words, times how much it differs; the least of these.

        A word that ends like another one may be all that a noise left of that.
        """
        words, lengths = self._templates.words, self._templates.lengths
        longer = np.flatnonzero((words != words[place]) & (lengths > LONGER * lengths[place]))
        if not len(longer):
            return np.inf
        skipped = max(0, len(whole) - len(self._said) + self._beside - BEFORE_WORD)
        warped = self._warp(whole, skipped, longer, len(whole))
        nearest: dict[str, int] = {}
        for at in warped.distances.argsort():
            nearest.setdefault(str(words[longer[at]]), int(at))
        tried = [*nearest.values()][:LONGER_TRIED]
        return min(float(warped.distances[at]) * self._differing(whole, warped, at, longer[at]) for at in tried)

    def _warp(self, sound: Frames, skipped: int, places: NDArray[np.intp], before: int) -> Warped:
        """Lay a sound over some of the examples; neither margins nor frames `skipped` count for its mean."""
        held = np.zeros((1, len(sound)), bool)
        held[:, skipped : len(sound) - self._beside] = True
        ours = _features(sound[None], held)[0, ::COARSE]
        return warp(ours, np.ascontiguousarray(self._known[places]), self._lengths[places], before, self._free)

    def _differing(self, sound: Frames, warped: Warped, at: int, place: int) -> float:
        word = self._loud[place, : self._templates.lengths[place]]
        return unlike(sound[::COARSE], self._noise, word[::COARSE], warped.path(at))


def noise_around(said: Frames) -> NDArray[np.float32]:
    """The mean energy in each band before and after a word."""
    return np.asarray(np.concatenate([said[:NOISE_FRAMES], said[-NOISE_FRAMES:]]).mean(axis=0), np.float32)


def _features(energies: Frames, held: NDArray[np.bool_]) -> Frames:
    """Cepstra less their mean over the frames that are held, and their deltas: sounds × frames × features."""
    found = cepstra(energies)
    weights = held / held.sum(axis=1, keepdims=True, dtype=np.float32)
    found -= weights[:, None] @ found
    moving = deltas(found) * DELTA_WEIGHT
    found[..., 0] *= LEVEL_WEIGHT
    moving[..., 0] *= LEVEL_WEIGHT
    return np.concatenate([found, moving], axis=-1, dtype=np.float32)
