"""Where a word begins and ends: how far a sound stands out of the room, and how far it falls when it is over.

A room answers for half a second, breath comes before a word and after it, and a radio goes on: no one depth below its
loudest part is where every word ends. So a word is looked for at several depths, and each pair of ends is a candidate;
an engine that rejects what is none tells which it was.
"""

from collections import deque
from collections.abc import Iterator, Sequence
from itertools import islice, pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.features import BANDS, WINDOW, Frames, mel_energies
from assistant.senses.ear.utterance import (
    FRAME_S,
    MARGIN,
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

SHORTEST = frames(0.14)  # of a word, as smoothed
CLICK = frames(0.1)  # what is shorter, as smoothed, and not close to a word, is as good as quiet
CLOSE = frames(0.05)
TICK = frames(0.1)  # all that may be loud, as smoothed, in the quiet before a word
SMACK = frames(0.19)  # what is shorter before a word may be none of it
APART = frames(0.01)  # and is farther from it then
STRONG = 12.0  # dB below its loudest within which a word is strong
LEAD = frames(0.25)  # a word lasts before its first strong sound, at most; a breath lasts longer
LAG = 3  # frames on each side over which energies are smoothed
ROOM_OVER = frames(6)  # the room is judged over this long
KNOWN_AFTER = frames(0.3)  # by at least so much; before that by all there is
JUDGED_EVERY = frames(0.1)
ROOM_SHARE = 88  # percentile of a band's levels that is taken as the room's: most of what a radio says
SHARE_AT_FIRST = 60  # and as long as it may hold a word
ROOM_AT_LEAST = -68.0  # dB of a band, with full scale at 1
HIGHEST = 60.0  # dB to which each band counts
QUIET_BEFORE = ROW.quiet_after  # at the beginning of a stream, as if it had been quiet
QUIET_AT_OPENING = frames(0.05)  # at least, before a word, when the ear has just been opened
DEPTHS = (5.0, 9.0, 14.0, 25.0)  # dB below its loudest at which a word may have ended
FAINT, OVER_AT = 12.0, 14.0  # dB: what stands out more is over only once it fell so far; no dip in a word does
SURE = DEPTHS[-1]  # of these: all of a sound, told last, once the others were tried
LEAST = 1.5  # dB by which a sound stands out of the room at all
CLEAR = 30.0  # and by which it is surely no radio's
LEAST_PEAK = 9.0  # and by which it does for a word to be sure
SAME_START, SAME_END = frames(0.08), frames(0.04)  # nearer than these, two candidates are one
HIGHEST_PITCH, LOWEST_PITCH = EAR_RATE // 400, EAR_RATE // 70  # samples
VOICED = 0.4  # correlation of a word's voice with itself, a period later
PIECE = 512  # samples in which a voice is looked for
VOICED_PIECES = 2  # at least, of a voice
STEADY = 4  # pieces by the faintest of which, of the loudest there are, a voice's level is told
TALK_OVER, TALK_UNTIL = frames(1.5), frames(0.15)  # before a word, from and to which it matters who spoke
HEARD_AFTER = frames(0.1)  # a word that was the weaver's, in which it still sounds


class WordFinder:
    """Takes samples at 16 kHz as they come, gives the words said on their own; knows no clock but the samples."""

    def __init__(self, guessing: bool = False) -> None:
        """`guessing`: to tell what only may be a word said on its own, too."""
        self.span = WORD  # may be changed at any time, as may the next
        self.least = -np.inf  # dB of full scale that a word must exceed in any case
        self._guessing = guessing
        self._tail = np.zeros(WINDOW, np.int16)  # samples before those that come
        self._rest = NOTHING
        self._frames = 0  # taken so far
        self._skipped_s = 0.0
        self._recent: deque[Frames] = deque(maxlen=2 * LAG + 1)
        self._faint = deque([False] * LAG)  # whether each of the last LAG frames is too faint for a word
        self._levels: deque[NDArray[np.float32]] = deque(maxlen=ROOM_OVER + ROW.longest)  # dB of each band
        self._room = np.full(BANDS, np.inf, np.float32)  # dB; not known yet: nothing stands out
        longest = ROW.longest + ROW.quiet_after + QUIET_BEFORE
        self._kept: deque[NDArray[np.int16]] = deque(maxlen=longest + MARGIN)
        self._above: deque[float] = deque([0.0] * QUIET_BEFORE, maxlen=longest)  # dB, of all but the last LAG frames
        self._looked_back = 0  # frames before the last, at which a word was last seen to have ended or not
        self._told: deque[tuple[int, int]] = deque(maxlen=2 * len(DEPTHS))  # first and last frames of candidates
        self._sure_until = self._heard_until = self._forgotten_until = -longest  # last frames of a word that was so

    def feed(self, samples: NDArray[np.int16]) -> Iterator[Utterance]:
        """The words, or rows where `span` is ROW, found to have ended in these samples, of any number."""
        whole, self._rest = framed(np.concatenate([self._rest, samples]))
        if not len(whole):
            return
        sound = np.concatenate([self._tail, whole.ravel()])
        self._tail = sound[-WINDOW:]
        for frame, bands in zip(whole, mel_energies(sound)[-len(whole) :], strict=True):
            self._kept.append(frame)
            yield from self._take(bands, self.least > -np.inf and level_of(frame) <= self.least)

    def skip(self, samples: int) -> None:
        """Pass over so many samples that are not to be heard, and over whatever was being said."""
        if samples:
            self._skipped_s += (samples + len(self._rest)) / EAR_RATE
            self._rest = self._rest[:0]
            self._kept.clear()
            self._recent.clear()
            self._above.clear()
            self._above.extend([0.0] * (self.span.quiet_after - LAG - QUIET_AT_OPENING))

    @property
    def now_s(self) -> float:
        """Seconds since the stream began, up to which it was heard."""
        return self._frames * FRAME_S + self._skipped_s

    def leave_out(self, said: Utterance) -> None:
        """This was the weaver's, and is no part of the room: one who answers fast would go unheard."""
        first, last = (self._frames - round((self.now_s - at) / FRAME_S) for at in (said.start_s, said.end_s))
        self._forget(first, last - 1)
        self._heard_until = max(last - 1, self._heard_until)

    def _forget(self, first: int, last: int) -> None:
        """What lasted from one frame to another is no part of the room."""
        _leave_out(self._levels, last + 1 - max(first, self._forgotten_until + 1), self._frames - last - 1)
        self._forgotten_until = max(last, self._forgotten_until)

    def _take(self, bands: Frames, faint: bool) -> Iterator[Utterance]:
        """The words found to have ended with one more frame, too faint for a word or not, given as its energies."""
        self._frames += 1
        self._recent.append(bands)
        self._levels.append(10 * np.log10(bands))
        if self._frames % JUDGED_EVERY == 0:
            self._judge_room()
        self._faint.append(faint)
        self._above.append(0.0 if self._faint.popleft() else standing_out(np.mean(self._recent, axis=0), self._room))
        quiet = self.span.quiet_after - LAG
        for ago in range(max(quiet, self._looked_back), quiet - 1, -1):  # rows may no longer be listened for
            if len(self._above) > ago and self._above[-ago - 1] > max(LEAST, *islice(reversed(self._above), ago)):
                yield from self._ended(ago)
        self._looked_back = quiet

    def _ended(self, quiet: int) -> Iterator[Utterance]:
        """The candidates for a word or row that ended with the frame before the last `quiet`."""
        looked_at = self.span.longest + 2 * quiet + QUIET_BEFORE
        above = np.array([*islice(reversed(self._above), looked_at)])[::-1]
        last = self._frames - LAG - quiet - 1
        for depth in DEPTHS if self._guessing and self.span.guess else (SURE,):
            if not (pieces := ended(above, depth, Span(self.span.longest, quiet))):
                continue
            length = len(above) - quiet - pieces[0][0]
            sure = depth == SURE and last - length >= self._sure_until and self._surely(above, length, quiet)
            for place in _beginnings(above, pieces) if self.span.guess else [pieces[0][0]]:
                first = last + 1 - (len(above) - quiet - place)
                if first > self._heard_until and (sure or (self._guessing and not self._was_told(first, last))):
                    yield self._found(first, last, sure, float(above.max()))
                    sure = False

    def _was_told(self, first: int, last: int) -> bool:
        return any(abs(first - start) <= SAME_START and abs(last - end) <= SAME_END for start, end in self._told)

    def _found(self, first: int, last: int, sure: bool, peak: float) -> Utterance:
        self._told.append((first, last))
        if sure:
            self._sure_until = last
        quiet = self._frames - last - 1
        talk = self._talk(first, last) if self.span.guess else -np.inf  # nobody asks of a row
        found = cut(self._kept, last + 1 - first, quiet, self.now_s, not sure, talk)
        if last - first >= WORD.longest:  # a row lasts too long to be outweighed
            self.leave_out(found)
        elif sure and peak >= CLEAR:
            self._forget(first, last)
        return found

    def _talk(self, first: int, last: int) -> float:
        """By how many dB a voice just before is louder than what lasts from one frame to another."""
        begin = max(first - TALK_OVER, self._heard_until + HEARD_AFTER)
        return louder(self._between(begin, first - TALK_UNTIL), self._between(first, last + 1))

    def _between(self, first: int, last: int) -> NDArray[np.int16]:
        """What is kept from one frame up to another."""
        ago = self._frames - len(self._kept)
        return np.concatenate([NOTHING, *islice(self._kept, max(0, first - ago), max(0, last - ago))])

    def _surely(self, above: NDArray[np.float64], length: int, quiet: int) -> bool:
        """Whether a voice is in it, and it stands out."""
        end = self._frames - quiet - LAG
        return above[-quiet - length :].max() >= LEAST_PEAK and voiced(self._between(end - length, end))

    def _judge_room(self) -> None:
        """By what is so long ago that it is no part of what may be being said; at first by all there is."""
        until, share = len(self._levels) - self.span.longest, ROOM_SHARE
        if until < KNOWN_AFTER:
            until, share = len(self._levels), SHARE_AT_FIRST
        levels = np.array([*islice(self._levels, max(0, until - ROOM_OVER), until)])
        self._room = np.maximum(np.percentile(levels, share, axis=0), ROOM_AT_LEAST).astype(np.float32)


def _leave_out(history: deque[Any], length: int, before: int) -> None:
    """Forget so many entries that come before the last ones."""
    history.rotate(before)
    for _ in range(min(length, len(history) - before)):
        history.pop()
    history.rotate(-before)


def standing_out(bands: Frames, room: NDArray[np.float32]) -> float:
    """How far energies are above the room, in dB: root mean square over the bands, for a word fills but few."""
    return float(np.sqrt(np.mean(np.clip(10 * np.log10(bands) - room, 0, HIGHEST) ** 2)))


def ended(above: NDArray[np.float64], depth: float, span: Span) -> list[tuple[int, int]]:
    """First and last frames of the pieces of the word that ended just so long ago that it can be told; [] without one.

    It is over where it has fallen `depth` dB below its own loudest for as long as the quiet after it lasts, and such a
    quiet is before it, but for clicks: a radio, too, goes on between words.
    """
    end, first = len(above) - span.quiet_after - 1, 0
    while first <= end:
        peak = above[first:].max()
        loud = first + np.flatnonzero(above[first:] > max(LEAST, peak - depth))
        if not len(loud) or loud[-1] > end:
            return []
        pieces, rest = _last_of(loud, span.quiet_after)
        start = pieces[0][0]
        if above[start:].max() < peak:  # that was before, and is no part of it
            first = max(rest, first + int(above[first:].argmax())) + 1
        elif loud[-1] == end:
            before = above[:start][-span.quiet_after :]
            alone = len(before) == span.quiet_after and np.count_nonzero(before > max(LEAST, peak - depth)) <= TICK
            deep = depth >= min(OVER_AT, peak - FAINT)
            return pieces if deep and alone and SHORTEST <= end + 1 - start <= span.longest else []
        else:  # louder, and over before
            first = int(loud[-1]) + 1 + (span.quiet_after if loud[-1] - loud[0] >= CLICK else 0)
    return []


def _last_of(loud: NDArray[np.intp], gap: int) -> tuple[list[tuple[int, int]], int]:
    """The last pieces with no longer gap between, of frames that are loud; and the last frame before them, or -1."""
    cuts = np.flatnonzero(np.diff(loud) > 1)
    runs = [*zip(loud[[0, *(cuts + 1)]].tolist(), loud[[*cuts, -1]].tolist(), strict=True)]
    pieces = [runs.pop()]
    while runs:
        start, end = runs[-1]
        between = pieces[0][0] - end - 1
        if between > gap:
            return pieces, end
        if end - start >= CLICK or between < CLOSE:
            pieces.insert(0, (start, end))
        runs.pop()
    return pieces, -1


def _beginnings(above: NDArray[np.float64], pieces: Sequence[tuple[int, int]]) -> list[int]:
    """Where a word of these pieces may begin: there, but for a long breath; and after a smack or a breath."""
    start, end = pieces[0][0], pieces[-1][-1] + 1
    strong = start + int(np.flatnonzero(above[start:end] > above[start:end].max() - STRONG)[0])
    later = [
        second
        for (first, last), (second, _) in pairwise(pieces[:2])
        if (last + 1 - first < SMACK or last < strong) and second - last > APART
    ]
    return [max(start, strong - LEAD), *later]


def voiced(sound: NDArray[np.int16]) -> bool:
    """Whether some of it is a voice."""
    return len(voice_levels(sound)) >= VOICED_PIECES


def louder(before: NDArray[np.int16], said: NDArray[np.int16]) -> float:
    """By how many dB the voice in the first is louder than that in the second; -inf where the first has none."""
    levels = [np.sort(voice_levels(sound))[-STEADY:] for sound in (before, said)]
    if len(levels[0]) < STEADY:
        return -np.inf
    return float(levels[0][0] - levels[1][0]) if len(levels[1]) else np.inf


def voice_levels(sound: NDArray[np.int16]) -> NDArray[np.float64]:
    """In dB, of each piece of PIECE samples, every half of it, that is like itself a period of a voice later."""
    if len(sound) < PIECE:
        return np.zeros(0)
    points = 2 * PIECE
    pieces = np.lib.stride_tricks.sliding_window_view(sound.astype(np.float64), PIECE)[:: PIECE // 2]
    pieces = pieces - pieces.mean(axis=1, keepdims=True)
    spectra = np.fft.rfft(pieces, points)
    like = np.fft.irfft(spectra.real**2 + spectra.imag**2, points)
    shrinks = 1 - np.arange(LOWEST_PITCH + 1) / PIECE  # fewer samples overlap
    periods = like[:, HIGHEST_PITCH : LOWEST_PITCH + 1] / shrinks[HIGHEST_PITCH:]
    power = np.maximum(like[:, 0], 1e-9)
    return np.asarray(10 * np.log10(power[periods.max(axis=1) / power > VOICED]))
