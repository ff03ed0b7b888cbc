"""Sound to listen to: a synthetic voice in a quiet room."""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from assistant.rehearsal.weaver_voice import WeaverVoice, open_voice
from assistant.senses.ear.engine import WordEngine
from assistant.senses.ear.listener import Heard, Listener
from assistant.senses.ear.utterance import FRAME_S, MARGIN, Utterance
from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits

Sound = NDArray[np.int16]


@cache
def voice() -> WeaverVoice:
    return open_voice("hibari", "en-us")  # says a word the same way every time, unlike piper


@cache
def word(text: str) -> Sound:
    """A word without the silence around it."""
    samples = voice().say(text)
    loud = np.flatnonzero(np.abs(samples) > 300)
    return samples[loud[0] : loud[-1] + 1]


def pause(seconds: float) -> Sound:
    return np.zeros(round(seconds * EAR_RATE), np.int16)


def room(*sounds: Sound) -> Sound:
    """These one after the other, in the noise of a quiet room."""
    samples = np.concatenate(sounds)
    noise = np.random.default_rng(7).normal(0, 20, len(samples))
    return sixteen_bits(samples + noise, FULL_SCALE)


def alone(said: Sound) -> Utterance:
    """As it is found where it was said between quiet."""
    quiet = pause(MARGIN * FRAME_S)
    return Utterance(room(quiet, said, quiet), 1, 1 + len(said) / EAR_RATE, 2 + len(said) / EAR_RATE)


def echoing(sound: Sound, echo_s: float, direct_db: float) -> Sound:
    """In a room that goes on sounding so long, as loud as it was, with direct sound so far above the echo.

    The echo is noise that dies away exponentially, as Polack's model of reverberation has it.
    """
    times = np.arange(round(echo_s * EAR_RATE)) / EAR_RATE
    echo = np.random.default_rng(3).normal(0, 1, len(times)) * 10 ** (-3 * times / echo_s)
    echo[0] = np.sqrt((echo[1:] ** 2).sum()) * 10 ** (direct_db / 20)
    heard = np.convolve(sound.astype(float), echo)[: len(sound)]
    return sixteen_bits(heard * (np.std(sound) / np.std(heard)), FULL_SCALE)


def listen(engine: WordEngine, sound: Sound, largest: int = 0, block: int = 480) -> list[Heard]:
    """What is heard in it, block by block."""
    listener = Listener(engine)
    listener.expect(largest)
    blocks = (sound[at : at + block] for at in range(0, len(sound), block))
    return [heard for block in blocks for heard in listener.listen(block, False)]


def hear(engine: WordEngine, *sounds: Sound, largest: int = 0, row: bool = False) -> list[Heard]:
    """What an engine hears in sounds with a second of quiet around them, where such numbers are expected."""
    listener = Listener(engine)
    listener.expect(largest, row)
    return listener.listen(room(pause(1), *sounds, pause(1)), False)
