"""Sound as energies in mel bands, ten milliseconds at a time: by them words are found.

Filters as python_speech_features has them.
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from assistant.senses.sound import EAR_RATE

STEP, WINDOW, POINTS = 160, 400, 512  # samples: from frame to frame, of a frame, of its spectrum
BANDS, LOWEST, HIGHEST = 24, 100, 7000  # mel bands, and the Hz they reach over
EMPHASIS = 0.97  # of the sample before, taken off to raise the high frequencies
FAINTEST = 1e-7  # least energy of a band, with full scale at 1: what noise at -74 dB of full scale has

Frames = NDArray[np.float32]  # one row for each 10 ms


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
