"""How unlike two sounds are when one may be spoken faster or slower than the other: dynamic time warping.

Sakoe & Chiba (1978), "Dynamic programming algorithm optimization for spoken word recognition": the symmetric form with
slope constraint P = 1, which they found best. Neither sound is taken at less than half or more than twice its pace.
"""

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.taught.features import Frames

Lengths = NDArray[np.intp]


def distances(said: Frames, known: Frames, lengths: Lengths) -> NDArray[np.float32]:
    """From one sound, frames × features, to several, sounds × frames × features, each of which ends at its length.

    Mean Euclidean distance along the best path; infinite where one is more than about twice as long as the other.
    """
    count, frames = known.shape[:2]
    apart = _apart(said, known)
    before, at, after = (np.full((count, frames + 2), np.inf, np.float32) for _ in range(3))  # two walls left
    at[:, 2] = 2 * apart[0, :, 0]
    twice = 2 * apart[0]
    best, other = np.full_like(twice, np.inf), np.empty_like(twice)
    for now in apart[1:]:
        np.add(before[:, 1:-1], twice, out=other)  # two frames said for one known
        twice = 2 * now
        np.add(at[:, 1:-2], twice[:, :-1], out=best[:, 1:])  # one frame said for two known
        best[:, 0] = np.inf
        np.minimum(best, other, out=best)
        np.add(at[:, 1:-1], now, out=other)  # one for one
        np.minimum(best, other, out=best)
        np.add(best, now, out=after[:, 2:])
        before, at, after = at, after, before
    return np.asarray(at[np.arange(count), lengths + 1] / (len(said) + lengths), np.float32)


def _apart(said: Frames, known: Frames) -> NDArray[np.float32]:
    """Euclidean distances of all frames, said × sounds × known."""
    products = np.matmul(said, known.transpose(0, 2, 1))  # sound by sound: so small that no threads are started for it
    squares = (said**2).sum(-1)[:, None] + (known**2).sum(-1)[:, None] - 2 * products
    return np.asarray(np.sqrt(np.maximum(squares, 0)).transpose(1, 0, 2), np.float32)
