"""Sound as features, ten milliseconds at a time: what a word sounds like; and examples of words side by side.

Samples -> mel energies -> cepstra and how they move. Mel cepstra as Davis & Mermelstein (1980) have them, with the
filters, lifter and deltas of python_speech_features.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.utterance import MARGIN
from assistant.senses.sound import EAR_RATE

STEP, WINDOW, POINTS = 160, 400, 512  # samples: from frame to frame, of a frame, of its spectrum
BANDS, LOWEST, HIGHEST = 24, 100, 7000  # mel bands, and the Hz they reach over
CEPSTRA, LIFTER = 13, 22
EMPHASIS = 0.97  # of the sample before, taken off to raise the high frequencies
FAINTEST = 1e-7  # least energy of a band, with full scale at 1: what noise at -74 dB of full scale has
DELTA_REACH = 2  # frames on each side that a delta looks at

Frames = NDArray[np.float32]  # one row for each 10 ms
EDGE = 3  # frames of each margin of an example that are compared
TRIMMED = MARGIN - EDGE
LOUDEST_SHARE = 4  # the level of a word is that of a fourth of its frames


def mel_energies(samples: NDArray[np.int16]) -> Frames:
    """The energy in each mel band, frames × BANDS, from samples at 16 kHz, with full scale at 1; at least FAINTEST.

    A frame every STEP samples, as long as a whole WINDOW is left; of less than one, filled up with silence, one frame.
    """
    sound = samples.astype(np.float64) / 32768
    sound = np.append(sound[:1], sound[1:] - EMPHASIS * sound[:-1])
    sound = np.pad(sound, (0, max(0, WINDOW - len(sound))))
    frames = np.lib.stride_tricks.sliding_window_view(sound, WINDOW)[::STEP]
    spectra = np.fft.rfft(frames * _window(), POINTS)
    power = (spectra.real**2 + spectra.imag**2) / POINTS
    energies = (power[:, None] @ filters().T)[:, 0]  # frame by frame: so small that no threads are started for it
    return np.asarray(np.maximum(energies, FAINTEST), np.float32)


def cepstra(energies: Frames) -> Frames:
    """Liftered cepstra of mel energies, frames × CEPSTRA; there may be more axes between, here and in `deltas`."""
    return np.asarray(np.log(energies) @ _transform(), np.float32)


def deltas(cepstra: Frames, every: int = 1) -> Frames:
    """How the cepstra move, by regression over DELTA_REACH frames on each side; in one frame of so many."""
    reach = range(1, DELTA_REACH + 1)
    ends = [(DELTA_REACH, DELTA_REACH)] + [(0, 0)] * (cepstra.ndim - 1)
    padded = np.pad(cepstra, ends, mode="edge")

    def beside(n: int) -> Frames:
        return padded[DELTA_REACH + n :][: len(cepstra) : every]

    slopes = sum(n * (beside(n) - beside(-n)) for n in reach)
    return np.asarray(slopes / (2 * sum(n**2 for n in reach)), np.float32)


@cache
def filters() -> NDArray[np.float64]:
    """Triangles of equal width in mel, BANDS × bins of the spectrum."""
    lowest, highest = 2595 * np.log10(1 + np.array([LOWEST, HIGHEST]) / 700)
    hertz = 700 * (10 ** (np.linspace(lowest, highest, BANDS + 2) / 2595) - 1)
    corners = np.floor((POINTS + 1) * hertz / EAR_RATE)
    bins = np.arange(POINTS // 2 + 1)
    left, middle, right = (np.reshape(corners[at : at + BANDS], (-1, 1)) for at in range(3))
    rising, falling = (bins - left) / (middle - left), (right - bins) / (right - middle)
    return np.asarray(np.clip(np.minimum(rising, falling), 0, None))


@cache
def _window() -> NDArray[np.float64]:
    return np.hamming(WINDOW)


@cache
def _transform() -> NDArray[np.float32]:
    """Bands × CEPSTRA: the first rows of the orthonormal cosine transform, liftered."""
    angles = np.pi / BANDS * np.outer(np.arange(CEPSTRA), np.arange(BANDS) + 0.5)
    scale = np.where(np.arange(CEPSTRA) == 0, np.sqrt(1 / BANDS), np.sqrt(2 / BANDS))
    lift = 1 + LIFTER / 2 * np.sin(np.pi * np.arange(CEPSTRA) / LIFTER)
    return np.asarray((np.reshape(scale * lift, (-1, 1)) * np.cos(angles)).T, np.float32)


@dataclass(frozen=True, slots=True)
class Example:
    """A word as it was said once: mel energies, frames × BANDS, with MARGIN frames of the room's quiet on each side."""

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
    """Several examples, at least one, side by side: energies of frames × sounds × BANDS, the shorter ones filled up.

    Of each margin EDGE frames are left.
    """

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
        """By what the energies of each have to be multiplied to be as loud as this word of frames × BANDS."""
        return (_levels(word[:, None], np.array([len(word)])) / self._levels).astype(np.float32)


def _levels(energies: Frames, lengths: NDArray[np.intp]) -> NDArray[np.float64]:
    """The mean energy of the loudest frames of each sound: frames × sounds × bands."""
    loudest = -np.sort(-energies.sum(axis=-1), axis=0)
    counted = np.maximum(1, lengths // LOUDEST_SHARE)
    sums = loudest.cumsum(axis=0, dtype=np.float64)
    return np.asarray(sums[counted - 1, np.arange(len(counted))] / counted)
