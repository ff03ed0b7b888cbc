"""Sounds as loud as each other, by ITU-R BS.1770-4, as EBU R 128 levels what is broadcast.

The filter of the standard is given for 48,000 samples a second; at other rates its response at each frequency is taken.
What lasts less than WHOLE_S, as spoken numbers do, is one block as long as it is. Blocks of 0.4 s would leave a part
of it out, or fill it up with silence and call it softer the shorter it is; and of so few there is none to leave out.
"""

from functools import lru_cache

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.polynomial.polynomial import polyval
from numpy.typing import NDArray

FILTER_RATE = 48_000
# Numerator and denominator of each stage: the shelf that stands for a head, and the high pass (tables 1 and 2).
STAGES = (
    ((1.53512485958697, -2.69169618940638, 1.19839281085285), (1.0, -1.69065929318241, 0.73248077421585)),
    ((1.0, -2.0, 1.0), (1.0, -1.99004745483398, 0.99007225036621)),
)
OFFSET = -0.691  # so that a sine of 997 Hz at full scale measures -3.01 LUFS
BLOCK_S, STEP_S = 0.4, 0.1
WHOLE_S = 1.0
SILENT = -70.0  # LUFS: blocks below this are left out,
BELOW = 10.0  # and those that are softer by as much than the rest are together
RINGING_S = 0.5  # after which what the filter adds to a sound has died away

PEAK = 0.89  # -1 dBTP, which EBU R 128 allows: what a converter makes of the samples, not only they, stays below
TAPS, BETWEEN = 12, (0.25, 0.5, 0.75)  # as annex 2 looks for such a peak between two samples
TURNED_S = 0.002  # in which what would be higher is turned down, and up again after it
NEAR = 0.02  # LU
ROUNDS = 3  # in which a sound that was turned down at its peaks is as loud again


def levelled(samples: NDArray[np.float32], wanted: float, rate: int) -> NDArray[np.float32]:
    """The same at so many LUFS, but for silence; its highest peaks are turned down where they would be above PEAK."""
    for _ in range(ROUNDS):
        lacking = wanted - loudness(samples, rate)
        if not NEAR < abs(lacking) < np.inf:
            break
        samples = _limited(samples * np.float32(10 ** (lacking / 20)), rate)
    return samples


def _limited(samples: NDArray[np.float32], rate: int) -> NDArray[np.float32]:
    """Turned down around each peak above PEAK, smoothly, and nowhere else."""
    peaks = _peaks(samples)
    if peaks.max() <= PEAK:
        return samples
    half = round(TURNED_S * rate)
    needed = np.pad(PEAK / np.maximum(peaks, PEAK), 2 * half, constant_values=1.0)
    lowest = sliding_window_view(needed, 2 * half + 1).min(axis=1)
    smooth = np.hanning(2 * half + 3)[1:-1]
    return (samples * np.convolve(lowest, smooth / smooth.sum(), "valid")).astype(np.float32)


def _peaks(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """How high each sample is, or the curve through all of them on the way to the next."""
    taps = np.arange(TAPS) - (TAPS // 2 - 1)
    around = np.pad(samples, (TAPS // 2 - 1, TAPS // 2))
    curve = [np.convolve(around, (np.sinc(at - taps) * np.hanning(TAPS + 2)[1:-1])[::-1], "valid") for at in BETWEEN]
    return np.asarray(np.abs([samples, *curve]).max(axis=0), dtype=np.float32)


def loudness(samples: NDArray[np.float32], rate: int) -> float:
    """In LUFS, -inf where there is nothing to be heard; of one channel, full scale 1."""
    heard = np.square(_weighted(samples, rate))
    block = len(samples) if len(samples) < WHOLE_S * rate else round(BLOCK_S * rate)
    step = round(STEP_S * rate)
    starts = range(0, len(samples) - block + 1, step) if block else ()
    powers = np.array([heard[start : start + block].mean() for start in starts])
    powers = powers[_lufs(powers) > SILENT]
    if not len(powers):
        return -np.inf
    return float(_lufs(powers[_lufs(powers) > _lufs(powers.mean()) - BELOW].mean()))


def _weighted(samples: NDArray[np.float32], rate: int) -> NDArray[np.float64]:
    """As the standard's filter lets it through."""
    length = 1 << (len(samples) + round(RINGING_S * rate)).bit_length()
    return np.fft.irfft(np.fft.rfft(samples, length) * _response(length, rate), length)[: len(samples)]


@lru_cache(maxsize=8)
def _response(length: int, rate: int) -> NDArray[np.complex128]:
    """Of the filter, at the frequencies of so many samples."""
    delay = np.exp(-2j * np.pi * np.fft.rfftfreq(length, 1 / rate) / FILTER_RATE)
    return np.asarray(np.prod([polyval(delay, above) / polyval(delay, below) for above, below in STAGES], axis=0))


def _lufs(power: NDArray[np.float64]) -> NDArray[np.float64]:
    with np.errstate(divide="ignore"):
        return OFFSET + 10 * np.log10(power)
