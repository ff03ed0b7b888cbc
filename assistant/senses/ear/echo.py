"""How long a room goes on sounding, by how steeply words die away in it. Pure.

A sound can die away no faster than the room lets it: of all that falls in a few words, in any band, the steepest tell.
They do so whatever the distance of the microphone; how far away it is they do not tell.
"""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.features import STEP, mel_energies
from assistant.senses.ear.utterance import FRAME_S, frames

FALL = frames(0.12)  # a straight line is laid through so much of a band's level
NOISE_SHARE, NOISE_ABOVE = 15, 1.3  # percentile of a band's energies, and how far above it the mean of a noise lies
OVER_NOISE_DB = 3.0  # all of a fall lies so far above the noise, which is taken off it
FROM_DB = 25.0  # and begins so far above it: of fainter ones only the slow would be left, and a noise taken for an echo
LEAST_FALL = 20.0  # dB/s; what falls less is a vowel held
STEEPEST = 95  # percentile
LEAST_FALLS, LEAST_WORDS = 100, 4  # before an echo is told
LONGER = 4.3  # times the square of the seconds in which the steepest would fall by 60 dB; by rooms of 0.1 to 0.9 s

Falls = NDArray[np.float64]


def falls(sound: NDArray[np.int16], start: int) -> Falls:
    """How steeply a word falls, in dB/s, wherever a band of it does.

    `sound`: at 16 kHz, up to what is heard of the word's dying away, with the quiet before it; `start`: the sample at
    which the word begins.
    """
    energies = mel_energies(sound).astype(np.float64)
    noise = NOISE_ABOVE * np.percentile(energies, NOISE_SHARE, axis=0)
    levels = 10 * np.log10(np.maximum(energies - noise, 0.05 * noise))[max(0, start) // STEP :]
    if len(levels) < FALL:
        return np.zeros(0)
    stretches = np.lib.stride_tricks.sliding_window_view(levels, FALL, axis=0)
    ramp = np.arange(FALL) - (FALL - 1) / 2
    steepness = -(stretches @ ramp) / (ramp @ ramp) / FRAME_S
    above = stretches - 10 * np.log10(noise)[:, None]
    clear = (above.min(axis=-1) > OVER_NOISE_DB) & (above[..., 0] > FROM_DB)
    return np.asarray(steepness[clear & (steepness > LEAST_FALL)])


def echo_of(words: Iterable[Falls]) -> float | None:
    """Seconds until what sounds in the room has died away by 60 dB; None where too little was heard to tell."""
    heard = [each for each in words if len(each)]
    if len(heard) < LEAST_WORDS or sum(map(len, heard)) < LEAST_FALLS:
        return None
    steepest = float(np.percentile(np.concatenate(heard), STEEPEST))
    return LONGER * (60 / steepest) ** 2
