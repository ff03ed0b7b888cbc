"""Where a word begins and ends in a noisy room, by how far the mel bands stand out of what else goes on in each."""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.features import BANDS, WINDOW, Frames, mel_energies
from assistant.senses.ear.segmenter import (
    FRAME_S,
    MARGIN,
    QUIET_AT_OPENING,
    QUIET_BEFORE,
    ROW,
    WORD,
    Span,
    Utterance,
    cut,
    framed,
    frames,
    level_of,
)
from assistant.senses.sound import EAR_RATE, NOTHING

SHORTEST = frames(0.1)  # of a word, as it stands out of a noise
SMOOTHED_OVER = 7  # frames; it holds a sound on, at least for LAG frames
LAG = 2
ROOM_OVER = frames(6)  # the room is judged over this long
JUDGED_EVERY = frames(0.1)
BUSY_SHARE = 75  # percentile of a band's levels over which a word has to stand out: most of what a radio says
BUSY_AT_LEAST = -68.0  # dB of a band, with full scale at 1
HIGHEST = 20.0  # dB to which each band counts
STIR_SHARE = 75  # percentile of how far all that goes on stands out
AROUND = WORD.quiet_after - LAG  # frames kept on each side of a word that is to be recognised: all there are after it
BEFORE = frames(0.38)  # kept before these: a word may be the end of another
PAUSE = frames(0.12)  # at least, between two words; stops inside a word are shorter
ABOVE_NOISE = 5.0  # dB by which a word stands out of the noise, on average over the bands


@dataclass(frozen=True, slots=True)
class Bound:
    """By how many dB a word has to stand out."""

    least: float  # throughout
    above_stir: float  # more than STIR_SHARE of all that goes on
    least_peak: float
    peak_share: float  # of how far its peak stands out: so far its other sounds do


SURE = Bound(3.0, 1.0, 4.0, 0.45)
GUESSES = [Bound(1.5, -1.0, 2.0, share) for share in (0.3, 0.45, 0.6, 0.75)]


class Spotter:
    """A segmenter that hears a word at the level of the noise; for engines that can reject what is none."""

    def __init__(self, guessing: bool = False) -> None:
        """`guessing`: to tell, with more sound around it, what only may be a word said on its own, too."""
        self.span = WORD  # may be changed at any time, as may the next
        self.least = -np.inf  # dB of full scale that a word must exceed in any case
        self._guesses = GUESSES if guessing else []
        self._margin, self._before = (AROUND, BEFORE) if guessing else (MARGIN, 0)
        self._tail = np.zeros(WINDOW, np.int16)  # samples before those that come
        self._rest = NOTHING
        self._frames = 0  # taken so far
        self._skipped_s = 0.0
        self._recent: deque[NDArray[np.float32]] = deque(maxlen=SMOOTHED_OVER)
        self._levels: deque[NDArray[np.float32]] = deque(maxlen=ROOM_OVER + ROW.longest)  # dB of each band
        self._stir: deque[float] = deque(maxlen=ROOM_OVER + ROW.longest)
        self._busy = np.full(BANDS, np.inf, np.float32)  # not known yet: nothing stands out
        self._stirring = 0.0  # dB by which what goes on stands out
        longest = ROW.longest + ROW.quiet_after + QUIET_BEFORE
        self._kept: deque[NDArray[np.int16]] = deque(maxlen=longest + AROUND + BEFORE)
        self._above: deque[float] = deque([0.0] * QUIET_BEFORE, maxlen=longest)
        self._since_sure = self._since_heard = (
            longest  # frames since the end of what was surely a word; of the weaver's
        )
        self._found_last = (0, 0)  # frames: the length of what was found, and how long ago it ended

    def feed(self, samples: NDArray[np.int16]) -> Iterator[Utterance]:
        """The words, or rows where `span` is ROW, found to have ended in these samples, of any number at 16 kHz."""
        whole, self._rest = framed(np.concatenate([self._rest, samples]))
        if not len(whole):
            return
        sound = np.concatenate([self._tail, whole.ravel()])
        self._tail = sound[-WINDOW:]
        for frame, bands in zip(whole, mel_energies(sound)[-len(whole) :], strict=True):
            self._kept.append(frame)
            yield from self.take(bands, self.least > -np.inf and level_of(frame) <= self.least)

    def skip(self, samples: int) -> None:
        """Pass over so many samples that are not to be heard, and over whatever was being said."""
        if samples:
            self._skipped_s += (samples + len(self._rest)) / EAR_RATE
            self._rest = self._rest[:0]
            self._kept.clear()
            self._recent.clear()
            self._above.clear()
            self._above.extend([0.0] * (QUIET_BEFORE - QUIET_AT_OPENING))

    def take(self, bands: Frames, faint: bool = False) -> Iterator[Utterance]:
        """The words that are found to have ended with one more frame, given as the energies in its bands.

        `faint`: too faint for a word, however quiet the room.
        """
        self._frames += 1
        self._since_sure += 1
        self._since_heard += 1
        self._recent.append(bands)
        self._levels.append(10 * np.log10(bands))
        above = 0.0 if faint else standing_out(np.mean(self._recent, axis=0), self._busy)
        self._above.append(above)
        self._stir.append(above)
        if self._frames % JUDGED_EVERY == 0:
            self._judge_room()
        quiet = self.span.quiet_after - LAG
        if len(self._above) <= quiet or self._above[-quiet - 1] <= min(map(self._needed, self._bounds())):
            return
        seen = np.array(self._above)[-(self.span.longest + quiet + QUIET_BEFORE + 1) :]
        lengths = [ended(seen, self._needed(each), each, Span(self.span.longest, quiet)) for each in self._bounds()]
        for length in dict.fromkeys(reversed(lengths)):
            sure = length == lengths[0]
            if length and length + quiet < min(self._since_heard, self._since_sure if sure else np.inf):
                yield self._found(length, quiet, sure)

    def _bounds(self) -> list[Bound]:
        return [SURE, *self._guesses] if self.span.guess else [SURE]

    def _needed(self, bound: Bound) -> float:
        return max(bound.least, self._stirring + bound.above_stir)

    def _found(self, length: int, quiet: int, sure: bool) -> Utterance:
        self._found_last = (length, quiet)
        if sure:
            self._since_sure = quiet
        if length > WORD.longest:  # a row lasts too long to be outweighed
            self.leave_out()
        now = self._frames * FRAME_S + self._skipped_s
        return cut(self._kept, length, quiet, self._margin, now, guess=not sure, before=self._before)

    def leave_out(self) -> None:
        """What was found last was the weaver's, and is no part of the room: one who answers fast would go unheard."""
        length, self._since_heard = self._found_last
        for history in (self._levels, self._stir):
            _leave_out(history, length, self._since_heard)
        self._found_last = (0, self._since_heard)

    def _judge_room(self) -> None:
        """By what is so long ago that it is no part of what may be being said."""
        until = max(JUDGED_EVERY, len(self._levels) - self.span.longest)
        judged = slice(max(0, until - ROOM_OVER), until)
        levels, stir = np.array(self._levels)[judged], np.array(self._stir)[judged]
        self._busy = np.maximum(np.percentile(levels, BUSY_SHARE, axis=0), BUSY_AT_LEAST).astype(np.float32)
        self._stirring = float(np.percentile(stir, STIR_SHARE))


def _leave_out(history: deque[Any], length: int, before: int) -> None:
    """Forget so many entries that come before the last ones."""
    history.rotate(before)
    for _ in range(min(length, len(history) - before)):
        history.pop()
    history.rotate(-before)


def standing_out(bands: Frames, busy: NDArray[np.float32]) -> float:
    """How far a sound is above what else goes on, in dB: root mean square over the bands, for a word fills but few."""
    return float(np.sqrt(np.mean(np.clip(10 * np.log10(bands) - busy, 0, HIGHEST) ** 2)))


def ended(above: NDArray[np.float64], needed: float, bound: Bound, span: Span) -> int:
    """Length of the word that ended just so long ago that it can be told; 0 where none did.

    It is over at once where less than a share of its own peak stands out: a radio, too, goes on between words.
    """
    end, first = len(above) - span.quiet_after - 1, 0
    while first <= end and above[end] > needed:
        peak = above[first:].max()
        loud = np.flatnonzero(above > max(needed, bound.peak_share * peak))
        if not len(loud) or loud[-1] > end:
            return 0
        if loud[-1] == end:
            starts = loud[np.diff(loud, prepend=-1) > QUIET_BEFORE]
            length = int(end - starts[-1] + 1) if len(starts) else 0
            alone = SHORTEST <= length <= span.longest and above[-length - span.quiet_after :].max() == peak
            return length if alone and peak >= bound.least_peak else 0
        first = loud[-1] + QUIET_BEFORE  # that was louder, and before
    return 0


def pieces(said: Frames, noise: NDArray[np.float32]) -> Iterator[Frames]:
    """The words in a row, each as mel energies of frames × BANDS with up to MARGIN frames on each side.

    `said`: the row as mel energies; `noise`: the energy of the room in each band. Nothing where nothing stands out.
    """
    found = [*spans(said, noise)]
    edges = [(0, 0), *found, (len(said), len(said))]
    for (_, before), (start, end), (after, _) in zip(edges, found, edges[2:], strict=False):
        first = max(start - MARGIN, (before + start) // 2 if before else 0)
        last = min(end + MARGIN, (end + after) // 2 if after < len(said) else after)
        yield said[first:last]


def spans(said: Frames, noise: NDArray[np.float32]) -> Iterator[tuple[int, int]]:
    """The first frame of each word in a row, and the first after it; `said` and `noise` as `pieces` has them."""
    loud = np.flatnonzero(np.clip(10 * np.log10(said / noise), 0, HIGHEST).mean(axis=1) > ABOVE_NOISE)
    if not len(loud):
        return
    cuts = np.flatnonzero(np.diff(loud) > PAUSE)
    for start, end in zip([loud[0], *loud[cuts + 1]], [*loud[cuts] + 1, loud[-1] + 1], strict=True):
        if end - start >= SHORTEST:
            yield int(start), int(end)
