"""Finds words, or rows of words, said on their own in a stream of sound."""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.senses.sound import EAR_RATE, NOTHING

FRAME_S = 0.01
FRAME = round(FRAME_S * EAR_RATE)


def frames(seconds: float) -> int:
    """Seconds as frames."""
    return round(seconds / FRAME_S)


SHORTEST = frames(0.15)  # of a word said on its own
CLICK = frames(0.05)  # sounds shorter than this are not heard at all
QUIET_BEFORE = frames(0.3)  # at least, before a word said on its own
QUIET_AT_OPENING = frames(0.05)  # at least, before a word, when the ear has just been opened
MARGIN = frames(0.12)  # of sound kept on each side of a word
FLOOR_OVER = frames(4)  # the room's noise is judged over this long
FLOOR_GUESSED = frames(0.15)  # and at first guessed for this long
FLOOR_SHARE = 20  # percentile of the levels that is taken as the room's noise
FLOOR_AT_FIRST, FLOOR_AT_LEAST = -65.0, -72.0  # dB of full scale
ABOVE_FLOOR = 12.0  # dB by which a word stands out of the room's noise
BELOW_PEAK = 30.0  # dB below its loudest frame at which a word has ended
VOICED = 0.4  # share of a word's frames at least that the voice activity detector takes for speech


@dataclass(frozen=True, slots=True)
class Span:
    """What is listened for, in frames: how long it may last, and the quiet that ends it."""

    longest: int
    quiet_after: int
    guess: bool = False  # whether what only may be a word on its own is worth a try


WORD = Span(frames(1.2), frames(0.24), guess=True)  # a word or two; stops inside one, as in "back", last up to 0.15 s
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


class Segmenter:
    """Takes samples at 16 kHz as they come, gives utterances; knows no clock but the samples.

    For a quiet room: a word stands out by its level, and a voice activity detector takes it for speech.
    """

    def __init__(self) -> None:
        from pocketsphinx import Vad

        self.span = WORD  # may be changed at any time, as may the next
        self.least = -np.inf  # dB of full scale that a word must exceed in any case
        self._vad: Any = Vad(Vad.LOOSE, EAR_RATE, FRAME_S)
        self._rest = NOTHING
        self._frames = 0  # taken so far
        self._skipped_s = 0.0
        self._levels = deque([FLOOR_AT_FIRST] * FLOOR_GUESSED, maxlen=FLOOR_OVER)
        self._kept: deque[NDArray[np.int16]] = deque(maxlen=ROW.longest + ROW.quiet_after + 2 * MARGIN)
        self._silence(QUIET_BEFORE)

    def feed(self, samples: NDArray[np.int16]) -> Iterator[Utterance]:
        """The words, or rows where `span` is ROW, that are found to have ended in these samples, of any number."""
        whole, self._rest = framed(np.concatenate([self._rest, samples]))
        for frame in whole:
            if utterance := self._take(frame):
                yield utterance

    def skip(self, samples: int) -> None:
        """Pass over so many samples that are not to be heard, and over whatever was being said."""
        if samples:
            self._skipped_s += (samples + len(self._rest)) / EAR_RATE
            self._rest = self._rest[:0]
            self._kept.clear()
            self._silence(QUIET_BEFORE - QUIET_AT_OPENING)

    def leave_out(self) -> None:
        """The last word was the weaver's: no matter here, where the room is judged by its quietest part."""

    def _silence(self, quiet: int) -> None:
        """Nothing is being said, and it has been quiet for so many frames."""
        self._quiet, self._quiet_before = quiet, 0
        self._length = 0  # frames from the first loud one of a sound to its last
        self._peak = -np.inf
        self._voiced = 0

    def _take(self, frame: NDArray[np.int16]) -> Utterance | None:
        self._frames += 1
        self._kept.append(frame)
        level = level_of(frame)
        loud = self._loud(frame, level)
        voiced = self._vad.is_speech(frame.tobytes())
        if loud:
            self._go_on(level, voiced)
            return None
        self._quiet += 1
        return self._end() if self._length and self._quiet >= self.span.quiet_after else None

    def _loud(self, frame: NDArray[np.int16], level: float) -> bool:
        """Whether this frame, the next one, stands out of the room's noise."""
        needed = max(self._floor() + ABOVE_FLOOR, self._peak - BELOW_PEAK, self.least)
        self._levels.append(level)
        return level > needed

    def _go_on(self, level: float, voiced: bool) -> None:
        """A loud frame: the first of a sound, or one more of it."""
        if not self._length:
            self._quiet_before, self._quiet = self._quiet, 0
        self._length += self._quiet + 1
        self._quiet = 0
        self._peak = max(self._peak, level)
        self._voiced += voiced

    def _end(self) -> Utterance | None:
        """A sound has ended; it, if it was said on its own."""
        length, quiet, alone, voiced = self._length, self._quiet, self._quiet_before >= QUIET_BEFORE, self._voiced
        self._silence(quiet + (length + self._quiet_before if length < CLICK else 0))
        if not (alone and SHORTEST <= length <= self.span.longest and voiced >= VOICED * length):
            return None
        return cut(self._kept, length, quiet, MARGIN, self._frames * FRAME_S + self._skipped_s)

    def _floor(self) -> float:
        return max(FLOOR_AT_LEAST, float(np.percentile(self._levels, FLOOR_SHARE)))


def cut(
    kept: deque[NDArray[np.int16]],
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
