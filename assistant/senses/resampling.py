"""Sound at another rate: by soxr, or by scipy's filter where soxr has no wheel (pyproject.toml says where)."""

from math import ceil, gcd
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

try:
    import soxr
except ImportError:
    soxr = None

CROSSINGS = 24  # of zero, on each side of a filter's middle
BETA = 9.0  # of its Kaiser window: what it leaves of another pitch is 90 dB lower
PASSED = 0.94  # of the lower rate's half, up to which all is kept

Samples = NDArray[np.float32]


class Resampler(Protocol):
    """Takes one channel block by block; what comes out lags behind until the last."""

    def resample_chunk(self, samples: Samples, last: bool = False) -> Samples:
        """What the samples so far make at the other rate, and was not given yet; all of it with the last."""


def resampler(rate: int, wanted: int) -> Resampler:
    """From one rate to another, in Hz."""
    if soxr is None:
        return Polyphase(rate, wanted)
    stream: Resampler = soxr.ResampleStream(rate, wanted, 1, dtype="float32")
    return stream


def resampled(samples: Samples, rate: int, wanted: int) -> Samples:
    """A whole sound of one channel, as long as it was."""
    if soxr is None:
        return Polyphase(rate, wanted).resample_chunk(samples, last=True)
    return np.asarray(soxr.resample(samples, rate, wanted), np.float32)


class Polyphase:
    """A linear-phase low pass at the rate of which both rates are parts, computed only where a sample is kept."""

    def __init__(self, rate: int, wanted: int):
        from scipy.signal import firwin

        common = gcd(rate, wanted)
        self._up, self._down = wanted // common, rate // common
        widest = max(self._up, self._down)
        self._lag = ceil(CROSSINGS * widest / self._down) * self._down  # of the filter's middle, at the rate of both
        response = firwin(2 * self._lag + 1, PASSED / widest, window=("kaiser", BETA))
        self._filter = (self._up * response).astype(np.float32)
        self._held = np.zeros(0, np.float32)  # from a sample on at which one is given, too
        self._given = 0  # of what those held make
        self._lacking = 0.0  # samples that are still to be given, of those taken

    def resample_chunk(self, samples: Samples, last: bool = False) -> Samples:
        from scipy.signal import upfirdn

        self._held = np.concatenate([self._held, samples])
        self._lacking += len(samples) * self._up / self._down
        known = np.append(self._held, np.zeros(ceil(self._lag / self._up), np.float32)) if last else self._held
        ready = max(self._given, ((len(known) * self._up - 1) - self._lag) // self._down + 1)
        if last:
            ready = min(ready, self._given + round(self._lacking))
        before = self._lag // self._down
        found = upfirdn(self._filter, known, self._up, self._down)[before + self._given : before + ready]
        self._lacking -= len(found)
        past = max(0, (ready * self._down - self._lag) // self._up // self._down)  # no longer needed, in steps of both
        self._held, self._given = self._held[past * self._down :], ready - past * self._up
        return np.asarray(found, np.float32)
