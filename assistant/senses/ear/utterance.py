"""What was said on its own in a stream of sound, and the measures by which such a stream is cut up."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from assistant.senses.sound import EAR_RATE, NOTHING

FRAME_S = 0.01
FRAME = round(FRAME_S * EAR_RATE)


def frames(seconds: float) -> int:
    """Seconds as frames."""
    return round(seconds / FRAME_S)


MARGIN = frames(0.12)  # of sound kept on each side of a word


@dataclass(frozen=True, slots=True)
class Span:
    """What is listened for, in frames: how long it may last, and the quiet that ends it."""

    longest: int
    quiet_after: int
    guess: bool = False  # whether what only may be a word on its own is worth a try


WORD = Span(frames(1.6), frames(0.2), guess=True)  # a word or two; stops inside one, as in "back", last up to 0.15 s
ROW = Span(frames(8), frames(0.45))  # numbers one after the other, with small pauses between


@dataclass(frozen=True, slots=True)
class Utterance:
    """A word or row said on its own: samples at 16 kHz with a margin on each side; seconds since the stream began."""

    samples: NDArray[np.int16]
    margin: int  # frames
    start_s: float
    end_s: float
    decided_s: float
    guess: bool = False  # whether it is not even sure that it was said on its own
    before: NDArray[np.int16] = field(default_factory=lambda: NOTHING)  # samples before these, as far as kept


def cut(
    kept: Sequence[NDArray[np.int16]],
    length: int,
    quiet: int,
    margin: int,
    now: float,
    guess: bool = False,
    before: int = 0,
) -> Utterance:
    """What was said in `length` frames and ended `quiet` frames before the last kept, with `margin` frames beside it.

    `now`: seconds since the stream began, at the end of the last kept. `before`: frames kept of what was to be heard
    before it and its margin.
    """
    end, last = now - quiet * FRAME_S, len(kept) - quiet + margin
    first = max(0, len(kept) - length - quiet - margin)
    each = [*kept]
    samples = np.concatenate([NOTHING, *each[first:last]])
    earlier = np.concatenate([NOTHING, *each[max(0, first - before) : first]])
    return Utterance(samples, margin, end - length * FRAME_S, end, now, guess, earlier)


def framed(samples: NDArray[np.int16]) -> tuple[NDArray[np.int16], NDArray[np.int16]]:
    """The whole frames, frames × FRAME, and the samples left over."""
    whole = len(samples) // FRAME * FRAME
    return samples[:whole].reshape(-1, FRAME), samples[whole:]


def level_of(frame: NDArray[np.int16]) -> float:
    """Root mean square in dB of full scale, without the part that does not move; -100 for digital silence."""
    return max(-100.0, 20 * float(np.log10(np.std(frame / 32768) + 1e-9)))
