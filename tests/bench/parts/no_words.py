"""Sounds at a loom that are no word, made by our own code: alone they are to be nothing, and no word beside is lost.

Each is made anew every time, its length, pitch and level by chance. What they are like is common knowledge, without a
source: a breath is noise through an open mouth that swells and fades; a smack a short burst with a ring; a click one
ring of a hard thing; yarn rustles in many faint crackles; a loom's wood creaks by sticking and slipping, ever faster or
slower; a cough is a burst of noise with a voiced tail.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence

import numpy as np
from parts.pupils import Pupil, Teach
from parts.scoring import Cell, Results, Said, Score, Share, gather, score
from parts.spoken import RATE, ROOM_DB, WEAVER_DB, Sound, at_level, silence, white, word
from parts.streams import SETTLING_S, Stream
from parts.voices import COMMANDS, lesson

from assistant.senses.sound import sixteen_bits

FAINTER = (4.0, 16.0)  # dB below the weaver
APART = (0.15, 0.5)  # s between a sound and the word beside it
PAUSE = (1.2, 2.0)  # s between one and the next

Chance = np.random.Generator


def _breath(chance: Chance) -> Sound:
    length = chance.uniform(0.25, 0.7)
    return _band(chance, length, 500, chance.uniform(2500, 5000)) * _swell(length, chance.uniform(0.3, 0.7))


def _smack(chance: Chance) -> Sound:
    """Lips part, once or twice."""
    burst = _band(chance, 0.03, 1000, 6000) * _dies(0.03, 0.006)
    ring = _ring(chance.uniform(1200, 2500), 0.03, 0.008)
    once = burst / np.abs(burst).max() + 0.7 * ring
    return once if chance.random() < 0.5 else np.concatenate([once, silence(chance.uniform(0.02, 0.06)), 0.6 * once])


def _click(chance: Chance) -> Sound:
    return sum(
        (_ring(hertz, 0.08, chance.uniform(0.004, 0.02)) for hertz in chance.uniform(900, 5000, 3)), silence(0.08)
    )


def _rustle(chance: Chance) -> Sound:
    sound = silence(chance.uniform(0.4, 1.2))
    for at in chance.integers(0, len(sound) - 400, int(len(sound) / RATE * chance.uniform(60, 150))):
        crackle = _band(chance, 0.02, 2000, 7500) * _dies(0.02, 0.003) * chance.exponential()
        sound[at : at + len(crackle)] += crackle[: len(sound) - at]
    return sound


def _creak(chance: Chance) -> Sound:
    sound, length = silence(0.8), chance.uniform(0.25, 0.75)
    slow, fast = sorted(chance.uniform(25, 140, 2))
    first, last = (slow, fast) if chance.random() < 0.5 else (fast, slow)
    wood, at = chance.uniform(350, 1800, 3), 0.0
    while at < length:
        slip = sum((_ring(hertz, 0.03, 0.006) for hertz in wood), silence(0.03)) * chance.uniform(0.5, 1)
        place = sound[round(at * RATE) :][: len(slip)]
        place += slip[: len(place)]
        at += chance.uniform(0.9, 1.1) / (first + (last - first) * at / length)
    return sound[: round((length + 0.03) * RATE)]


def _cough(chance: Chance) -> Sound:
    length = chance.uniform(0.2, 0.35)
    burst = _band(chance, length, 300, 4500) * _dies(length, chance.uniform(0.04, 0.08))
    at = np.arange(round(length * RATE)) / RATE
    voiced = np.sign(np.sin(2 * np.pi * chance.uniform(90, 220) * at * (1 - 0.4 * at))) * _swell(length, 0.4)
    once = burst / np.abs(burst).max() + 0.15 * voiced
    again = chance.random() < 0.5
    return np.concatenate([once, silence(0.08), 0.7 * once]) if again else once


SOUNDS: dict[str, Callable[[Chance], Sound]] = {
    "breath": _breath,
    "smack": _smack,
    "click": _click,
    "rustle": _rustle,
    "creak": _creak,
    "cough": _cough,
}


def measure(name: str, ears: Mapping[str, Teach], repetitions: int, seed: int) -> Results:
    """A voice says each command so often before each sound and after it, taught and untaught."""
    results: Results = {}
    taught, takes = lesson(name, COMMANDS), range(repetitions * seed, repetitions * (seed + 1))
    for ear, teach in ears.items():
        for told, learnt in (("taught", taught), ("untaught", {})):
            if pupil := teach(learnt):
                for kind in SOUNDS:
                    gather(results, ear, _heard(name, kind, pupil, told, takes))
    return results


def _heard(name: str, kind: str, pupil: Pupil, told: str, takes: range) -> Iterator[tuple[str, Cell]]:
    chance = np.random.default_rng([*takes, *kind.encode()])
    alone = [([_level(SOUNDS[kind](chance), chance)], "", 0) for _ in COMMANDS for _ in takes]
    sound, said = _stream(alone, chance)
    heard = pupil.hears(sound, 0)
    yield f"{told}, {kind} alone: taken for a word", Share(len(said), len(heard))
    beside = Score()
    for place in ("after", "before"):
        pairs = [
            _beside(name, kind, label, text, place == "after", take, chance)
            for label, text in COMMANDS
            for take in takes
        ]
        sound, said = _stream(pairs, chance)
        here = score(pupil.hears(sound, 0), said)
        beside += here
        yield f"{told}, a word {place} a sound that is none", here
    yield f"{told}, a word beside a {kind}", beside


def _beside(
    name: str, kind: str, label: str, text: str, after: bool, take: int, chance: Chance
) -> tuple[list[Sound], str, int]:
    """The sounds, what is said and which of them it is."""
    said, apart = word(name, text, 100 + take), silence(chance.uniform(*APART))
    sound = _level(SOUNDS[kind](chance), chance)
    return ([sound, apart, said], label, 2) if after else ([said, apart, sound], label, 0)


def _stream(each: Sequence[tuple[list[Sound], str, int]], chance: Chance) -> Stream:
    parts, said, length = [silence(SETTLING_S)], [], round(SETTLING_S * RATE)
    for sounds, label, place in each:
        start = length + sum(map(len, sounds[:place]))
        said.append(Said(label, start / RATE, (start + len(sounds[place])) / RATE))
        pause = silence(chance.uniform(*PAUSE))
        parts += [*sounds, pause]
        length += sum(map(len, sounds)) + len(pause)
    sound = np.concatenate(parts)
    return sixteen_bits(sound + white(length, ROOM_DB, int(chance.integers(2**31)))), said


def _level(sound: Sound, chance: Chance) -> Sound:
    return at_level(sound, WEAVER_DB - chance.uniform(*FAINTER))


def _band(chance: Chance, seconds: float, lowest: float, highest: float) -> Sound:
    """Noise between two frequencies, in Hz."""
    spectrum = np.fft.rfft(chance.normal(0, 1, round(seconds * RATE)))
    hertz = np.linspace(0, RATE / 2, len(spectrum))
    spectrum *= (hertz > lowest) / (1 + (hertz / highest) ** 4)
    return np.asarray(np.fft.irfft(spectrum, round(seconds * RATE)))


def _swell(seconds: float, peak: float) -> Sound:
    """From silence to silence, loudest at this part of it."""
    at = np.linspace(0, 1, round(seconds * RATE))
    return np.asarray(np.sin(np.pi * at ** (np.log(0.5) / np.log(peak))) ** 2)


def _dies(seconds: float, in_s: float) -> Sound:
    return np.asarray(np.exp(-np.arange(round(seconds * RATE)) / RATE / in_s))


def _ring(hertz: float, seconds: float, dies_in_s: float) -> Sound:
    at = np.arange(round(seconds * RATE)) / RATE
    return np.asarray(np.sin(2 * np.pi * hertz * at) * np.exp(-at / dies_in_s))
