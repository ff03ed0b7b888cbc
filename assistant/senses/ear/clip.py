"""A clip: a word with as much sound around it as the embedding needs, alike for every word, room and loudness."""

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.embedding import REACH, STEP, Mel, log_mel
from assistant.senses.ear.utterance import Utterance
from assistant.senses.sound import EAR_RATE

FRAMES = 190  # of a clip
AFTER = round(0.2 * EAR_RATE)  # samples from the end of the word to the end of the clip
LEAD = round(0.12 * EAR_RATE)  # samples before the word that are a part of it
SAMPLES = (FRAMES - 1) * STEP + REACH  # of a clip
QUIET_SHARE = 25  # percentile of the levels beside the word that is taken as the room's
LOUD_SHARE = 95  # and of those in the word, all bands together, that is taken as the word's
LEVEL = np.float32(9.0)  # of a word in every clip, in units of 10 dB


def clip(sound: NDArray[np.int16], start: int, end: int) -> Mel:
    """FRAMES × BANDS of log-mel around the word from sample `start` to sample `end` of a sound at 16 kHz.

    In place of what lies more than LEAD before the word, or of what is not there, stands the room's quiet. The word's
    level is LEVEL whatever it was.
    """
    last = min(end + AFTER, len(sound))
    missing = -(-(end + AFTER - last) // STEP)  # frames at the end of the clip
    first = max(0, start - LEAD, last - (SAMPLES - missing * STEP))
    first += (last - first - REACH) % STEP  # so that a frame ends where the sound does
    mel = log_mel(sound[first:last])
    centres = first + np.arange(len(mel)) * STEP + REACH // 2
    return laid(mel, (start <= centres) & (centres < end), missing)


def clip_of(said: Utterance, earlier: int = 0) -> Mel:
    """Of a word as it was found, or as if it had begun so many samples earlier."""
    start, end = said.bounds
    return clip(said.samples, max(0, start - earlier), end)


def laid(mel: Mel, said: NDArray[np.bool_], missing: int) -> Mel:
    """A clip of what is there of it, at most FRAMES.

    `said`: which frames are the word's; `missing`: how many are at the clip's end.
    """
    quiet = mel[~said] if not said.all() else mel
    floor = np.percentile(quiet, QUIET_SHARE, axis=0)
    whole = np.empty((FRAMES, mel.shape[1]), np.float32)
    whole[:] = floor
    until = FRAMES - missing
    whole[until - len(mel) : until] = mel
    return whole + (LEVEL - np.float32(np.percentile(mel[said] if said.any() else mel, LOUD_SHARE)))
