"""Words as a microphone in a room takes them up: near or far, well or badly, with what else goes on there.

Some scenes hold no word, and say so: a part of a word, words that run together, or only a noise.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft, next_fast_len, rfft

from assistant.senses.ear.clip import AFTER, SAMPLES
from assistant.senses.sound import EAR_RATE

LENGTH = SAMPLES + EAR_RATE // 2  # samples of a scene: what comes before a clip sounds on in it
ECHO = round(0.7 * EAR_RATE)  # samples of a room's answer
NO_WORD = -1
MINUTE = 40 * EAR_RATE  # samples of each background
SPOKEN_LEVEL = 2500  # of 32768, of a word before it is turned up or down
ENGLISH_MORE = 2  # how much oftener such a word is drawn than another
NATURAL_SHARE = 0.4  # of what is said in English, said by other voices than espeak-ng's
CORNERS = np.array([0, 150, 300, 600, 1200, 2400, 4000, 5600, 8001])  # Hz between which a microphone colours

Sound = NDArray[np.float32]
Chance = np.random.Generator


@dataclass(frozen=True)
class Corpus:
    """Words as they were said, one after the other at 16 kHz."""

    sound: NDArray[np.int16]
    lengths: NDArray[np.int64]
    words: NDArray[np.int64]  # which word of the vocabulary each is
    natural: NDArray[np.bool_]  # whether by another voice than espeak-ng's
    more: NDArray[np.int64]  # how much oftener it is drawn than a word that nobody listens for
    english: NDArray[np.bool_]

    @cached_property
    def starts(self) -> NDArray[np.int64]:
        return np.cumsum(self.lengths) - self.lengths

    @cached_property
    def upto(self) -> NDArray[np.float64]:
        """How likely it is that one of the first so many is drawn: each word alike, however often it was said."""
        often = np.bincount(self.words)[self.words]
        weights = self.more * np.where(self.english, ENGLISH_MORE, 1) / often
        if self.natural.any():
            of_english = NATURAL_SHARE * weights[self.english].sum()
            weights = np.where(self.natural, weights * of_english / weights[self.natural].sum(), weights)
        return np.asarray(weights.cumsum() / weights.sum())

    def drawn(self, chance: Chance) -> int:
        return min(int(np.searchsorted(self.upto, chance.random())), len(self.lengths) - 1)

    def said(self, place: int) -> NDArray[np.int16]:
        return self.sound[self.starts[place] : self.starts[place] + self.lengths[place]]


@dataclass(frozen=True, slots=True)
class Scene:
    """Sound of LENGTH samples, and where a finder of words finds something in it."""

    sound: NDArray[np.int16]
    start: int
    end: int
    word: int  # of the vocabulary, or NO_WORD
    spoken: int  # the word that it was made of; NO_WORD where nobody speaks


class Backgrounds:
    """What else goes on: noises of every colour, one who talks, many who do, music; each at a level of 1."""

    def __init__(self, corpus: Corpus, seed: int):
        chance = np.random.default_rng([seed, 1])
        self.noises = [coloured(chance) for _ in range(12)]
        talk = [_talk(corpus, chance) for _ in range(12)]
        crowds = [np.sum([np.roll(each, chance.integers(MINUTE)) for each in talk[:8]], axis=0) for _ in range(3)]
        self.kinds: Sequence[tuple[float, list[Sound]]] = [
            (0.7, self.noises),
            (0.1, talk),
            (0.1, [_level(each) for each in crowds]),
            (0.1, [_music(chance) for _ in range(3)]),
        ]

    def some(self, chance: Chance, length: int) -> Sound:
        kind = int(chance.choice(len(self.kinds), p=[share for share, _ in self.kinds]))
        found = piece(self.kinds[kind][1], chance, length)
        if chance.random() < 0.15:
            at = np.arange(length, dtype=np.float32) / EAR_RATE
            hum = np.sin(2 * np.pi * 50 * at + np.sin(2 * np.pi * 150 * at + chance.uniform(0, 6)))
            found = _level(found + np.float32(chance.uniform(0.3, 3)) * hum)
        return found


def piece(sounds: Sequence[Sound], chance: Chance, length: int) -> Sound:
    sound = sounds[int(chance.integers(len(sounds)))]
    start = int(chance.integers(len(sound) - length))
    return sound[start : start + length]


def scene(corpus: Corpus, backgrounds: Backgrounds, chance: Chance) -> Scene:
    """One of as many as chance can make."""
    place = corpus.drawn(chance)
    pace = float(np.exp(chance.uniform(np.log(0.86), np.log(1.2)))) if chance.random() < 0.75 else 1.0
    end = LENGTH - AFTER + chance.uniform(-500, 500) + (chance.uniform(-1600, 2000) if chance.random() < 0.5 else 0)
    sound = np.zeros(LENGTH, np.float32)
    length = _say(sound, corpus.said(place), end, pace, chance)
    start, word, spoken = end - length, int(corpus.words[place]), int(corpus.words[place])
    kind = chance.random()
    if kind < 0.06:
        start, word = _cut(sound, start, end, chance), NO_WORD
    elif kind < 0.14:  # another word runs into it
        before = corpus.said(corpus.drawn(chance))
        start -= _say(sound, before, start - chance.uniform(-300, 700), pace, chance, chance.uniform(-12, 3))
        word = NO_WORD
    elif kind < 0.40:  # another word comes before it
        before = corpus.said(corpus.drawn(chance))
        _say(sound, before, start - chance.uniform(1500, 8000), pace, chance, chance.uniform(-12, 3))
    elif kind < 0.44:  # another word follows at once
        after = corpus.said(corpus.drawn(chance))
        _say(sound, after, end + chance.uniform(1200, 2600) + len(after) / pace, pace, chance)
        word = NO_WORD
    elif kind > 0.94:  # nobody speaks
        width = np.exp(chance.uniform(np.log(300), np.log(8000)))
        sound = 3000 * burst(backgrounds, LENGTH, end - width, width, chance)
        start, word, spoken = end - chance.uniform(1000, 12000), NO_WORD, NO_WORD
    if chance.random() < 0.3:
        start = _stirred(sound, backgrounds, start, chance)
    heard = in_room(sound, chance)
    inner = slice(max(0, int(start)), max(int(start) + 1, min(LENGTH, int(end))))
    taken = taken_up(heard, heard[inner], 2, backgrounds, chance)
    found = min(start + chance.uniform(-900, 700), LENGTH - AFTER - 1600)
    return Scene(taken, max(0, int(found)), LENGTH - AFTER, word, spoken)


def taken_up(heard: Sound, speech: Sound, least: float, backgrounds: Backgrounds, chance: Chance) -> NDArray[np.int16]:
    """What is heard of a room, amid what else goes on there, `least` dB or more below the speech, at any level."""
    level = max(30.0, float(np.sqrt(np.mean(speech**2))))
    ratio = chance.uniform(25, 50) if chance.random() < 0.35 else chance.uniform(least, 28)
    heard = heard + np.float32(level * 10 ** (-ratio / 20)) * backgrounds.some(chance, len(heard))
    heard = heard * np.float32(SPOKEN_LEVEL / level * 10 ** chance.uniform(-1.2, 0.3))
    return np.asarray(np.clip(heard, -32768, 32767), np.int16)


def changed(said: NDArray[np.int16], chance: Chance) -> Sound:
    """At another pace and pitch, and stretched within."""
    pace = float(np.exp(chance.uniform(np.log(0.82), np.log(1.22)))) if chance.random() < 0.8 else 1.0
    at = np.arange(0, len(said) - 1, pace)
    at += chance.uniform(-0.03, 0.03) * len(said) * np.sin(np.pi * at / len(said))
    return np.asarray(np.interp(at, np.arange(len(said)), said), np.float32)


def _say(total: Sound, said: NDArray[np.int16], end: float, pace: float, chance: Chance, decibels: float = 0) -> float:
    """Add a word that ends there, at another pace and pitch and stretched within; returns how long it is."""
    length = len(said)
    first, last = max(0, int(np.ceil(end - (length - 1) / pace))), min(LENGTH, int(end))
    if last > first:
        at = length - 1 - (end - np.arange(first, last)) * pace
        at += chance.uniform(-0.03, 0.03) * length * np.sin(np.pi * np.clip(at / length, 0, 1))
        total[first:last] += np.interp(at, np.arange(length), said).astype(np.float32) * np.float32(
            10 ** (decibels / 20)
        )
    return length / pace


def _cut(sound: Sound, start: float, end: float, chance: Chance) -> float:
    """Take away most of a word, its end or its beginning; returns where what is left begins."""
    left = chance.uniform(0.3, 0.62) * (end - start)
    first, last = max(0, int(start)), min(LENGTH, int(end))
    if chance.random() < 0.6:
        kept = sound[first : int(start + left)].copy()
        sound[first:last] = 0
        sound[max(0, last - len(kept)) : last] = kept[-last:]
    else:
        sound[first : int(end - left)] = 0
    return end - left


def _stirred(sound: Sound, backgrounds: Backgrounds, start: float, chance: Chance) -> float:
    """Add a click, a smack or a breath before a word; now and then it is found together with the word."""
    width = np.exp(chance.uniform(np.log(60), np.log(5000)))
    at = start - chance.uniform(300, 6000) - width / 2
    sound += np.float32(10 ** chance.uniform(1.8, 3.4)) * burst(backgrounds, LENGTH, at, width / 2, chance)
    return max(2000.0, min(start, at - width / 2)) if chance.random() < 0.25 else start


def burst(backgrounds: Backgrounds, length: int, middle: float, width: float, chance: Chance) -> Sound:
    """So many samples of a noise that swells and dies away."""
    shape = np.exp(-(np.abs((np.arange(length, dtype=np.float32) - middle) / width) ** chance.uniform(1, 4)))
    return np.asarray(piece(backgrounds.noises, chance, length) * shape, np.float32)


def in_room(sound: Sound, chance: Chance) -> Sound:
    """As a microphone takes it up in a room."""
    points = next_fast_len(len(sound) + ECHO, real=True)
    spectrum = rfft(sound, points)
    hertz = np.linspace(0, EAR_RATE / 2, len(spectrum), dtype=np.float32)
    decibels = np.interp(hertz, CORNERS, chance.uniform(-7, 7, len(CORNERS)))
    if chance.random() < 0.35:
        decibels -= 48 * np.clip(np.log2(np.maximum(hertz, 1) / chance.uniform(3200, 6500)), 0, 1.5)
    decibels -= 12 * np.clip(np.log2(chance.uniform(20, 200) / np.maximum(hertz, 1)), 0, 4)
    spectrum *= (10 ** (decibels / 20)).astype(np.float32)
    if chance.random() < 0.6:
        spectrum *= rfft(_answer(chance), points)
    return np.asarray(irfft(spectrum, points)[: len(sound)], np.float32)


def _answer(chance: Chance) -> Sound:
    """What a room makes of a click: itself, some early echoes, and a tail that dies away."""
    at = np.arange(ECHO, dtype=np.float32) / EAR_RATE
    tail = chance.standard_normal(ECHO, np.float32) * 10 ** (-3 * at / np.float32(chance.uniform(0.12, 0.7)))
    tail[: int(chance.uniform(0, 0.012) * EAR_RATE)] = 0
    tail *= np.float32(10 ** (-chance.uniform(-4, 14) / 20)) / np.sqrt(np.sum(tail**2))
    tail[0] += 1
    tail[chance.integers(20, 500, 4)] += chance.uniform(-0.5, 0.5, 4).astype(np.float32)
    return np.asarray(tail, np.float32)


def coloured(chance: Chance) -> Sound:
    """Noise whose spectrum falls, or rises a little, evenly."""
    spectrum = rfft(chance.standard_normal(MINUTE, np.float32))
    hertz = np.linspace(20, EAR_RATE / 2, len(spectrum), dtype=np.float32)
    return _level(irfft(spectrum * (hertz / 500) ** np.float32(chance.uniform(-1.3, 0.2)), MINUTE))


def _talk(corpus: Corpus, chance: Chance) -> Sound:
    """Words one after the other, with and without pauses."""
    pieces: list[NDArray[np.float32]] = []
    while sum(map(len, pieces)) < MINUTE:
        said = corpus.said(corpus.drawn(chance)).astype(np.float32)
        pieces += [_level(said), np.zeros(chance.integers(200, 6000), np.float32)]
    return _level(np.concatenate(pieces)[:MINUTE])


def _music(chance: Chance) -> Sound:
    """Notes that die away, one to three at a time, and a beat."""
    total = np.zeros(MINUTE, np.float32)
    at = np.arange(EAR_RATE, dtype=np.float32) / EAR_RATE
    for start in range(0, MINUTE - EAR_RATE, round(0.3 * EAR_RATE)):
        for _ in range(chance.integers(1, 4)):
            hertz = 110 * 2 ** (int(chance.integers(36)) / 12)
            total[start : start + EAR_RATE] += np.sum(
                [np.sin(2 * np.pi * hertz * n * at) * np.exp(-at * (2 + n)) / n for n in range(1, 8)], axis=0
            )
        beat = np.linspace(chance.random(), 0, 800, dtype=np.float32)
        total[start : start + 800] += beat * chance.standard_normal(800, np.float32)
    return _level(total)


def _level(sound: NDArray[np.floating]) -> Sound:
    return np.asarray(sound / (np.sqrt(np.mean(np.square(sound))) + 1e-6), np.float32)
