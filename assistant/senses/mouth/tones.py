"""Four signals, and what stands in for a word; told apart by contour and rhythm, so that no one needs an ear for pitch.

All lie between 300 and 1,100 Hz, where ageing ears and small loudspeakers still serve.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np

from assistant.senses.mouth.player import RATE, Samples
from assistant.session.events import Tone

ATTACK_S = 0.008
LEVEL = 0.12  # of a note, root mean square: about that of the speech


@dataclass(frozen=True, slots=True)
class Note:
    """A note gliding from one pitch to another; partials are the levels of its harmonics."""

    start_hz: float
    end_hz: float
    seconds: float
    rest_s: float = 0.0
    partials: tuple[float, ...] = (1.0,)


_BRIGHT = (1.0, 0.5, 0.4, 0.2)

NOTES = {
    Tone.HEARD: (Note(880, 880, 0.06),),  # one short tick
    Tone.EVEN: (Note(523, 523, 0.11, 0.02), Note(784, 784, 0.24)),  # short, long, a fifth up: settled
    Tone.OFF: (*[Note(620, 620, 0.09, 0.07, _BRIGHT)] * 3, Note(620, 415, 0.4, 0.0, _BRIGHT)),  # three raps, a fall
    Tone.UNCLEAR: (Note(330, 520, 0.28),),  # one slow rise, as a question does
}


STAND_IN = (Note(430, 430, 0.07, 0.05, _BRIGHT), Note(430, 430, 0.07, 0.0, _BRIGHT))  # two quick knocks


@cache
def tone(which: Tone) -> Samples:
    """The samples of a tone; not to be changed."""
    return np.concatenate([_note(note) for note in NOTES[which]])


@cache
def stand_in() -> Samples:
    """What is heard in place of a word that the voice cannot say; not to be changed."""
    return np.concatenate([_note(note) for note in STAND_IN])


def _note(note: Note) -> Samples:
    count = round(note.seconds * RATE)
    phase = 2 * np.pi * np.cumsum(np.linspace(note.start_hz, note.end_hz, count)) / RATE
    wave = sum(level * np.sin(harmonic * phase) for harmonic, level in enumerate(note.partials, start=1))
    sound = wave * _envelope(count)
    sound *= LEVEL / np.sqrt(np.mean(sound**2))
    return np.pad(sound, (0, round(note.rest_s * RATE))).astype(np.float32)


def _envelope(count: int) -> Samples:
    """A soft attack, then a fall to nothing."""
    attack = round(ATTACK_S * RATE)
    rise = 0.5 - 0.5 * np.cos(np.linspace(0, np.pi, attack))
    fall = 0.5 + 0.5 * np.cos(np.linspace(0, np.pi, count - attack))
    return np.concatenate([rise, fall]).astype(np.float32)
