"""Tells the helper's own voice from the weaver's: what the mouth played is laid beside what the ear heard."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.features import Frames, mel_energies
from assistant.senses.ear.utterance import FRAME, MARGIN, Utterance, frames
from assistant.senses.mouth.player import MOUTH_RATE, Samples
from assistant.senses.resampling import resampler
from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits

EARLIEST, LATEST = frames(-0.05), frames(0.5)  # from leaving the player to coming out of the microphone
DEEP = 30.0  # dB below the loudest of its band down to which a sound counts
SILENT = 1e-3  # of full scale: nothing to be heard was played
ALIKE = 0.55  # correlation from which on a sound is taken for what was played
LEAK_OVER, LEAK_EVERY = frames(1.5), frames(0.5)  # how much is compared to notice a leak, and how often
LEAK_ALIKE, LEAK_LEVEL = 0.7, -50.0  # the correlation of a leak, and its level in dB of full scale
LEAK_TIMES = 2  # in a row, to be sure of it
ABOVE_LEAK, LEVEL_AT_MOST = 2.0, -36.0  # dB by which a word must exceed a faint leak; dB of full scale
PLAYED_KEPT = 12 * EAR_RATE  # longer than a row and what is around it
HEARD_KEPT = (LEAK_OVER + LATEST) * FRAME

Recorded = NDArray[np.int16]


class OwnVoice:
    """Listens along with the ear, and notices when more than a little of the mouth comes back."""

    def __init__(self, played: Callable[[], Samples], leaks: bool, noticed: Callable[[], None] = lambda: None):
        """`played` gives what has left the mouth since it was last asked, at the mouth's rate.

        `leaks` tells whether the own voice is known to come back; if not, `noticed` is called once if it does.
        """
        self.level = -np.inf  # up to which the own voice comes, in dB of full scale
        self.leaks = leaks  # so that the ear has to be closed while the mouth speaks
        self._take, self._noticed = played, noticed
        self._resample = resampler(MOUTH_RATE, EAR_RATE)
        self._played = np.zeros(PLAYED_KEPT, np.int16)
        self._heard = np.zeros(HEARD_KEPT, np.int16)
        self._unjudged = 0  # samples
        self._times = 0  # it was to be heard, in a row

    def follow(self, block: Recorded) -> None:
        """The microphone's next block has come, mono at 16 kHz."""
        played = self._resample.resample_chunk(np.asarray(self._take(), np.float32))
        self._played = np.append(self._played, sixteen_bits(played))[-PLAYED_KEPT:]
        self._heard = np.append(self._heard, block)[-HEARD_KEPT:]
        self._unjudged += len(block)
        if self._unjudged >= LEAK_EVERY * FRAME and not self.leaks:
            self._unjudged = 0
            self._judge()

    def explains(self, said: Utterance) -> bool:
        """Whether an utterance that has just been decided is what was played."""
        return self._alike(said.samples, round((said.decided_s - said.end_s) * EAR_RATE) - MARGIN * FRAME) > ALIKE

    def _judge(self) -> None:
        """Whether the own voice was to be heard lately."""
        before = LATEST * FRAME
        if not _sounds(self._played[-HEARD_KEPT:-before]):
            return
        heard = self._heard[:-before]
        levels = 20 * np.log10(np.std(heard.reshape(-1, FRAME) / 32768, axis=1) + 1e-9)
        level, alike = 20 * np.log10(np.std(heard / 32768) + 1e-9), self._alike(heard, before)
        if alike > ALIKE:
            self.level = min(float(levels.max()) + ABOVE_LEAK, LEVEL_AT_MOST)
        leaking = level > LEAK_LEVEL and alike > LEAK_ALIKE
        self._times = self._times + 1 if leaking else 0
        if self._times >= LEAK_TIMES:
            self.leaks = True
            self._noticed()

    def _alike(self, heard: Recorded, before: int) -> float:
        """The correlation at the delay at which it is greatest, of sound that ended so many samples ago."""
        end = PLAYED_KEPT - before
        played = self._played[max(0, end - len(heard) - LATEST * FRAME) : end - EARLIEST * FRAME]
        return likeness(mel_energies(heard), mel_energies(played)) if _sounds(played) else 0.0


def likeness(heard: Frames, played: Frames) -> float:
    """The greatest correlation of what was heard with any stretch as long of what was played, both as mel energies.

    Correlated is how each band rises and falls, so that neither loudness nor the colour of a device counts.
    """
    ours = _moving(_shape(heard))
    windows = np.lib.stride_tricks.sliding_window_view(_shape(played), len(heard), axis=0).swapaxes(1, 2)
    theirs = _moving(windows)
    lengths = np.sqrt((theirs**2).sum(axis=(1, 2)) * (ours**2).sum())
    return float((np.einsum("ltb,tb->l", theirs, ours) / np.maximum(lengths, 1e-9)).max())


def _shape(energies: Frames) -> Frames:
    """In dB over the least that counts."""
    decibels = 10 * np.log10(energies)
    return np.asarray(np.clip(decibels - (decibels.max(axis=0) - DEEP), 0, DEEP), np.float32)


def _moving(shape: Frames) -> Frames:
    return np.asarray(shape - shape.mean(axis=-2, keepdims=True), np.float32)


def _sounds(samples: Recorded) -> bool:
    return bool(np.abs(samples).max(initial=0) > SILENT * FULL_SCALE)
