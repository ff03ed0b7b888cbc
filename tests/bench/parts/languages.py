"""Untaught numbers and commands in the other languages, by recorded people where there are some, else by machines.

- prompts: what telephones say in French and Spanish, one speaker each, a recording of each number, at 8 kHz (Debian's
  asterisk-core-sounds-fr-wav and -es-wav, CC BY-SA 3.0)
- festival: two Finnish voices (Debian's festvox-suopuhe-lj and -mv)
- espeak: the voice that the mouth has in each language, a poor one
"""

from collections.abc import Iterator, Mapping

import numpy as np
import soundfile
import soxr
from parts.others import TALK_S, in_room
from parts.pupils import Teach
from parts.recordings import prompt_of_number
from parts.remarks import korean_remarks
from parts.scoring import Rate, Results, gather, score
from parts.spoken import RATE, SUOMI, SYSTEM, WEAVER_DB, Sound, again, at_level, talking, trimmed, voice, word
from parts.streams import one_by_one

from assistant.words.language import load

MOST = 19  # of the numbers
CODES = ("de", "fr", "es", "sv", "fi", "ko")
KOREAN = "ko"  # in which there are remarks by others, too
PROMPTS = ("fr", "es")
TAKES = 3


def subjects() -> list[str]:
    """A language and who speaks it."""
    recorded = [f"{code} prompts" for code in PROMPTS if all(prompt_of_number(code, n) for n in range(MOST + 1))]
    finnish = [f"fi {name}" for name in SUOMI if voice(name)]
    return [*recorded, *finnish, *(f"{code} espeak" for code in CODES)]


def missing() -> Iterator[str]:
    """A line for what is not there."""
    there = subjects()
    for code in PROMPTS:
        if f"{code} prompts" not in there:
            yield f"{code} prompts: left out; apt install asterisk-core-sounds-{code}-wav"
    for name in SUOMI:
        if f"fi {name}" not in there:
            yield f"fi {name}: left out; apt install festival festvox-suopuhe-{name}"


def measure(subject: str, ears: Mapping[str, Teach], seed: int) -> Results:
    """Numbers from 0 on where a number is asked for, and each phrase for a command, some takes of each."""
    code, who = subject.split()
    language = load(code)
    numbers = [(str(n), _number(code, who, n, take)) for n in range(MOST + 1) for take in _takes(seed)]
    texts = [(kind, text) for kind, each in language.commands.items() for text in each]
    commands = (
        []
        if who == "prompts"
        else [(kind, word(_name(code, who), text, take)) for kind, text in texts for take in _takes(seed)]
    )
    results: Results = {}
    for ear, teach in ears.items():
        if not (pupil := teach({}, code)):
            continue
        for mode, words, largest in ((f"numbers 0 to {MOST}", numbers, MOST), ("commands", commands, 0)):
            if words:
                chance = np.random.default_rng(seed)
                sound, said = one_by_one([words[place] for place in chance.permutation(len(words))], (seed,))
                gather(results, ear, [(f"{subject}, {mode}", score(pupil.hears(sound, largest), said))])
        if code == KOREAN:
            chance = np.random.default_rng(seed)
            talk = in_room(talking(_name(code, who), TALK_S, chance, korean_remarks(chance)), chance)
            rate = Rate(len(pupil.hears(talk, 0)), len(talk) / RATE)
            gather(results, ear, [(f"{subject}, commands, false an hour in remarks", rate)])
    return results


def _takes(seed: int) -> range:
    return range(TAKES * seed, TAKES * (seed + 1))


def _number(code: str, who: str, number: int, take: int) -> Sound:
    if who != "prompts":
        return word(_name(code, who), load(code).numbers[number], take)
    file = prompt_of_number(code, number)
    assert file is not None
    sound, rate = soundfile.read(file, dtype="float64")
    return again(
        at_level(trimmed(np.asarray(soxr.resample(sound, rate, RATE))), WEAVER_DB),
        np.random.default_rng([take, number]),
    )


def _name(code: str, who: str) -> str:
    return f"{SYSTEM}{load(code).voice}" if who == "espeak" else who
