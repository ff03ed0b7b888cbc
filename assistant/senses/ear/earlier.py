"""What earlier versions kept of a word, as a clip: the energies of other mel bands, full scale at 1."""

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.clip import AFTER, FRAMES, laid
from assistant.senses.ear.embedding import FAINTEST, POINTS, STEP, Mel, filters
from assistant.senses.ear.features import EMPHASIS
from assistant.senses.ear.features import filters as earlier_filters
from assistant.senses.sound import EAR_RATE

MARGIN = 12  # frames of the room's quiet that were kept on each side of a word
TAPERED = np.float32(0.94)  # how much energy a frame has under Hann's window, with what it has under Hamming's at 1


def clip_of(decibels: NDArray[np.float32]) -> Mel:
    """A clip, from the energies in dB, frames × earlier bands, of a word with MARGIN frames on each side."""
    densities = decibels / 10 - _widths(earlier_filters()) - _emphasis(_centres(earlier_filters()))
    bands = filters().T
    at, among = _centres(bands), _centres(earlier_filters())
    across = np.stack([np.interp(at, among, frame) for frame in densities])
    scale = np.log10(32768.0**2 * POINTS * TAPERED)
    mel = np.maximum(across + _widths(bands) + scale, np.log10(FAINTEST)).astype(np.float32) + 2
    missing = max(0, AFTER // STEP - MARGIN)
    mel = mel[-(FRAMES - missing) :]
    said = np.zeros(len(mel), bool)
    said[MARGIN : len(mel) - MARGIN] = True
    return laid(mel, said, missing)


def _centres(bands: NDArray[np.floating]) -> NDArray[np.float64]:
    """Of bands × bins, in Hz."""
    return np.asarray(bands @ np.arange(bands.shape[1]) / bands.sum(axis=1) * (EAR_RATE / POINTS))


def _widths(bands: NDArray[np.floating]) -> NDArray[np.float64]:
    """What a band holds of a spectrum of 1 throughout, as a power of 10."""
    return np.asarray(np.log10(bands.sum(axis=1)))


def _emphasis(hertz: NDArray[np.float64]) -> NDArray[np.float64]:
    """By what the energies were raised before they were kept, as a power of 10."""
    return np.asarray(np.log10(1 + EMPHASIS**2 - 2 * EMPHASIS * np.cos(2 * np.pi * hertz / EAR_RATE)))
