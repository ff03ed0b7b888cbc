"""How far a sound is from each example, in the noise in which it was said."""

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.taught import glimpses
from assistant.senses.ear.taught.features import FAINTEST, Frames, cepstra, deltas
from assistant.senses.ear.taught.templates import EDGE, Templates
from assistant.senses.ear.taught.warping import Warped, reachable, warp

COARSE = 2  # of so many frames one is enough to tell which example is nearest
LEEWAY = 10  # frames by which a word may be found to begin too early or end too late
LEAST_FOUND = 0.4  # part of a word's length that stands out of a noise; the room beside it is not taken for the rest
NOISE_FRAMES = 8  # at each end of a sound that are before and after the word
LEVEL_WEIGHT, DELTA_WEIGHT = 0.2, 2.0  # of the first cepstrum, which is the level; of how the cepstra move
LONGER = 1.1  # times as long as a word is another of which it may be a part
LONGER_TRIED = 2  # of the words that are longer
LEAST_BEGUN = 0.8  # part of a word's length that has been heard of a longer one when it may have been the word


class Comparison:
    """A sound, given as mel energies with a margin on each side, beside examples.

    The examples are brought to the level of what was said, and the noise around it is added to them: energies of
    sounds that know nothing of each other add up (Gales & Young 1993, parallel model combination).
    """

    def __init__(
        self,
        templates: Templates,
        heard: Frames,
        noise: NDArray[np.float32],
        margin: int,
        before: int = 0,
        leeway: int = LEEWAY,
    ):
        """`before`: frames of what was to be heard before the sound and its margin, with which `heard` begins."""
        said = heard[before:]
        margin = margin if len(said) > 2 * margin else 0
        self._templates, self._heard, self._said, self._noise = templates, heard, said, noise
        beside = max(0, margin - EDGE)  # frames of each margin that no example has
        self._free = (beside + leeway) // COARSE
        self._word = np.maximum(said[margin : len(said) - margin] - noise, FAINTEST)
        self._lengths = (templates.lengths + COARSE - 1) // COARSE
        held = np.ones(len(said), bool)
        held[:beside] = held[len(said) - beside :] = False
        found = _cepstra(said)
        ours = _features(found) - _mean(found, held)
        self._gains = templates.gains(self._word)
        known = _cepstra(templates.energies * self._gains[:, None] + noise)
        self._known = _features(known)  # after its end each is the noise
        self._tried = self._alike(len(ours))
        lengths = self._lengths[self._tried]
        theirs = self._in_noise(self._tried) - _mean(known, templates.held)[self._tried]
        self._warped = warp(ours, theirs, lengths, self._free, self._free)

    def _alike(self, said: int) -> NDArray[np.intp]:
        """The examples that are not too long or too short to be near to what was said, in so many coarse frames."""
        found_enough = len(self._word) >= LEAST_FOUND * (self._templates.lengths - 2 * EDGE)
        return np.flatnonzero(found_enough & reachable(said, self._lengths, self._free, self._free))

    @cached_property
    def distances(self) -> NDArray[np.float32]:
        """From the sound to each example."""
        distances = np.full(len(self._lengths), np.inf, np.float32)
        distances[self._tried] = self._warped.distances
        return distances

    def unlike(self, place: int) -> float:
        """How much the sound differs from one example where that stands out of the noise, as `glimpses` has it."""
        if np.isinf(self.distances[place]):
            return glimpses.FARTHEST
        path = self._warped.path(self._at(place))
        return glimpses.unlike(self._said[::COARSE], self._noise, self._as_loud(place)[::COARSE], path)

    def glimpsed(self, place: int) -> float:
        """How much of an example within reach was to be heard: the part of its length found, times `glimpses.share`."""
        word = self._as_loud(place)
        return len(self._word) / (len(word) - 2 * EDGE) * glimpses.share(self._noise, word)

    def outdone(self, place: int) -> float:
        """How far the nearest longer word is from all that was heard, as part of how far this one is in that noise.

        Where that is less than 1, the word may be but the end of another one, of which a noise hid the beginning, or
        the beginning of one that is not over yet.
        """
        words, lengths = self._templates.words, self._templates.lengths
        longer = np.flatnonzero((words != words[place]) & (lengths > LONGER * lengths[place]))
        if not len(longer):
            return np.inf
        places = np.concatenate([[place], longer])
        heard = _features(_cepstra(self._heard))
        laid = warp(heard, self._in_noise(places), self._lengths[places], len(heard), self._free)
        begun = laid.reached(int(LEAST_BEGUN * self._lengths[place]))
        return min(float(begun[1:].min() / begun[0]), self._by_ended(laid, heard, words[places]))

    def _in_noise(self, places: NDArray[np.intp]) -> Frames:
        """The features of these examples in that noise, as long as the longest of them."""
        return self._known[: self._lengths[places].max(initial=1)].take(places, axis=1)

    def _at(self, place: int) -> int:
        """Where an example within reach is among those tried."""
        return int(np.searchsorted(self._tried, place))

    def _as_loud(self, place: int) -> Frames:
        """An example, as loud as what was said."""
        word = self._templates.energies[: self._templates.lengths[place], place]
        return np.asarray(word * self._gains[place], np.float32)

    def _by_ended(self, laid: Warped, heard: Frames, words: NDArray[np.str_]) -> float:
        """By those of the longer words that have ended; the first of those laid is the word itself."""
        room = np.linalg.norm(heard - _features(_cepstra(self._noise[None])), axis=1)
        begins, ends = laid.span(0)
        length = laid.lengths[0]

        def alone(first: int, last: int) -> float:
            """How far the word is from what was heard in these frames, where it began and ended within them."""
            beside = [*range(first, begins), *range(ends + 1, last + 1)]
            return float((laid.distances[0] * length + room[beside].sum()) / (length + len(beside)))

        nearest: dict[str, int] = {}
        for at in laid.distances.argsort():
            if np.isfinite(laid.distances[at]):
                nearest.setdefault(str(words[at]), int(at))
        longer = [at for at in nearest.values() if at][:LONGER_TRIED]
        return min((float(laid.distances[at]) / alone(*laid.span(at)) for at in longer), default=np.inf)


def noise_around(said: Frames) -> NDArray[np.float32]:
    """The mean energy in each band before and after a word."""
    return np.asarray(np.concatenate([said[:NOISE_FRAMES], said[-NOISE_FRAMES:]]).mean(axis=0), np.float32)


def _cepstra(energies: Frames) -> Frames:
    """Cepstra of mel energies, frames × CEPSTRA or frames × sounds × CEPSTRA; the level counts less than it would."""
    found = cepstra(energies)
    found[..., 0] *= LEVEL_WEIGHT
    return found


def _features(found: Frames) -> Frames:
    """Cepstra and how they move, in one of every COARSE frames."""
    return np.concatenate([found[::COARSE], deltas(found, COARSE) * DELTA_WEIGHT], axis=-1, dtype=np.float32)


def _mean(found: Frames, held: NDArray[np.bool_]) -> Frames:
    """The mean of cepstra over the frames held, as features; it does not move."""
    mean = np.einsum("f...,f...c->...c", held / held.sum(axis=0, dtype=np.float32), found)
    return np.concatenate([mean, np.zeros_like(mean)], axis=-1)
