"""The words of a row, each by itself, where there are small pauses between them."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.segmenter import frames
from assistant.senses.ear.taught.features import Frames

PAUSE = frames(0.12)  # at least, between two words; stops inside a word are shorter
SHORTEST = frames(0.1)  # of a word
MARGIN = frames(0.12)  # kept on each side of a word, or half the pause where that is shorter
ABOVE_NOISE = 5.0  # dB by which a word stands out of the noise, on average over the bands
HIGHEST = 20.0  # dB to which each band counts


def pieces(said: Frames, noise: NDArray[np.float32]) -> Iterator[Frames]:
    """The words in a row, as mel energies."""
    loud = np.flatnonzero(np.clip(10 * np.log10(said / noise), 0, HIGHEST).mean(axis=1) > ABOVE_NOISE)
    if not len(loud):
        return
    cuts = np.flatnonzero(np.diff(loud) > PAUSE)
    starts, ends = [loud[0], *loud[cuts + 1]], [*loud[cuts] + 1, loud[-1] + 1]
    for start, end, before, after in zip(starts, ends, [0, *ends[:-1]], [*starts[1:], len(said)], strict=True):
        if end - start >= SHORTEST:
            first = max(start - MARGIN, (before + start) // 2 if before else 0)
            last = min(end + MARGIN, (end + after) // 2 if after < len(said) else after)
            yield said[first:last]
