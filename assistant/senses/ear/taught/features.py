"""Sound as cepstra: what a word sounds like, ten milliseconds at a time.

Mel cepstra as Davis & Mermelstein (1980) have them, with the filters, lifter and deltas of python_speech_features.
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.engine import RATE

STEP, WINDOW, POINTS = 160, 400, 512  # samples: from frame to frame, of a frame, of its spectrum
BANDS, LOWEST, HIGHEST = 24, 100, 7000  # mel bands, and the Hz they reach over
CEPSTRA, LIFTER = 13, 22
EMPHASIS = 0.97  # of the sample before, taken off to raise the high frequencies
FAINTEST = 1e-7  # least energy of a band, with full scale at 1: what noise at -74 dB of full scale has
DELTA_REACH = 2  # frames on each side that a delta looks at

Frames = NDArray[np.float32]  # one row for each 10 ms


def mel_energies(samples: NDArray[np.int16]) -> Frames:
    """The energy in each mel band, frames × BANDS, from samples at 16 kHz."""
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
    corners = np.floor((POINTS + 1) * hertz / RATE)
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
