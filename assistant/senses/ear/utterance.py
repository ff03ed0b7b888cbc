"""What was said on its own in a stream of sound, and the measures by which such a stream is cut up."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from assistant.senses.sound import EAR_RATE, NOTHING

FRAME_S = 0.01
FRAME = round(FRAME_S * EAR_RATE)


def frames(seconds: float) -> int:
    """Seconds as frames."""
    return round(seconds / FRAME_S)


@dataclass(frozen=True, slots=True)
class Span:
    """What is listened for, in frames: how long it may last, and the quiet that ends it."""

    longest: int
    quiet_after: int
    guess: bool = False  # whether what only may be a word on its own is worth a try


WORD = Span(frames(1.6), frames(0.18), guess=True)  # a word or two; stops inside one, as in "back", last up to 0.15 s
ROW = Span(frames(8), frames(0.45))  # numbers one after the other, with small pauses between
MARGIN = WORD.quiet_after  # frames of sound kept on each side of a word: all there are after it


@dataclass(frozen=True, slots=True)
class Utterance:
    """A word or row said on its own, with MARGIN frames after it and at most as many before it, if they were heard.

    Samples are at 16 kHz; seconds since the stream began.
    """

    samples: NDArray[np.int16] = field(compare=False)  # arrays are equal sample by sample, and its times tell it apart
    start_s: float
    end_s: float
    decided_s: float
    guess: bool = False  # whether it is not even sure that it was said on its own
    talk: float = -np.inf  # dB by which a voice just before it is louder than it is

    @property
    def bounds(self) -> tuple[int, int]:
        """The first sample of it, and the first after it."""
        end = len(self.samples) - MARGIN * FRAME
        return max(0, end - round((self.end_s - self.start_s) * EAR_RATE)), max(0, end)


def cut(
    kept: Sequence[NDArray[np.int16]], length: int, quiet: int, now: float, guess: bool = False, talk: float = -np.inf
) -> Utterance:
    """What was said in `length` frames and ended `quiet` frames, at least MARGIN, before the last kept.

    `now`: seconds since the stream began, at the end of the last kept.
    """
    end, last = now - quiet * FRAME_S, len(kept) - quiet + MARGIN
    first = max(0, last - length - 2 * MARGIN)
    samples = np.concatenate([NOTHING, *islice(kept, first, last)])
    return Utterance(samples, end - length * FRAME_S, end, now, guess, talk)


def framed(samples: NDArray[np.int16]) -> tuple[NDArray[np.int16], NDArray[np.int16]]:
    """The whole frames, frames × FRAME, and the samples left over."""
    whole = len(samples) // FRAME * FRAME
    return samples[:whole].reshape(-1, FRAME), samples[whole:]


def level_of(frame: NDArray[np.int16]) -> float:
    """Root mean square in dB of full scale, without the part that does not move; -100 for digital silence."""
    return max(-100.0, 20 * float(np.log10(np.std(frame / 32768) + 1e-9)))
