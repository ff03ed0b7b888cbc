"""What the microphone brings in: how loud room and voice are, what else is in it, and what is wrong with it. Pure."""

from collections import deque
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from assistant.meaning import Tell
from assistant.senses.ear.echo import Falls, echo_of, falls
from assistant.senses.ear.utterance import FRAME, FRAME_S, frames
from assistant.senses.sound import EAR_RATE, NOTHING

SILENT_DB = -100.0  # a frame without any sound
NOISE_OVER, VOICE_OVER, NOW_OVER = frames(10), frames(30), frames(0.1)
NOISE_SHARE = 20  # percentile of the levels that is the room's noise: in a sentence a fifth is pauses
ABOVE_NOISE = 6.0  # dB by which a frame of voice stands out; a steady noise taken for voice does not
VOICED = frames(0.08)  # at a stretch, at least, of voice; vowels last 0.05 to 0.3 s: common knowledge of phonetics
LEAST_VOICE = frames(0.3)  # before a level of the voice is told: about one word
OWN_TAIL = frames(0.5)  # the helper's own voice may arrive so much later, through sound servers
STILL = 1  # of 32,768, between the highest and lowest sample of a frame: no microphone is as quiet
FULL_SCALE = 32_100  # of 32,768: resampled, a sample cut off at full scale lies a little below it
LOUD_DB = -12.0  # a frame as loud as this counts when clipping is measured, whatever the noise
DEAD_AFTER_S = 3.0  # without any sound; longer than any gap of a sound server; common practice, no source
PAUSE, GATES_AFTER = frames(0.1), 3  # a microphone that fell still so long, so many times, does so between words
OWN_VOICE_DB = -40.0  # the helper speaks at -26 unless turned down; through a room far less comes back
LEAST_OWN = frames(1)  # of it, and of nothing else after it, before that is told
LATELY, LEAST_MISSED = 12, 3  # words
KEPT = 3 * EAR_RATE  # samples: a word that was just decided, with the quiet before it
MAINS_HZ, HARMONICS, BESIDE_HZ = (50, 60), 10, 2


@dataclass(frozen=True, slots=True)
class Measures:
    """The room as it was lately. Levels are root mean squares in dB of full scale; None where nothing was heard yet."""

    seconds: float = 0.0  # listened to, without what the helper itself said
    now: float = SILENT_DB
    noise: float | None = None
    voice: float | None = None
    clipped: float = 0.0  # share of the samples of what was loud that reach full scale
    hum: float = 0.0  # share of the last second's power at the frequencies of the mains and their multiples
    still_s: float = 0.0  # for so long every sample has been the same
    offset: int = 0  # the sample that stood still last, of 32,768
    gates: bool = False  # the microphone itself falls still between words
    echo: float | None = None  # seconds until what sounds in the room has died away by 60 dB
    own: float | None = None  # how loud the helper's own voice came in, where all else was still
    heard: int = 0  # words understood
    unclear: int = 0  # and not
    missed: float = 0.0  # the share of the LATELY last ones that was not understood; 0 while those were too few to tell

    @property
    def distance(self) -> float | None:
        """By how many dB the voice stands out of the noise."""
        return None if self.voice is None or self.noise is None else self.voice - self.noise


class RoomMeter:
    """Measures sound, block by block at 16 kHz; knows no clock but the samples."""

    def __init__(self) -> None:
        self._rest = NOTHING
        self._kept = np.zeros(KEPT, np.int16)
        self._taken = 0  # samples, in whole frames
        self._lately: deque[tuple[float, float]] = deque(maxlen=VOICE_OVER)  # level, share at full scale
        self._own: deque[float] = deque(maxlen=NOISE_OVER)
        self._open = self._open_still = self._still = self._closed = 0  # frames
        self._pauses = self._offset = 0
        self._heard = self._unclear = 0
        self._last: deque[bool] = deque(maxlen=LATELY)  # whether each word was understood
        self._falls: deque[Falls] = deque(maxlen=LATELY)  # of these words

    def take(self, block: NDArray[np.int16], closed: bool) -> None:
        """Mono at 16 kHz; `closed`: the helper was speaking meanwhile."""
        samples = np.concatenate([self._rest, block])
        whole = len(samples) // FRAME * FRAME
        self._rest = samples[whole:]
        self._kept = np.concatenate([self._kept, samples[:whole]])[-KEPT:]
        self._taken += whole
        for frame in samples[:whole].reshape(-1, FRAME):
            self._closed = OWN_TAIL if closed else max(0, self._closed - 1)
            self._take(frame, self._closed > 0)

    def count(self, understood: bool, start_s: float, decided_s: float) -> None:
        """A word was heard, and understood or not; seconds of all that was taken."""
        self._heard += understood
        self._unclear += not understood
        self._last.append(understood)
        start, decided = (max(0, round(at * EAR_RATE) - self._taken + KEPT) for at in (start_s, decided_s))
        taken_from = max(0, KEPT - self._taken)
        self._falls.append(falls(self._kept[taken_from:decided], start - taken_from))

    def _take(self, frame: NDArray[np.int16], closed: bool) -> None:
        still = int(frame.max()) - int(frame.min()) <= STILL
        self._offset = int(frame[0]) if still else self._offset
        self._pauses += not still and PAUSE <= self._still < frames(DEAD_AFTER_S)
        self._still = self._still + 1 if still else 0
        level = SILENT_DB if still else 20 * float(np.log10(np.std(frame / 32768)))
        if closed:
            self._own.append(level)
            return
        self._open += 1
        self._open_still += 1
        if not still:
            self._open_still = 0
            self._own.clear()
        self._lately.append((level, float(np.mean(np.abs(frame.astype(np.int32)) >= FULL_SCALE))))

    def measures(self) -> Measures:
        """The room up to now."""
        if not self._lately:
            return Measures(still_s=self._still * FRAME_S, offset=self._offset)
        levels, full = (np.array(column) for column in zip(*self._lately, strict=True))
        noise = float(np.percentile(levels[-NOISE_OVER:], NOISE_SHARE))
        steady = np.percentile(levels[levels > SILENT_DB], NOISE_SHARE) if levels.max() > SILENT_DB else noise
        voice = levels[lasting(levels > steady + ABOVE_NOISE)]
        loud = levels > max(-60.0, min(noise + ABOVE_NOISE, LOUD_DB))
        own = [level for level in self._own if level > OWN_VOICE_DB]
        return Measures(
            seconds=self._open * FRAME_S,
            now=_together(levels[-NOW_OVER:]),
            noise=noise,
            voice=_together(voice) if len(voice) >= LEAST_VOICE else None,
            clipped=float(full[loud].mean()) if loud.sum() >= LEAST_VOICE else 0.0,
            hum=hum(self._kept[-EAR_RATE:]),
            still_s=self._still * FRAME_S,
            offset=self._offset,
            gates=self._pauses >= GATES_AFTER,
            echo=echo_of(self._falls),
            own=_together(np.array(own)) if min(len(own), self._open_still) >= LEAST_OWN else None,
            heard=self._heard,
            unclear=self._unclear,
            missed=self._last.count(False) / len(self._last) if self._last.count(False) >= LEAST_MISSED else 0.0,
        )


def lasting(stands_out: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Those frames that stand out for VOICED frames or more at a stretch: a click does not, a vowel does."""
    edges = np.flatnonzero(np.diff(stands_out, prepend=False, append=False))
    kept = np.zeros_like(stands_out)
    for start, end in edges.reshape(-1, 2):
        kept[start:end] = end - start >= VOICED
    return kept


def hum(second: NDArray[np.int16]) -> float:
    """The share of one second's power at 50 or 60 Hz and their multiples; white noise has less than 0.01 there."""
    power = np.abs(np.fft.rfft((second - np.mean(second)) * np.hanning(len(second)))) ** 2  # bins of 1 Hz
    total = float(power.sum())
    lines = (np.arange(1, HARMONICS + 1)[:, None] * mains + np.arange(-BESIDE_HZ, BESIDE_HZ + 1) for mains in MAINS_HZ)
    return max(float(power[line].sum()) for line in lines) / total if total else 0.0


def _together(levels: NDArray[np.float64]) -> float:
    """The level of several frames as one."""
    return 10 * float(np.log10(np.mean(10 ** (levels / 10)))) if len(levels) else SILENT_DB


class SoundFault(StrEnum):
    """What is wrong, the gravest first."""

    WRONG = "wrong"
    DEAD = "dead"
    STUCK = "stuck"
    CLIPPED = "clipped"
    HUM = "hum"
    NOISY = "noisy"
    FAINT = "faint"
    ECHOING = "echoing"
    MISHEARD = "misheard"


GATED_DEAD_AFTER_S = 60.0  # where the microphone itself falls still between words, as some headsets do
CLIPPED_SHARE = 0.01  # a clean voice never reaches full scale; common practice, no source
HUM_SHARE, HUM_DB = 0.5, -55.0  # most of what is heard, and loud enough to be in the way
LOUD_ROOM_DB = -35.0  # from here on a room without a voice is called noisy; common practice, no source
NEAR_NOISE_DB = 15.0  # a word is found 12 dB above the noise, and its soft sounds need some more
FAINT_DB = -48.0  # the soft ends of words, 20 to 30 dB down, are lost below the least noise assumed, -72
MISSED_SHARE = 0.4  # five of twelve
ECHO_S = 0.4  # from here on an echo is to blame where so many words are missed; measured, docs/hearing.md
STRONG_ECHO_S = 0.6  # and here where any is: two of three were not understood

GRAVE = {  # what a sitting warns of, and the phrase that is spoken
    SoundFault.WRONG: "microphone wrong",
    SoundFault.DEAD: "microphone dead",
    SoundFault.STUCK: "microphone dead",
    SoundFault.CLIPPED: "microphone clipped",
    SoundFault.ECHOING: "room echoes",
}
LESSON = {SoundFault.MISHEARD: "lesson offered"}  # spoken of besides where no lesson was given
SOUNDLESS = (SoundFault.DEAD, SoundFault.STUCK)
WELL = "microphone well"  # what is spoken when it gives sound again


def advice(fault: SoundFault) -> Tell:
    """What is wrong and what to do about it, to be read."""
    return Tell(f"sound {fault}")


def faults(room: Measures) -> list[SoundFault]:
    """What is wrong in this room, the gravest first; where nothing comes in, nothing else can be told."""
    still = room.still_s >= (GATED_DEAD_AFTER_S if room.gates else DEAD_AFTER_S)
    if room.own is not None:
        return [SoundFault.WRONG]
    if still:
        return [SoundFault.STUCK if abs(room.offset) > STILL else SoundFault.DEAD]
    distance, noise = room.distance, SILENT_DB if room.noise is None else room.noise
    wrong = {
        SoundFault.CLIPPED: room.clipped > CLIPPED_SHARE,
        SoundFault.HUM: room.hum > HUM_SHARE and noise > HUM_DB,
        SoundFault.NOISY: distance < NEAR_NOISE_DB if distance is not None else noise > LOUD_ROOM_DB,
        SoundFault.FAINT: room.voice is not None and room.voice < FAINT_DB,
        SoundFault.ECHOING: _echoing(room),
        SoundFault.MISHEARD: room.missed >= MISSED_SHARE,
    }
    return [fault for fault, there in wrong.items() if there]


def _echoing(room: Measures) -> bool:
    """Whether words are missed, and the echo is to blame."""
    least = ECHO_S if room.missed >= MISSED_SHARE else STRONG_ECHO_S
    return room.unclear > 0 and room.echo is not None and room.echo >= least
