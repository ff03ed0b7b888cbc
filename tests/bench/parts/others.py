"""What other people say in the hearing benchmark, without end and at the weaver's level; nothing is to be heard in it.

- prose: synthetic voices in turn read the King James Version (public domain), of Debian's package bible-kjv-text
- remarks: they say what we wrote, some of it so that it sounds like commands (remarks.py)
- people, prompts: recordings of people (recordings.py); prompts are many single words, said one by one
"""

import re
import subprocess
from collections.abc import Callable, Iterable, Iterator
from itertools import chain, cycle, islice
from shutil import which

import numpy as np
from parts import recordings
from parts.remarks import remarks
from parts.spoken import RATE, ROOM_DB, Sound, silence, talkers, talking, white
from parts.wanted import ENGLISH, LARGEST, Samples

from assistant.senses.ear.engine import meanings
from assistant.senses.sound import sixteen_bits

TALK_S = 120.0  # at least, in one go
TALKED_OVER = ("commands", "numbers")  # modes in which an ear listens to talk
Listened = tuple[str, Samples]  # the mode in which an ear listens, and to what

WHOLE = "gen1:1-rev22:21"
VERSE = re.compile(r"\w+:(?P<number>\d+) (?P<text>.+)")  # Ge1:1 In the beginning ...
PAUSES = re.compile(r"(?<=[.?!:;])\s+")


def missing() -> Iterator[str]:
    """A line for each kind of talk that is not there."""
    return filter(None, [_no_verses(), *recordings.missing()])


def others(weaver: str, kind: str, hours: float, seed: int) -> Iterator[Listened]:
    """One kind of talk, at most so many hours, the same for the same seed and weaver."""
    chance = np.random.default_rng([seed, [*KINDS].index(kind), *weaver.encode()])
    return KINDS[kind](weaver, round(hours * 3600 / TALK_S), chance)


def said_remarks(weaver: str, pieces: int, chance: np.random.Generator) -> Iterator[Listened]:
    """Remarks in English."""
    return _said(weaver, pieces, chance, remarks(chance, further=True))


def _prose(weaver: str, pieces: int, chance: np.random.Generator) -> Iterator[Listened]:
    return iter(()) if _no_verses() else _said(weaver, pieces, chance, _verses(chance))


def _said(weaver: str, pieces: int, chance: np.random.Generator, texts: Iterator[str]) -> Iterator[Listened]:
    """By another voice than the weaver's in each piece."""
    for _, name in zip(range(pieces), cycle(chance.permutation(talkers(weaver))), strict=False):
        sound = in_room(talking(name, TALK_S, chance, texts), chance)
        for mode in TALKED_OVER:
            yield mode, sound


def _no_verses() -> str:
    """What to install, where there is no such text; else ""."""
    return "" if which("bible") else "prose: left out; apt install bible-kjv"


def _verses(chance: np.random.Generator) -> Iterator[str]:
    """From the beginning of a chapter chosen by chance, verse by verse and colon by colon, without end."""
    written = subprocess.run(["bible", "-f", WHOLE], check=True, capture_output=True, text=True).stdout
    verses = [verse for line in written.splitlines() if (verse := VERSE.fullmatch(line))]
    chapters = [place for place, verse in enumerate(verses) if verse["number"] == "1"]
    texts = [verse["text"] for verse in verses]
    first = int(chance.choice(chapters))
    while True:
        for text in texts[first:] + texts[:first]:
            yield from PAUSES.split(text.strip())


def _people(_: str, __: int, chance: np.random.Generator) -> Iterator[Listened]:
    """All there are, for commands only: some of them say numbers."""
    return (("commands", piece) for piece in _one_by_one(recordings.people(), chance))


def _prompts(_: str, pieces: int, chance: np.random.Generator) -> Iterator[Listened]:
    """Those without a word that is listened for."""
    for mode in TALKED_OVER:
        files = recordings.prompts(meanings(ENGLISH, LARGEST[mode]))
        sounds = (recordings.read(files[place]) for place in chance.permutation(len(files)))
        yield from ((mode, piece) for piece in islice(_one_by_one(sounds, chance), pieces))


def _one_by_one(sounds: Iterable[Sound], chance: np.random.Generator) -> Iterator[Samples]:
    """With pauses between, in pieces."""
    parts: list[Sound] = []
    for sound in sounds:
        parts += [sound, silence(chance.uniform(0.5, 1.5))]
        if sum(map(len, parts)) >= TALK_S * RATE:
            yield in_room(parts, chance)
            parts = []
    if parts:
        yield in_room(parts, chance)


def in_room(parts: Iterable[Sound], chance: np.random.Generator) -> Samples:
    """Heard in a quiet room, a second after the ear was opened."""
    sound = np.concatenate([*chain([silence(1)], parts)])
    return sixteen_bits(sound + white(len(sound), ROOM_DB, int(chance.integers(2**31))))


KINDS: dict[str, Callable[[str, int, np.random.Generator], Iterator[Listened]]] = {
    "prose": _prose,
    "remarks": said_remarks,
    "people": _people,
    "prompts": _prompts,
}
