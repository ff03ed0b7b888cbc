"""How far a sound is from each example, in the noise in which it was said.

Dynamic time warping lays one over the other, whatever their pace; what can be glimpsed of a word between the sounds of
a room tells how well it fits there; and a longer word may account better for all that was heard. Pure.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.features import EDGE, FAINTEST, Frames, Templates, cepstra, deltas

Lengths = NDArray[np.intp]
Path = tuple[NDArray[np.intp], NDArray[np.intp]]  # frames of what was said, and those of the known sound beside them
WALL = 2  # rows and columns before the first, from which no path comes
ABOVE_NOISE = 3.0  # dB by which a band of a word stands out of the noise, to be glimpsed
DEEPEST = 35.0  # dB below the word's loudest band, at most
FARTHEST = 25.0  # dB, the most that a difference counts
COARSE = 2  # of so many frames one is enough to tell which example is nearest
LEEWAY = 10  # frames by which a word may be found to begin too early or end too late
LEAST_FOUND = 0.4  # part of a word's length that stands out of a noise; the room beside it is not taken for the rest
NOISE_FRAMES = 8  # at each end of a sound that are before and after the word
LEVEL_WEIGHT, DELTA_WEIGHT = 0.2, 2.0  # of the first cepstrum, which is the level; of how the cepstra move
LONGER = 1.1  # times as long as a word is another of which it may be a part
LONGER_TRIED = 2  # of the words that are longer
LEAST_BEGUN = 0.8  # part of a word's length that has been heard of a longer one when it may have been the word


@dataclass(frozen=True)
class Warped:
    """One sound laid over several known ones, each of which ends at its length."""

    lengths: Lengths
    first_end: int  # frame said at which a path may end
    apart: Frames  # Euclidean distances of all frames, said × known × sounds
    sums: Frames  # the least sums of these on a path that leads to each pair of frames; with WALL on two sides

    @cached_property
    def distances(self) -> NDArray[np.float32]:
        """Mean Euclidean distance over the frames of each known sound along the best path.

        Infinite where one is more than about twice as long as the other.
        """
        ends = self.sums[WALL + self.first_end :, WALL + self.lengths - 1, np.arange(len(self.lengths))]
        return np.asarray(ends.min(axis=0, initial=np.inf) / self.lengths, np.float32)

    def reached(self, least: int) -> NDArray[np.float32]:
        """Mean distance along the best path over the beginning of each known sound, more than `least` frames of it.

        What was said ends with it; where the known sounds were filled up, that counts as a part of them.
        """
        frames = np.arange(1, self.apart.shape[1] + 1)[:, None]
        return np.asarray((self.sums[-1, WALL:] / frames)[least:].min(axis=0), np.float32)

    def span(self, place: int) -> tuple[int, int]:
        """The first and last frame of what was said on the best path over one of the known sounds."""
        said, _ = self.path(place)
        return int(said[0]), int(said[-1])

    def path(self, place: int) -> Path:
        """The best path over one of the known sounds, which must not be infinitely far."""
        length = self.lengths[place]
        cost, sums = self.apart[:, :length, place].tolist(), self.sums[:, : WALL + length, place]
        at = self.first_end + int(sums[WALL + self.first_end :, -1].argmin())
        beside, walled = int(length) - 1, sums.tolist()
        pairs = [(at, beside)]
        while beside:
            now = cost[at][beside]
            half = walled[at][beside + 1] + (cost[at - 1][beside] + now) / 2
            one, two = walled[at + 1][beside + 1] + now, walled[at + 1][beside] + cost[at][beside - 1] + now
            if half < min(one, two):
                at -= 1
                pairs.append((at, beside))
            elif two < one:
                beside -= 1
                pairs.append((at, beside))
            at, beside = at - 1, beside - 1
            pairs.append((at, beside))
        frames = np.array(pairs[::-1], np.intp)
        return frames[:, 0], frames[:, 1]


def reachable(said: int, lengths: Lengths, before: int = 0, after: int = 0) -> NDArray[np.bool_]:
    """Which known sounds may be laid under so many frames, as `warp` does; the others are surely at no distance."""
    return (lengths <= 2 * said) & (2 * lengths >= said - before - after)


def warp(said: Frames, known: Frames, lengths: Lengths, before: int = 0, after: int = 0) -> Warped:
    """Lay one sound, frames × features, over several, frames × sounds × features, the shorter ones filled up.

    Up to so many frames `before` and `after` what is known may be left out of what was said.

    Sakoe & Chiba (1978), "Dynamic programming algorithm optimization for spoken word recognition": the asymmetric form
    with slope constraint P = 1, by which neither sound is taken at less than half or more than twice its pace. They
    found the symmetric form a little better, but only here does the sum of weights not depend on where a path begins
    and ends.
    """
    apart = _apart(said, known)
    sums = np.full((WALL + apart.shape[0], WALL + apart.shape[1], apart.shape[2]), np.inf, np.float32)
    half = np.empty_like(apart[0])
    for number, now in enumerate(apart):
        two_ago, ago, here = sums[number], sums[number + 1], sums[number + WALL][WALL:]
        np.add(ago[1:-2], now[:-1], out=here[1:])  # this frame of what is known, and the one before it
        np.minimum(here, ago[1:-1], out=here)
        here += now
        np.add(now, apart[max(0, number - 1)], out=half)  # this frame said and the one before it share one weight
        half /= 2
        half += two_ago[1:-1]
        np.minimum(here, half, out=here)
        if number <= before:
            here[0] = now[0]
    return Warped(lengths, max(0, len(said) - 1 - after), apart, sums)


def _apart(said: Frames, known: Frames) -> Frames:
    """Euclidean distances of all frames, said × known × sounds."""
    apart = np.empty((len(said), *known.shape[:2]), np.float32)
    beside = apart.transpose(1, 0, 2)
    np.matmul(-2 * said, known.transpose(0, 2, 1), out=beside)  # frame by frame: so small that no threads are started
    apart += (said**2).sum(-1)[:, None, None]
    apart += np.einsum("ksf,ksf->ks", known, known)
    np.abs(apart, out=apart)  # rounding may leave less than nothing
    return np.sqrt(apart, out=apart)


def unlike_glimpsed(said: Frames, noise: NDArray[np.float32], word: Frames, along: Path) -> float:
    """The mean difference, in dB, between what was said and a known word in that noise, in the bands that are glimpsed.

    Mel energies, frames × bands; the noise in each band; the word without noise, as loud as it was said; and the pairs
    of frames to compare. FARTHEST where nothing is glimpsed.

    Cooke (2006), "A glimpsing model of speech perception in noise": people understand by what stands out of the noise
    here and there. Cepstra mix all bands, so that a noise in one spoils the whole frame; here each band counts by
    itself.
    """
    heard, known = said[along[0]], word[along[1]]
    glimpsed = _loud(known) & _above(known, noise)
    apart = np.abs(10 * np.log10(heard[glimpsed] / (known + noise)[glimpsed]))
    return float(np.minimum(apart, FARTHEST).mean()) if apart.size else FARTHEST


def share_glimpsed(noise: NDArray[np.float32], word: Frames) -> float:
    """How much of a known word can be glimpsed in that noise, 0 to 1: of its bands that are not faint."""
    loud = _loud(word)
    return float((loud & _above(word, noise)).sum() / loud.sum())


def _loud(word: Frames) -> NDArray[np.bool_]:
    return np.asarray(word > word.max() * 10 ** (-DEEPEST / 10))


def _above(word: Frames, noise: NDArray[np.float32]) -> NDArray[np.bool_]:
    return np.asarray(word > noise * 10 ** (ABOVE_NOISE / 10))


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
        """`heard`: mel energies, frames × BANDS, with `margin` frames on each side; `noise`: the energy in each band.

        `before`: frames of what was to be heard before the sound and its margin, with which `heard` begins. `leeway`:
        frames by which the word may begin later or end earlier than it was found to.
        """
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
        """From the sound to each example, in their order; infinite where one is too long or too short."""
        distances = np.full(len(self._lengths), np.inf, np.float32)
        distances[self._tried] = self._warped.distances
        return distances

    def unlike(self, place: int) -> float:
        """How much the sound differs from one example where that is glimpsed, in dB, as `unlike_glimpsed` has it."""
        if np.isinf(self.distances[place]):
            return FARTHEST
        path = self._warped.path(self._at(place))
        return unlike_glimpsed(self._said[::COARSE], self._noise, self._as_loud(place)[::COARSE], path)

    def glimpsed(self, place: int) -> float:
        """How much of an example within reach was to be heard: the part of its length found, times `share_glimpsed`."""
        word = self._as_loud(place)
        return len(self._word) / (len(word) - 2 * EDGE) * share_glimpsed(self._noise, word)

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
    """The mean energy in each band before and after a word: mel energies, frames × BANDS, margins and all."""
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
