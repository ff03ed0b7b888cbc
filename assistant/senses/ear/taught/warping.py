"""How unlike two sounds are when one may be spoken faster or slower than the other: dynamic time warping.

Sakoe & Chiba (1978), "Dynamic programming algorithm optimization for spoken word recognition": the asymmetric form with
slope constraint P = 1, by which neither sound is taken at less than half or more than twice its pace. They found the
symmetric form a little better, but only here does the sum of weights not depend on where a path begins and ends.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.taught.features import Frames

Lengths = NDArray[np.intp]
Path = tuple[NDArray[np.intp], NDArray[np.intp]]  # frames of what was said, and those of the known sound beside them
WALL = 2  # rows and columns before the first, from which no path comes


@dataclass(frozen=True)
class Warped:
    """One sound laid over several known ones, each of which ends at its length."""

    lengths: Lengths
    first_end: int  # frame said at which a path may end
    apart: Frames  # Euclidean distances of all frames, said × known × sounds
    sums: Frames  # the least sums of these on a path that leads to each pair of frames; with WALL on two sides

    @cached_property
    def distances(self) -> NDArray[np.float32]:
        """Mean Euclidean distance over the frames of each known sound along the best path.

        Infinite where one is more than about twice as long as the other.
        """
        ends = self.sums[WALL + self.first_end :, WALL + self.lengths - 1, np.arange(len(self.lengths))]
        return np.asarray(ends.min(axis=0, initial=np.inf) / self.lengths, np.float32)

    def reached(self, least: int) -> NDArray[np.float32]:
        """Mean distance along the best path over the beginning of each known sound, more than `least` frames of it.

        What was said ends with it; where the known sounds were filled up, that counts as a part of them.
        """
        frames = np.arange(1, self.apart.shape[1] + 1)[:, None]
        return np.asarray((self.sums[-1, WALL:] / frames)[least:].min(axis=0), np.float32)

    def span(self, place: int) -> tuple[int, int]:
        """The first and last frame of what was said on the best path over one of the known sounds."""
        said, _ = self.path(place)
        return int(said[0]), int(said[-1])

    def path(self, place: int) -> Path:
        """The best path over one of the known sounds, which must not be infinitely far."""
        length = self.lengths[place]
        cost, sums = self.apart[:, :length, place].tolist(), self.sums[:, : WALL + length, place]
        at = self.first_end + int(sums[WALL + self.first_end :, -1].argmin())
        beside, walled = int(length) - 1, sums.tolist()
        pairs = [(at, beside)]
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


def reachable(said: int, lengths: Lengths, before: int = 0, after: int = 0) -> NDArray[np.bool_]:
    """Which known sounds may be laid under so many frames, as `warp` does; the others are surely at no distance."""
    return (lengths <= 2 * said) & (2 * lengths >= said - before - after)


def warp(said: Frames, known: Frames, lengths: Lengths, before: int = 0, after: int = 0) -> Warped:
    """Lay one sound, frames × features, over several, frames × sounds × features, the shorter ones filled up.

    Up to so many frames `before` and `after` what is known may be left out of what was said.
    """
    apart = _apart(said, known)
    sums = np.full((WALL + apart.shape[0], WALL + apart.shape[1], apart.shape[2]), np.inf, np.float32)
    half = np.empty_like(apart[0])
    for number, now in enumerate(apart):
        two_ago, ago, here = sums[number], sums[number + 1], sums[number + WALL][WALL:]
        np.add(ago[1:-2], now[:-1], out=here[1:])  # this frame of what is known, and the one before it
        np.minimum(here, ago[1:-1], out=here)
        here += now
        np.add(now, apart[max(0, number - 1)], out=half)  # this frame said and the one before it share one weight
        half /= 2
        half += two_ago[1:-1]
        np.minimum(here, half, out=here)
        if number <= before:
            here[0] = now[0]
    return Warped(lengths, max(0, len(said) - 1 - after), apart, sums)


def _apart(said: Frames, known: Frames) -> Frames:
    """Euclidean distances of all frames, said × known × sounds."""
    apart = np.empty((len(said), *known.shape[:2]), np.float32)
    beside = apart.transpose(1, 0, 2)
    np.matmul(-2 * said, known.transpose(0, 2, 1), out=beside)  # frame by frame: so small that no threads are started
    apart += (said**2).sum(-1)[:, None, None]
    apart += np.einsum("ksf,ksf->ks", known, known)
    np.abs(apart, out=apart)  # rounding may leave less than nothing
    return np.sqrt(apart, out=apart)
