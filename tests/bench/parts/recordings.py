"""Recordings of people who say no command, for the hearing benchmark.

- Debian's package pocketsphinx-testdata: readers and speakers of digits (LibriVox, public domain; CMU; TIDIGITS)
- Debian's packages asterisk-core-sounds-{en,es,fr,it,ru} and their -wav: what telephones say, by five speakers in five
  languages, at 8 kHz, with the text of each (CC BY-SA 3.0, but Russian CC BY 3.0; the packages name the speakers)
"""

import gzip
import unicodedata
from collections.abc import Collection, Iterator
from pathlib import Path
from re import findall

import numpy as np
import soundfile
import soxr
from parts.spoken import RATE, WEAVER_DB, Sound, at_level

PEOPLE = Path("/usr/share/pocketsphinx/test/data")
PROMPTS = Path("/usr/share/asterisk/sounds")
TEXTS = Path("/usr/share/doc")
LANGUAGES = ("en", "es", "fr", "it", "ru")
NO_SPEECH = {
    *("beep", "beeperr", "ascending-2tone", "descending-2tone", "tt-monkeys"),
    *("confbridge-join", "confbridge-leave"),
    *(f"silence/{seconds}" for seconds in range(1, 11)),
}


def missing() -> Iterator[str]:
    """A line for each kind of recording that is not there, or not in all languages."""
    if not PEOPLE.is_dir():
        yield "people: left out; apt install pocketsphinx-testdata"
    wanted = [code for code in LANGUAGES if not (_folder(code) and _text(code).is_file())]
    packages = (f"asterisk-core-sounds-{code} asterisk-core-sounds-{code}-wav" for code in wanted)
    if wanted:
        yield f"prompts: {', '.join(wanted)} left out; apt install {' '.join(packages)}"


def people() -> Iterator[Sound]:
    """Each recording at the weaver's level."""
    for file in sorted([*PEOPLE.glob("librivox/*.wav"), *PEOPLE.glob("cards/*.wav"), *PEOPLE.rglob("*.raw")]):
        yield read(file)


def prompts(words: Collection[str]) -> list[Path]:
    """Those that contain none of these words, in their own language, nor figures where a number is among the words."""
    return [file for code in LANGUAGES for file in _without(code, words)]


def prompt_of_number(code: str, number: int) -> Path | None:
    """A recording of a number; None where there is none."""
    folder = _folder(code)
    file = folder / "digits" / f"{number}.wav" if folder else None
    return file if file and file.is_file() else None


def read(file: Path) -> Sound:
    """At 16 kHz, at the weaver's level; a file without a header is at that rate."""
    if file.suffix == ".raw":
        return at_level(np.fromfile(file, np.int16).astype(np.float64), WEAVER_DB)
    sound, rate = soundfile.read(file, dtype="float64")
    return at_level(soxr.resample(sound, rate, RATE), WEAVER_DB)


def _without(code: str, words: Collection[str]) -> Iterator[Path]:
    folder = _folder(code)
    if folder is None or not _text(code).is_file():
        return
    refused = [_plain(word) for word in words]
    figures = "one" in words
    for line in gzip.decompress(_text(code).read_bytes()).decode("utf-8-sig").splitlines():
        name, told, text = line.partition(":")
        if not told or name.startswith(";") or name in NO_SPEECH or (figures and any(map(str.isdigit, text))):
            continue
        file, said = folder / f"{name}.wav", _plain(text)
        if file.is_file() and soundfile.info(file).frames and not any(word in said for word in refused):
            yield file


def _plain(text: str) -> str:
    """Words between single spaces, without accents: " zero "."""
    letters = unicodedata.normalize("NFD", text.lower())
    return f" {' '.join(findall('[a-z]+', letters))} "


def _folder(code: str) -> Path | None:
    """Named after language, country, sex and speaker."""
    return next(iter(sorted(PROMPTS.glob(f"{code}_*_*_*"))), None)


def _text(code: str) -> Path:
    return TEXTS / f"asterisk-core-sounds-{code}" / f"core-sounds-{code}.txt.gz"
