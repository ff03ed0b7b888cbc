"""One voice, several ears: words said in a stream and in noise, and other people's talk; what each ear heard of it."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np
from parts.ears import TAUGHT, THRESHOLDS, least_score, open_ear
from parts.others import others
from parts.spoken import (
    KOREAN_VOICE,
    RATE,
    ROOM_DB,
    WEAVER_DB,
    Sound,
    babble,
    music,
    silence,
    talker,
    white,
    word,
)
from parts.wanted import ENGLISH, KINDS, KOREAN, LARGEST, NUMBERS, Heard, Hears, Samples, said_for

from assistant.senses.ear.taught import Taught
from assistant.senses.sound import sixteen_bits

NEAR_S = 0.35  # between the end of a word and where it was heard to end
PLAIN_TALK_S = 240.0  # of each kind, enough for the rate of a plain grammar
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
CONDITIONS_OF = {mode: ASKED_IN if largest else CONDITIONS for mode, largest in LARGEST.items()} | {"untaught": [CLEAN]}
WORDS = "words"
OFTEN = ("next", "repeat", "back")
Falses = dict[tuple[str, str], tuple[int, float]]  # by mode and kind of talk, how many in how many seconds
Words = list[tuple[str, str]]  # what is meant, and what is said


@dataclass(frozen=True)
class Job:
    """What is to be measured: one part of what a weaver's ears hear."""

    voice: str
    part: str  # WORDS, or a kind of talk
    ears: tuple[str, ...]
    taught: Taught | None
    hours: float  # of each kind of talk
    repetitions: int  # of each word
    seed: int
    snrs: tuple[int, ...]  # dB; clean besides, and only clean where there are none
    curve: bool  # at each threshold of the ears


@dataclass
class Score:
    """Of one ear with one voice."""

    said: int = 0
    right: int = 0
    wrong: int = 0
    delays: list[float] = field(default_factory=list)

    def add(self, heard: list[Heard], truth: Iterable[tuple[str, float]]) -> None:
        for label, end in truth:
            near = [each for each in heard if abs(each.end_s - end) < NEAR_S]
            self.said += 1
            self.right += any(each.label == label for each in near)
            self.wrong += any(each.label != label for each in near)
            self.delays += [each.decided_s - end for each in near if each.label == label]

    def __add__(self, other: "Score") -> "Score":
        both = (self.said + other.said, self.right + other.right, self.wrong + other.wrong)
        return Score(*both, self.delays + other.delays)


@dataclass
class Report:
    """What came of it for one ear and one voice."""

    ear: str
    voice: str
    threshold: float | None = None  # one of THRESHOLDS; None: as at the loom
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


def words_of(name: str) -> dict[str, Words]:
    """What a weaver says, by mode."""
    language = KOREAN if name == KOREAN_VOICE else ENGLISH
    return {
        "commands": [(kind, said_for(kind, language)) for kind in KINDS],
        **{mode: [(n, said_for(n, language)) for n in NUMBERS[:most]] for mode, most in LARGEST.items() if most},
        "untaught": [(kind, text) for kind in OFTEN for text in language.commands[kind]],
    }


@dataclass
class Ear:
    """An ear, and what came of it, at one threshold or several."""

    hears: Hears
    reports: list[Report]

    @property
    def name(self) -> str:
        return self.reports[0].ear

    def at_thresholds(self, sound: Samples, mode: str) -> Iterator[tuple[Report, list[Heard]]]:
        """What would be heard at each, but for this: what is heard at the loosest is no part of the room's noise."""
        heard = self.hears(sound, LARGEST.get(mode, 0))
        for report in self.reports:
            least = 0.0 if report.threshold is None else least_score(report.ear, report.threshold)
            yield report, [each for each in heard if each.score >= least]


def measure(job: Job) -> list[Report]:
    """All ears hear the same."""
    thresholds = {ear: THRESHOLDS[ear] if job.curve else (None,) for ear in job.ears}
    ears = [
        Ear(open_ear(name, job.taught, job.curve), [Report(name, job.voice, threshold) for threshold in each])
        for name, each in thresholds.items()
    ]
    if job.part == WORDS:
        _hear_words(job, ears)
    else:
        _hear_talk(job, ears)
    return [report for ear in ears for report in ear.reports]


def _hear_words(job: Job, ears: list[Ear]) -> None:
    for mode, words in words_of(job.voice).items():
        for condition in (each for each in CONDITIONS_OF[mode] if each == CLEAN or each[1] in job.snrs):
            for repetition in range(job.repetitions):
                sound, truth = stream(job.voice, words, condition, TAUGHT + 1000 * job.seed + repetition)
                for ear in ears:
                    if not _spared(ear.name, mode, condition, repetition):
                        for report, heard in ear.at_thresholds(sound, mode):
                            report.scores[mode, condition].add(heard, truth)


def _hear_talk(job: Job, ears: list[Ear]) -> None:
    for mode, sound in others(job.voice, job.part, job.hours, job.seed):
        for ear in ears:
            if "grammar" not in ear.name or ear.reports[0].false.get((mode, job.part), (0, 0.0))[1] < PLAIN_TALK_S:
                for report, heard in ear.at_thresholds(sound, mode):
                    count, seconds = report.false.get((mode, job.part), (0, 0.0))
                    report.false[mode, job.part] = (count + len(heard), seconds + len(sound) / RATE)


def _spared(ear: str, mode: str, condition: Condition, repetition: int) -> bool:
    """The taught ear knows one word only for each command.

    Once is enough for a plain grammar, and in noise a row of numbers without end takes it many minutes.
    """
    endless = LARGEST.get(mode, 0) > 0 and condition != CLEAN
    return (ear, mode) == ("taught", "untaught") or ("grammar" in ear and (repetition > 0 or endless))
