"""Recordings: WAV files whose headers lie, of odd widths, channels and rates, cut short; and others' beginnings."""

import random
import struct
from functools import cache
from pathlib import Path

import numpy as np
import soundfile

from assistant.senses.ear.hear import read
from assistant.senses.lesson.teach import teach
from assistant.senses.portaudio import libraries_quiet
from assistant.senses.sound import EAR_RATE
from assistant.words.language import load
from fuzzers.engine import Fuzzer, law
from fuzzers.mangled import mangled

RATES = (0, 1, 3_999, 4_000, 8_000, 16_000, 44_100, 48_000, 399_999, 400_000, 2**31 - 1, 2**32 - 1)
CHANNELS = (0, 1, 1, 1, 2, 3, 8, 255, 1024, 65_535)
WIDTHS = (0, 1, 7, 8, 16, 16, 24, 32, 64, 65_535)
FORMATS = (1, 1, 1, 1, 3, 6, 7, 2, 17, 85, 0xFFFE, 0, 65_535)
SIZES = (0, 1, 36, 2**31 - 1, 2**31, 2**32 - 1)


def _wav(chance: random.Random) -> bytes:
    body = chance.randbytes(chance.choice((0, 1, 2, 320, 3200, 20_000)))
    form, channels, rate, width = (chance.choice(each) for each in (FORMATS, CHANNELS, RATES, WIDTHS))
    if chance.random() < 0.5:
        form, channels, rate, width = 1, 1, chance.choice(RATES[3:9]), 16
    block = channels * width // 8 if chance.random() < 0.8 else chance.choice(SIZES)
    head = struct.pack(
        "<HHIIHH",
        form,
        channels,
        rate,
        min(rate * block, 2**32 - 1) if chance.random() < 0.8 else 7,
        block & 0xFFFF,
        width,
    )
    size = len(body) if chance.random() < 0.6 else chance.choice(SIZES)
    more = chance.choice((b"", b"", b"LIST" + struct.pack("<I", chance.choice((0, 4, 2**32 - 1))) + b"INFO"))
    told = b"WAVEfmt " + struct.pack("<I", chance.choice((16, 16, 16, 16, 18, 40, 0))) + head + more
    told += b"data" + struct.pack("<I", size) + body
    return b"RIFF" + struct.pack("<I", len(told) if chance.random() < 0.8 else chance.choice(SIZES)) + told


@cache
def _others() -> tuple[bytes, ...]:
    """Short recordings in every form that is taken."""
    sound = np.random.default_rng(1).uniform(-0.3, 0.3, 1600)
    made = []
    for name in ("x.flac", "x.ogg", "x.wav", "x.aiff"):
        soundfile.write(name, sound, 16_000)
        made.append(Path(name).read_bytes())
        Path(name).unlink()
    return tuple(made)


def _given(chance: random.Random) -> bytes:
    data = _wav(chance) if chance.random() < 0.8 else chance.choice(_others())
    return mangled(chance, data, _others()) if chance.random() < 0.5 else data


def _tried(data: bytes) -> None:
    place = Path("next-1.wav")
    place.write_bytes(data)
    samples = 0
    for block in read(place):
        law(block.dtype == np.int16 and block.ndim == 1, "no samples")
        samples += len(block)
    with libraries_quiet():
        told = soundfile.info(place)
    wanted = told.frames * EAR_RATE / told.samplerate
    exact = told.format != "MP3"  # what an MPEG stream holds is guessed from its beginning
    law(not exact or abs(samples - wanted) <= 2 + wanted / 100, samples, "samples, not", wanted)


def _lesson_tried(data: bytes) -> None:
    folder = Path("recordings")
    folder.mkdir()
    for take in (1, 2, 3):
        (folder / f"next-{take}.wav").write_bytes(data)
    teach(folder, "aunt", load("en"))


def _lesson_given(chance: random.Random) -> bytes:
    rate = chance.choice((8_000, 16_000, 44_100))
    quiet, loud = np.zeros(rate // 4), np.random.default_rng(chance.randrange(9)).uniform(-1, 1, rate // 3)
    parts = [
        chance.choice((quiet, loud, loud * 0.01, loud * np.linspace(0, 1, len(loud))))
        for _ in range(chance.choice((1, 1, 1, 1, 2, 3, 5)))
    ]
    soundfile.write("made.wav", np.concatenate([quiet, *parts, quiet]), rate)
    data = Path("made.wav").read_bytes()
    Path("made.wav").unlink()
    return data if chance.random() < 0.6 else data[:44] + mangled(chance, data[44:])


FUZZERS = (
    Fuzzer("recordings", 40_000, _given, _tried),
    Fuzzer("recordings of words", 400, _lesson_given, _lesson_tried),
)
