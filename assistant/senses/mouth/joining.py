"""Clips -> one stretch of sound."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from assistant.senses.mouth.player import RATE, SILENCE, Samples

PAUSE_S = 0.12  # between the end of one clip and the start of the next
BEAT_GAP_S = 0.05  # between the end of the longest clip on the beat and the next beat


@dataclass(frozen=True, slots=True)
class Clip:
    """A rendered part of speech."""

    samples: Samples
    beat: bool = False


def beat_of(clips: Sequence[Samples]) -> int:
    """The distance from beat to beat, in samples, that has room for every one of these clips."""
    return max((len(clip) for clip in clips), default=0) + round(BEAT_GAP_S * RATE)


def join(clips: Sequence[Clip], beat: int = 0) -> Samples:
    """One after the other with a pause; neighbours on the beat start this many samples apart, or more if need be."""
    beat = max(beat, beat_of([clip.samples for clip in clips if clip.beat]))
    starts = [0]
    for clip, following in pairwise(clips):
        on_beat = clip.beat and following.beat
        starts.append(starts[-1] + (beat if on_beat else len(clip.samples) + round(PAUSE_S * RATE)))
    if not clips:
        return SILENCE
    joined = np.zeros(starts[-1] + len(clips[-1].samples), dtype=np.float32)
    for start, clip in zip(starts, clips, strict=True):
        joined[start : start + len(clip.samples)] = clip.samples
    return joined
