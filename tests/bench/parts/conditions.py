"""In what words are said: a quiet room, a noise, a room that echoes.

Rooms are made by image sources (pyroomacoustics; pip install 'heddlecall[bench]'): 5 m by 4 m by 2.6 m, where the
weaver and the microphone stand is chosen by chance, and the level is the weaver's whatever the distance.
"""

from collections.abc import Callable
from functools import cache
from importlib.util import find_spec
from typing import NamedTuple

import numpy as np
from parts.scoring import Said
from parts.spoken import RATE, ROOM_DB, WEAVER_DB, Sound, at_level, babble, music, silence, talker, white, word
from parts.streams import Stream

from assistant.senses.sound import sixteen_bits

SIZE = (5.0, 4.0, 2.6)  # m
HEIGHT = 1.2  # m, of mouth and microphone
FROM_WALLS = 0.6  # m at least
NOISES: dict[str, Callable[[int, float, int], Sound]] = {
    "white": white,
    "babble": babble,
    "music": music,
    "talker": talker,
}


class Condition(NamedTuple):
    """A noise so many dB below the weaver, or a room; neither: a quiet room, close and dry."""

    noise: str = ""
    snr: int = 0  # dB
    echo_s: float = 0.0  # until the reverberation has died away by 60 dB
    distance: float = 0.0  # m

    def __str__(self) -> str:
        if self.echo_s:
            return f"a room of {self.echo_s:g} s, {self.distance:g} m"
        return f"{self.noise} {self.snr} dB" if self.noise else "clean"


CLEAN = Condition()
ROOMS = [Condition(echo_s=echo_s, distance=distance) for echo_s in (0.3, 0.5) for distance in (0.3, 0.8, 1.6)]


def missing() -> str:
    """What to install for rooms; else ""."""
    return "" if find_spec("pyroomacoustics") else "rooms of 0.3 and 0.5 s: left out; pip install 'heddlecall[bench]'"


def conditions(snrs: tuple[int, ...]) -> list[Condition]:
    """All there are, with noise so many dB below the weaver."""
    return [CLEAN, *(Condition(noise, snr) for noise in NOISES for snr in snrs), *([] if missing() else ROOMS)]


def said_in(name: str, words: list[tuple[str, str]], condition: Condition, repetition: int) -> Stream:
    """Every word once, one and a half to three seconds apart. `words`: label and what is said for it."""
    seed = 1000 * repetition + condition.snr
    chance = np.random.default_rng(seed)
    parts, said, length = [silence(5)], [], 5 * RATE
    for place in chance.permutation(len(words)):
        label, text = words[place]
        sound, pause = word(name, text, repetition), silence(chance.uniform(1.5, 3))
        said.append(Said(label, length / RATE, (length + len(sound)) / RATE))
        parts += [sound, pause]
        length += len(sound) + len(pause)
    sound = np.concatenate(parts)
    if condition.echo_s:
        sound = at_level(echoing(sound, condition.echo_s, condition.distance, repetition), WEAVER_DB)
    sound = sound + white(length, ROOM_DB, seed)
    if condition.noise:
        sound += NOISES[condition.noise](length, WEAVER_DB - condition.snr, seed)
    return sixteen_bits(sound), said


def echoing(sound: Sound, echo_s: float, distance: float, seed: int) -> Sound:
    """As it arrives at a microphone so far away, as long as it was, and with what comes first at its old time."""
    echo = _echo(echo_s, distance, seed)
    size = len(sound) + len(echo) - 1
    return np.asarray(np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(echo, size), size)[: len(sound)])


@cache
def _echo(echo_s: float, distance: float, seed: int) -> Sound:
    """What arrives of a click, from the straight way on."""
    import pyroomacoustics

    chance = np.random.default_rng([seed, round(100 * distance), round(100 * echo_s)])
    absorbed, order = pyroomacoustics.inverse_sabine(echo_s, SIZE)
    room = pyroomacoustics.ShoeBox(SIZE, fs=RATE, materials=pyroomacoustics.Material(absorbed), max_order=order)
    while True:
        weaver = np.array([*chance.uniform(FROM_WALLS, np.array(SIZE[:2]) - FROM_WALLS), HEIGHT])
        turned = chance.uniform(0, 2 * np.pi)
        microphone = weaver + distance * np.array([np.cos(turned), np.sin(turned), 0])
        if np.all(microphone[:2] > FROM_WALLS / 2) and np.all(microphone[:2] < np.array(SIZE[:2]) - FROM_WALLS / 2):
            break
    room.add_source(weaver)
    room.add_microphone(microphone)
    room.compute_rir()
    echo = np.asarray(room.rir[0][0], np.float64)
    return echo[max(0, int(np.abs(echo).argmax()) - RATE // 1000) :]
