"""What can be glimpsed of a word between the sounds of a room: how well it fits where it is louder than they are.

Cooke (2006), "A glimpsing model of speech perception in noise": people understand by what stands out of the noise here
and there. Cepstra mix all bands, so that a noise in one spoils the whole frame; here each band counts by itself.
"""

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.taught.features import Frames
from assistant.senses.ear.taught.warping import Path

ABOVE_NOISE = 3.0  # dB by which a band of a word stands out of the noise, to be glimpsed
DEEPEST = 35.0  # dB below the word's loudest band, at most
FARTHEST = 25.0  # dB, the most that a difference counts


def unlike(said: Frames, noise: NDArray[np.float32], word: Frames, along: Path) -> float:
    """The mean difference, in dB, between what was said and a known word in that noise, in the bands that are glimpsed.

    Mel energies, frames × bands; the noise in each band; the word without noise, as loud as it was said; and the pairs
    of frames to compare. FARTHEST where nothing is glimpsed.
    """
    heard, known = said[along[0]], word[along[1]]
    glimpsed = _loud(known) & _above(known, noise)
    apart = np.abs(10 * np.log10(heard[glimpsed] / (known + noise)[glimpsed]))
    return float(np.minimum(apart, FARTHEST).mean()) if apart.size else FARTHEST


def share(noise: NDArray[np.float32], word: Frames) -> float:
    """How much of a known word can be glimpsed in that noise, 0 to 1: of its bands that are not faint."""
    loud = _loud(word)
    return float((loud & _above(word, noise)).sum() / loud.sum())


def _loud(word: Frames) -> NDArray[np.bool_]:
    return np.asarray(word > word.max() * 10 ** (-DEEPEST / 10))


def _above(word: Frames, noise: NDArray[np.float32]) -> NDArray[np.bool_]:
    return np.asarray(word > noise * 10 ** (ABOVE_NOISE / 10))
