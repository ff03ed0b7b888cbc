"""How unlike two sounds are when one may be spoken faster or slower than the other: dynamic time warping.

Sakoe & Chiba (1978), "Dynamic programming algorithm optimization for spoken word recognition": the asymmetric form with
slope constraint P = 1, by which neither sound is taken at less than half or more than twice its pace. They found the
symmetric form a little better, but only here does the sum of weights not depend on where a path begins and ends.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.taught.features import Frames

Lengths = NDArray[np.intp]
Path = tuple[NDArray[np.intp], NDArray[np.intp]]  # frames of what was said, and those of the known sound beside them


def distances(said: Frames, known: Frames, lengths: Lengths, free: int = 0) -> NDArray[np.float32]:
    """From one sound, frames × features, to several, sounds × frames × features, each of which ends at its length.

    Mean Euclidean distance over the frames of the known sound along the best path; up to `free` frames at each end of
    what was said may be left out. Infinite where one is more than about twice as long as the other.
    """
    least = np.full(len(known), np.inf, np.float32)
    each = np.arange(len(known))
    for number, sums in enumerate(_sums(_apart(said, known), free)):
        if number >= len(said) - 1 - free:
            least = np.minimum(least, sums[each, lengths - 1])
    return np.asarray(least / lengths, np.float32)


def path(said: Frames, known: Frames, free: int = 0) -> Path | None:
    """The best of the paths that `distances` has, between two sounds, each frames × features; None where none is."""
    apart = _apart(said, known[None])
    sums = np.stack([row[0] for row in _sums(apart, free)])
    ends = np.arange(max(0, len(said) - 1 - free), len(said))
    at, beside = int(ends[sums[ends, -1].argmin()]), len(known) - 1
    if np.isinf(sums[at, beside]):
        return None
    pairs = [(at, beside)]
    walled, cost = np.pad(sums, ((2, 0), (2, 0)), constant_values=np.inf).tolist(), apart[:, 0].tolist()
    while beside:
        now = cost[at][beside]
        half = walled[at][beside + 1] + (cost[at - 1][beside] + now) / 2
        one, two = walled[at + 1][beside + 1] + now, walled[at + 1][beside] + cost[at][beside - 1] + now
        if half < min(one, two):
            at -= 1
            pairs.append((at, beside))
        elif two < one:
            beside -= 1
            pairs.append((at, beside))
        at, beside = at - 1, beside - 1
        pairs.append((at, beside))
    frames = np.array(pairs[::-1], np.intp)
    return frames[:, 0], frames[:, 1]


def _sums(apart: Frames, free: int) -> Iterator[Frames]:
    """For each frame said, sounds × known: the least sum of distances on a path that leads to that pair of frames."""
    walls = np.full((apart.shape[1], apart.shape[2] + 2), np.inf, np.float32)  # two, left of the first known frame
    before, at, earlier = walls, walls, apart[0]
    for number, now in enumerate(apart):
        after = walls.copy()
        sums = after[:, 2:]
        np.minimum(at[:, 1:-1], at[:, :-2] + _one_before(now), out=sums)  # one frame said for one known, or for two
        sums += now
        np.minimum(sums, before[:, 1:-1] + (earlier + now) / 2, out=sums)  # two for one
        if number <= free:
            sums[:, 0] = now[:, 0]
        yield sums
        before, at, earlier = at, after, now


def _one_before(costs: Frames) -> Frames:
    """For each known frame, the cost of the one before it."""
    return np.concatenate([costs[:, :1], costs[:, :-1]], axis=1)


def _apart(said: Frames, known: Frames) -> Frames:
    """Euclidean distances of all frames, said × sounds × known."""
    products = np.matmul(said, known.transpose(0, 2, 1))  # sound by sound: so small that no threads are started for it
    squares = (said**2).sum(-1)[:, None] + (known**2).sum(-1)[:, None] - 2 * products
    return np.ascontiguousarray(np.sqrt(np.maximum(squares, 0)).transpose(1, 0, 2), np.float32)
