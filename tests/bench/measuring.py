"""One ear, one voice: words said in a stream and in noise, and other people's talk; what was heard of it."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from itertools import cycle

import numpy as np
from ears import KINDS, NUMBERS, TAUGHT, Heard, Hears, Samples, open_ear, said_for, taught_by
from spoken import (
    RATE,
    ROOM_DB,
    TALKERS,
    WEAVER_DB,
    Sound,
    babble,
    human_speech,
    music,
    silence,
    sixteen_bits,
    talker,
    talking,
    voice,
    white,
    word,
)

NEAR_S = 0.35  # between the end of a word and where it was heard to end
TALK_S = 120.0  # in one go
PLAIN_TALK_S = 240.0  # enough for the rate of the plain grammar
NOISES: dict[str, Callable[[int, float, int], Sound]] = {
    "white": white,
    "babble": babble,
    "music": music,
    "talker": talker,
}
Condition = tuple[str, int]
CLEAN: Condition = ("clean", 0)
CONDITIONS = [CLEAN, *((noise, snr) for noise in ("white", "babble", "music") for snr in (20, 15, 10, 5))]
CONDITIONS += [("talker", 20), ("talker", 10)]
ASKED_IN = [CLEAN, ("white", 10), ("babble", 10)]  # numbers
UNTAUGHT = [("next", "next"), ("repeat", "repeat"), ("back", "previous"), ("back", "go back"), ("back", "back")]
Falses = dict[tuple[str, str], tuple[int, float]]  # by mode and speech, how many in how many seconds
Words = list[tuple[str, str]]  # what is meant, and what is said
MODES: dict[str, tuple[Words, int, list[Condition]]] = {
    "commands": ([(kind, said_for(kind)) for kind in KINDS], 0, CONDITIONS),
    "numbers": ([(number, said_for(number)) for number in NUMBERS], len(NUMBERS), ASKED_IN),
    "untaught": (UNTAUGHT, 0, [CLEAN]),
}


Set = tuple[str, float | None]  # an ear, and its threshold as open_ear has it


@dataclass(frozen=True)
class Job:
    """What is to be measured."""

    voice: str
    ears: tuple[Set, ...]
    hours: float  # of talk
    repetitions: int  # of each word
    seed: int
    snrs: tuple[int, ...]  # dB; clean besides, and only clean where there are none


@dataclass
class Score:
    """Of one ear with one voice."""

    said: int = 0
    right: int = 0
    wrong: int = 0
    delays: list[float] = field(default_factory=list)

    def add(self, heard: list[Heard], truth: Iterable[tuple[str, float]]) -> None:
        for label, end in truth:
            near = [each for each in heard if abs(each[1] - end) < NEAR_S]
            self.said += 1
            self.right += any(each[0] == label for each in near)
            self.wrong += any(each[0] != label for each in near)
            self.delays += [decided - end for each, _, decided in near if each == label]

    def __add__(self, other: "Score") -> "Score":
        both = (self.said + other.said, self.right + other.right, self.wrong + other.wrong)
        return Score(*both, self.delays + other.delays)


@dataclass
class Report:
    """What came of it for one ear and one voice."""

    ear: str
    threshold: float | None
    voice: str
    scores: dict[tuple[str, Condition], Score] = field(default_factory=lambda: defaultdict(Score))  # by mode, condition
    false: Falses = field(default_factory=dict)


def stream(name: str, words: Words, condition: Condition, repetition: int) -> tuple[Samples, list[tuple[str, float]]]:
    """Every word once, one and a half to three seconds apart; and when each ends."""
    noise, snr = condition
    seed = 1000 * repetition + snr
    chance = np.random.default_rng(seed)
    parts, truth, length = [silence(5)], [], 5 * RATE
    for place in chance.permutation(len(words)):
        label, text = words[place]
        said, pause = word(name, text, repetition), silence(chance.uniform(1.5, 3))
        truth.append((label, (length + len(said)) / RATE))
        parts += [said, pause]
        length += len(said) + len(pause)
    sound = np.concatenate(parts) + white(length, ROOM_DB, seed)
    if noise in NOISES:
        sound += NOISES[noise](length, WEAVER_DB - snr, seed)
    return sixteen_bits(sound), truth


def talk(name: str, hours: float, seed: int) -> Iterable[Samples]:
    """Others talk, without end, at the level of the weaver's own voice."""
    others = cycle([other for other in TALKERS if other != name and voice(other)])
    for piece in range(round(hours * 3600 / TALK_S)):
        own = 100_000 * seed + piece
        sound = np.concatenate([*talking(next(others), TALK_S, own, further=True)])
        yield sixteen_bits(sound + white(len(sound), ROOM_DB, own))


def measure(job: Job) -> list[Report]:
    """All ears hear the same."""
    taught = taught_by(job.voice) if any(ear == "taught" for ear, _ in job.ears) else None
    reports = [(Report(ear, threshold, job.voice), open_ear(ear, taught, threshold)) for ear, threshold in job.ears]
    for mode, (words, largest, conditions) in MODES.items():
        for condition in (each for each in conditions if each == CLEAN or each[1] in job.snrs):
            for repetition in range(job.repetitions):
                sound, truth = stream(job.voice, words, condition, TAUGHT + 1000 * job.seed + repetition)
                for report, hears in reports:
                    if not _spared(report.ear, mode, condition, repetition):
                        report.scores[mode, condition].add(hears(sound, largest), truth)
    _listen_to_others(job, reports)
    return [report for report, _ in reports]


def _spared(ear: str, mode: str, condition: Condition, repetition: int) -> bool:
    """The taught ear knows one word only for each command.

    Once is enough for the plain grammar, and in noise a row of numbers without end takes it many minutes.
    """
    endless = mode == "numbers" and condition != CLEAN
    return (ear, mode) == ("taught", "untaught") or (ear == "grammar" and (repetition > 0 or endless))


def _listen_to_others(job: Job, reports: list[tuple[Report, Hears]]) -> None:
    """What is heard in others' talk, and in recordings of people, none of whom says a command by itself."""
    for speech, sounds in (("synthetic", talk(job.voice, job.hours, job.seed)), ("human", human_speech())):
        for sound in sounds:
            for report, hears in reports:
                for mode, largest in (("commands", 0), ("numbers", len(NUMBERS))):
                    count, seconds = report.false.get((mode, speech), (0, 0.0))
                    if report.ear != "grammar" or seconds < PLAIN_TALK_S:
                        report.false[mode, speech] = (count + len(hears(sound, largest)), seconds + len(sound) / RATE)
