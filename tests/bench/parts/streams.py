"""Words said one by one in a stream, with quiet around each, and when each was said."""

from collections.abc import Sequence

import numpy as np
from parts.scoring import Said
from parts.spoken import RATE, ROOM_DB, Sound, silence, white
from parts.wanted import Samples

from assistant.senses.sound import sixteen_bits

AROUND_S = 1.0  # of quiet, before and after a word
SETTLING_S = 2.0  # of quiet, before the first

Stream = tuple[Samples, list[Said]]


def alone(sound: Sound, seed: Sequence[int]) -> Samples:
    """A word with a second of a quiet room before and after."""
    return _in_room([silence(AROUND_S), sound, silence(AROUND_S)], seed)


def one_by_one(words: Sequence[tuple[str, Sound]], seed: Sequence[int]) -> Stream:
    """In a quiet room, each with a second of quiet before it and after."""
    parts, said, length = [silence(SETTLING_S)], [], round(SETTLING_S * RATE)
    for label, sound in words:
        start = length + round(AROUND_S * RATE)
        said.append(Said(label, start / RATE, (start + len(sound)) / RATE))
        parts += [silence(AROUND_S), sound, silence(AROUND_S)]
        length = start + len(sound) + round(AROUND_S * RATE)
    return _in_room(parts, seed), said


def _in_room(parts: Sequence[Sound], seed: Sequence[int]) -> Samples:
    sound = np.concatenate(parts)
    return sixteen_bits(sound + white(len(sound), ROOM_DB, seed))
