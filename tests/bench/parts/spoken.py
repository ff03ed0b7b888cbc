"""Sound for the hearing benchmark: voices, words said a little differently each time, talk, noise."""

import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from shutil import which

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray
from parts.remarks import remarks

from assistant.errors import DeviceMissing
from assistant.rehearsal.weaver_voice import Hibari, Joe, SystemVoice, WeaverVoice
from assistant.senses.sound import sixteen_bits

RATE = 16_000
WEAVER_DB, ROOM_DB = -26.0, -64.0  # of full scale: the level of the weaver's words, and of a quiet room
TUNING = ("joe", "slt", "rms", "hibari", "us", "rp", "scotland")  # used in training and tuning; never the others
HELD_OUT = ("awb", "kal16", "kal", "ked", "slt-hts")  # flite's and festival's; the last is slt's voice, made otherwise
NATURAL = ("awb", "slt-hts")  # of those held out; the others sound like machines
TALKERS = ("awb", "caribbean", "rms", "us", "rp", "slt", "hibari", "scotland", "joe")
FESTIVAL = {"kal": "kal_diphone", "ked": "ked_diphone", "slt-hts": "cmu_us_slt_arctic_hts"}
SYSTEM = "system:"
_FESTIVALS = Path("/usr/share/festival/voices")
SUOMI = {"lj": "suo_fi_lj_diphone", "mv": "hy_fi_mv_diphone"}  # festival's Finnish voices
ESPEAK = {
    "us": "gmw/en-us",
    "rp": "gmw/en-gb-x-rp",
    "scotland": "gmw/en-gb-scotland",
    "caribbean": "gmw/en-029",
}

Sound = NDArray[np.float64]


class Flite:
    """A voice of flite, if that is installed (apt install flite)."""

    def __init__(self, name: str):
        self._name = name

    def say(self, text: str, take: int = 0) -> NDArray[np.int16]:
        with tempfile.NamedTemporaryFile(suffix=".wav") as file:
            stretch = (1.0, 1.1, 0.9)[take % 3]
            options = ["-voice", self._name, "--setf", f"duration_stretch={stretch}", "-t", text, "-o", file.name]
            subprocess.run(["flite", *options], check=True)
            return _read(file.name)


class Festival:
    """A voice of festival, if that is installed (apt install festival and festvox-kallpc16k, say)."""

    def __init__(self, name: str):
        self._name = name

    def say(self, text: str, take: int = 0) -> NDArray[np.int16]:
        wanted = [f"(voice_{self._name})", f"(Parameter.set 'Duration_Stretch {(1.0, 1.1, 0.9)[take % 3]})"]
        with tempfile.NamedTemporaryFile(suffix=".wav") as file:
            evaluated = [part for each in wanted for part in ("-eval", each)]
            told = text.encode("latin-1", "replace")
            subprocess.run(["text2wave", *evaluated, "-o", file.name], input=told, check=True, capture_output=True)
            return _read(file.name)


def _read(file: str) -> NDArray[np.int16]:
    sound, rate = soundfile.read(file, dtype="float32")
    return sixteen_bits(soxr.resample(sound, rate, RATE))


@cache
def voice(name: str) -> WeaverVoice | None:
    """A voice, or after SYSTEM the one of a language that the mouth would use; None where it is not installed."""
    try:
        if name in {"joe", "hibari"}:
            return Joe() if name == "joe" else Hibari()
        if name in FESTIVAL | SUOMI:
            return (
                Festival((FESTIVAL | SUOMI)[name])
                if _FESTIVALS.exists() and [*_FESTIVALS.rglob((FESTIVAL | SUOMI)[name])]
                else None
            )
        if name.startswith(SYSTEM):
            return SystemVoice(name.removeprefix(SYSTEM))
        return SystemVoice(ESPEAK[name]) if name in ESPEAK else Flite(name) if which("flite") else None
    except (ImportError, DeviceMissing):
        return None


def talkers(*besides: str) -> list[str]:
    """Those who talk, as far as installed, besides these."""
    return [name for name in TALKERS if name not in besides and voice(name)]


@cache
def spoken(name: str, text: str, take: int) -> Sound:
    """What a voice says, without the silence around it, at the weaver's level."""
    speaker = voice(name)
    assert speaker is not None
    return at_level(trimmed(np.asarray(speaker.say(text, take), np.float64)), WEAVER_DB)


def trimmed(sound: Sound) -> Sound:
    """Without the silence around it."""
    loud = np.flatnonzero(np.abs(sound) > 0.01 * np.abs(sound).max())
    return sound[loud[0] : loud[-1] + 1]


def word(name: str, text: str, repetition: int) -> Sound:
    """A word said again: at another pace, higher or lower by up to 4 %, stretched within, nearer or farther.

    A person varies more; Hibari alone is made anew each time by its own chance.
    """
    chance = np.random.default_rng([repetition, *name.encode(), *text.encode()])
    return again(spoken(name, text, repetition if name == "hibari" else repetition % 3), chance)


def again(sound: Sound, chance: np.random.Generator) -> Sound:
    """A word said a little differently."""
    sound = soxr.resample(sound, RATE, round(RATE * chance.uniform(0.96, 1.04)))
    sound = sound + chance.uniform(-0.25, 0.25) * np.append(0, sound[:-1])
    at = np.arange(len(sound))
    sound = np.interp(at + chance.uniform(-0.02, 0.02) * len(sound) * np.sin(np.pi * at / len(sound)), at, sound)
    return at_level(sound, WEAVER_DB + chance.uniform(-3, 3))


def level(sound: Sound) -> float:
    """In dB of full scale: the mean power of its frames within 30 dB of the loudest."""
    power = (sound[: len(sound) // 160 * 160].reshape(-1, 160) ** 2).mean(axis=1)
    return float(10 * np.log10(power[power > power.max() / 1000].mean()))


def at_level(sound: Sound, decibels: float) -> Sound:
    """Scaled to this level."""
    return np.asarray(sound * 10 ** ((decibels - level(sound)) / 20))


def silence(seconds: float) -> Sound:
    return np.zeros(round(seconds * RATE))


def white(length: int, decibels: float, seed: int | Sequence[int]) -> Sound:
    return np.random.default_rng(seed).normal(0, 10 ** (decibels / 20), length)


def babble(length: int, decibels: float, seed: int) -> Sound:
    """Twelve people talking at once."""
    start = np.random.default_rng(seed).integers(0, len(_crowd()))
    return np.resize(np.roll(_crowd(), -start), length) * 10 ** (decibels / 20)


def talker(length: int, decibels: float, seed: int) -> Sound:
    """One other person talks without end, as a radio does."""
    start = np.random.default_rng(seed).integers(0, len(_one()))
    return np.resize(np.roll(_one(), -start), length) * 10 ** (decibels / 20)


@cache
def _one() -> Sound:
    """A minute of talk, its sentences at a level of 0 dB."""
    chance = np.random.default_rng(99)
    talk = np.concatenate([*talking(talkers()[0], 60, chance, remarks(chance))])
    return np.asarray(talk * 10 ** (-WEAVER_DB / 20))


@cache
def _crowd() -> Sound:
    """Half a minute of babble, at a level of 0 dB."""
    length = 30 * RATE
    names = talkers()
    total = silence(30)
    for seat in range(12):
        chance = np.random.default_rng(seat)
        talk = at_level(np.concatenate([*talking(names[seat % len(names)], 35, chance, remarks(chance))]), 0)
        total += talk[:length]
    return np.asarray(total / np.sqrt((total**2).mean()))


def music(length: int, decibels: float, seed: int) -> Sound:
    """A band: chords, a bass and a tune whose notes die away, and a beat of noise bursts."""
    start = np.random.default_rng(seed).integers(0, len(_band()))
    return np.resize(np.roll(_band(), -start), length) * 10 ** (decibels / 20)


@cache
def _band() -> Sound:
    """Forty bars of music made by chance, at a level of 0 dB."""
    chance = np.random.default_rng(77)
    beat = 0.55  # seconds
    total = silence(160 * beat)
    for bar in range(40):
        root = 110 * 2 ** (int(chance.choice([0, 5, 7, 9])) / 12)
        third = int(chance.choice([3, 4]))
        for step in range(4):
            at = (4 * bar + step) * beat
            notes = [(root / 2, 0.5), *((root * 2 ** (n / 12), 0.25) for n in (0, third, 7))] if step % 2 == 0 else []
            tune = [(4 * root * 2 ** (int(chance.choice([0, 2, third, 7, 9])) / 12), 0.4)] * int(chance.integers(0, 2))
            for hertz, loud in [*notes, *tune]:
                _add(total, at, loud * _note(hertz, 2 * beat))
            _add(total, at, _burst(chance, 0.4 if step % 2 else 0.15, 0.06 if step % 2 else 0.02))
            _add(total, at + beat / 2, _burst(chance, 0.1, 0.015))
    return np.asarray(total / np.sqrt((total**2).mean()))


def _note(hertz: float, seconds: float) -> Sound:
    """Eight harmonics, the higher the fainter and the sooner gone."""
    at = np.arange(round(seconds * RATE)) / RATE
    harmonics = [np.sin(2 * np.pi * hertz * n * at) * np.exp(-at * (2 + n)) / n for n in range(1, 9)]
    return np.asarray(np.sum(harmonics, axis=0) * np.minimum(1, at / 0.005))


def _burst(chance: np.random.Generator, loud: float, dies: float) -> Sound:
    """Noise, mostly high, that dies away in so many seconds, as a drum or a cymbal does."""
    at = np.arange(round(6 * dies * RATE)) / RATE
    return np.asarray(loud * np.diff(chance.normal(0, 1, len(at) + 1)) * np.exp(-at / dies))


def _add(total: Sound, seconds: float, sound: Sound) -> None:
    """Into the whole, at a time; what lasts beyond the end is cut off."""
    place = total[round(seconds * RATE) :][: len(sound)]
    place += sound[: len(place)]


def talking(name: str, seconds: float, chance: np.random.Generator, texts: Iterator[str]) -> Iterator[Sound]:
    """Somebody says these at the weaver's level, with pauses between, for at least so long."""
    length = 0
    while length < seconds * RATE:
        said = spoken.__wrapped__(name, next(texts), int(chance.integers(3)))
        pause = silence(chance.uniform(0.1, 0.9))
        length += len(said) + len(pause)
        yield from (said, pause)
