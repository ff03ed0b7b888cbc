"""A weaver who teaches: recordings of a synthetic voice, each a little different."""

from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray
from said import Sound, pause, room, voice

from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits

WORDS = {"next": "next", "repeat": "repeat", "back": "previous", "finished": "finished", "pause": "pause"}
NUMBERS = {"1": "one", "2": "two", "3": "three", "4": "four"}


def say(text: str, take: int) -> Sound:
    """A word without the silence around it; the voice says each take differently."""
    samples = voice().say(text, take)
    loud = np.flatnonzero(np.abs(samples) > 300)
    return np.asarray(samples[loud[0] : loud[-1] + 1] // 2, np.int16)


def recording(text: str, take: int) -> Sound:
    return room(pause(0.6), say(text, take), pause(0.6))


def record(folder: Path, words: dict[str, str], takes: int = 3) -> Path:
    """Recordings named after the commands they stand for."""
    folder.mkdir(exist_ok=True)
    for name, text in words.items():
        for take in range(takes):
            soundfile.write(folder / f"{name}-{take + 1}.wav", recording(text, take), EAR_RATE)
    return folder


def noisy(sound: Sound, snr: float, seed: int = 1) -> Sound:
    """With white noise so many dB below the mean power of the loud part of a word."""
    power = (sound[: len(sound) // 160 * 160].reshape(-1, 160).astype(np.float64) ** 2).mean(axis=1)
    level = np.sqrt(power[power > power.max() / 1000].mean()) * 10 ** (-snr / 20)
    noise: NDArray[np.float64] = np.random.default_rng(seed).normal(0, level, len(sound))
    return sixteen_bits(sound + noise, FULL_SCALE)
