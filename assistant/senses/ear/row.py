"""Where in a row of numbers one word ends and the next begins; what was said is given as mel energies."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.features import Frames
from assistant.senses.ear.utterance import frames

SHORTEST = frames(0.1)  # of a word, as it stands out of a noise
PAUSE = frames(0.12)  # at least, between two words; stops inside a word are shorter
HIGHEST = 20.0  # dB to which each band counts
ABOVE_NOISE = 5.0  # dB by which a word stands out of the noise, on average over the bands
NOISE_FRAMES = 8  # at each end of a sound that are before and after the words
DIP = 6.0  # dB by which the level falls and rises again where a word may end and the next begin


def spans(said: Frames, noise: NDArray[np.float32]) -> Iterator[tuple[int, int]]:
    """The first frame of each word, and the first after it: what stands out of the noise, given for each band."""
    loud = np.flatnonzero(np.clip(10 * np.log10(said / noise), 0, HIGHEST).mean(axis=1) > ABOVE_NOISE)
    if not len(loud):
        return
    cuts = np.flatnonzero(np.diff(loud) > PAUSE)
    for start, end in zip([loud[0], *loud[cuts + 1]], [*loud[cuts] + 1, loud[-1] + 1], strict=True):
        if end - start >= SHORTEST:
            yield int(start), int(end)


def noise_around(said: Frames) -> NDArray[np.float32]:
    """The mean energy in each band before and after a word: mel energies, frames × BANDS, margins and all."""
    return np.asarray(np.concatenate([said[:NOISE_FRAMES], said[-NOISE_FRAMES:]]).mean(axis=0), np.float32)


def dips(said: Frames, first: int = 0) -> list[int]:
    """The lowest frames between two peaks that are both higher by DIP, counted from `first`; `said`: mel energies."""
    levels = 10 * np.log10(said.sum(axis=1))
    found, peak, lowest = [], 0, 0
    for frame, level in enumerate(levels):
        if level < levels[lowest]:
            lowest = frame
        if levels[peak] - DIP >= levels[lowest] and level >= levels[lowest] + DIP:
            found.append(first + lowest)
            peak = lowest = frame
        elif level > levels[peak]:
            peak = lowest = frame
    return found
