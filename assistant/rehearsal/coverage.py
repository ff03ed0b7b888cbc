"""Whole warps threaded with mistakes, closed by groups and read back: what is found, what stays in the cloth."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, field
from statistics import fmean
from typing import Any

import numpy as np

from assistant.errors import RehearsalError
from assistant.readback.hearing import assumed
from assistant.rehearsal.closing import Searched, ThreadingUp
from assistant.rehearsal.odds import Odds, Threaded, every_odds
from assistant.rehearsal.outcome import Alert, HeardCounts, Report
from assistant.rehearsal.reading_back import Muffled, ReadingBack
from assistant.rehearsal.silent import going_through
from assistant.rehearsal.talk import Talk
from assistant.session.machine import Session
from assistant.session.view import GroupLine
from assistant.warp.model import Warp
from assistant.warp.passes import READ, THREAD, Pass
from assistant.words.language import Language
from assistant.words.printed import Printed
from assistant.words.wording import Wording

MOST_PER_1000 = 100.0
MOST_RUNS = 10_000
MOST_ENDS_COVERED = 10_000
AN_END_S = 3e-3  # that its odds and mistakes take; measured
TIMES_READ = 2  # the second shows what the first one missed


@dataclass(frozen=True, slots=True)
class CoverageWish:
    """How many mistakes to 1,000 ends, over how many whole warps; percentages of answers and of numbers read."""

    mistakes_per_1000: float
    runs: int = 1
    wrong_answers: float = 5.0
    misheard: float = 3.0
    seed: int = 0
    size: int | None = None

    def __post_init__(self) -> None:
        """Raises RehearsalError for what cannot be rehearsed."""
        _within("--mistakes-per-1000", self.mistakes_per_1000, 0, MOST_PER_1000)
        _within("--runs", self.runs, 1, MOST_RUNS)
        _within("--wrong-answers", self.wrong_answers, 0, 50)
        _within("--misheard", self.misheard, 0, 50)
        if self.seed < 0:
            raise RehearsalError("--seed is {seed}; with mistakes it is 0 or more", seed=str(self.seed))

    def chance(self, run: int) -> np.random.Generator:
        """The chance of one run."""
        return np.random.default_rng((self.seed, run))


def _within(option: str, value: float, least: float, most: float) -> None:
    if not least <= value <= most:
        raise RehearsalError(
            "{option} is {value}; it goes from {least} to {most}",
            option=option,
            value=f"{value:g}",
            least=f"{least:g}",
            most=f"{most:g}",
        )


@dataclass(slots=True)
class Coverage:
    """What came of every run together."""

    ends: int
    calls: int
    runs: int = 0
    made: int = 0
    noticed_in_group: int = 0
    found: int = 0
    left_without_check: int = 0
    false_differences: int = 0
    asked_in_vain: int = 0
    searched: list[Searched] = field(default_factory=list)
    alerts: list[Alert] = field(default_factory=list)
    heard: HeardCounts = field(default_factory=HeardCounts)
    left: list[Threaded] = field(default_factory=list)  # the groups that are not as expected at the very end
    left_after_one: list[Threaded] = field(default_factory=list)  # and after the first reading
    groups: Sequence[GroupLine] = ()  # as the last run closed them

    @property
    def left_in_cloth(self) -> int:
        """Mistakes in groups that are not as expected at the very end."""
        return _made_in(self.left)

    @property
    def left_after_one_reading(self) -> int:
        """The same after the first reading."""
        return _made_in(self.left_after_one)

    def note_closing(self, closing: ThreadingUp, lying: Sequence[Threaded]) -> None:
        """A warp was threaded and closed."""
        self.runs += 1
        self.made += sum(len(tried.threaded.made) for tried in closing.tried)
        self.noticed_in_group += sum(len(tried.threaded.made) for tried in closing.tried if tried.times_off)
        self.found += sum(tried.found for tried in closing.tried)
        self.searched += closing.searched
        self.alerts += closing.talk.report.alerts
        self.groups = closing.talk.report.session.summary()
        self.left_without_check += _made_in(_not_right(lying))

    def note_readings(self, readings: Sequence[ReadingBack]) -> None:
        """The same warp was read back, once or more."""
        for reading in readings:
            heard = reading.talk.report.heard
            self.heard.said += heard.said
            self.heard.right += heard.right
            self.heard.wrong += heard.wrong
            self.false_differences += reading.false_differences
            self.asked_in_vain += reading.asked_in_vain
        self.left_after_one += _not_right(readings[0].lying)
        self.left += _not_right(readings[-1].lying)

    def as_json(self) -> dict[str, object]:
        """What a rehearsal tells, the groups as of the last run; and what became of the mistakes."""
        return {
            "ends": self.ends,
            "calls": self.calls,
            "runs": self.runs,
            "groups": [group.as_json() for group in self.groups],
            "alerts": [asdict(alert) for alert in self.alerts],
            "heard": asdict(self.heard),
            "mistakes": {
                "made": self.made,
                "noticed_in_group": self.noticed_in_group,
                "found": self.found,
                "questions_mean": _mean(one.questions for one in self.searched),
                "questions_bound": _mean(one.bits for one in self.searched),
                "left_without_check": self.left_without_check,
                "left_after_one_reading": self.left_after_one_reading,
                "left_in_cloth": self.left_in_cloth,
                "false_differences": self.false_differences,
                "asked_in_vain": self.asked_in_vain,
            },
        }

    def lines(self, words: Printed) -> list[str]:
        """The same for reading."""
        questions = _mean(one.questions for one in self.searched) or 0.0
        bound = _mean(one.bits for one in self.searched) or 0.0
        left = {
            "twice": self.left_in_cloth,
            "once": self.left_after_one_reading,
            "never": self.left_without_check,
        }
        return [
            *words.group_lines(self.groups),
            words.text("rehearsed", runs=self.runs, ends=self.ends, made=self.made),
            words.text("mistakes noticed", noticed=self.noticed_in_group, found=self.found),
            words.text(
                "searches",
                searches=len(self.searched),
                questions=words.decimal(questions, 1),
                bits=words.decimal(bound, 1),
            ),
            words.text("left in the cloth", **left),
            words.text("named in vain", named=self.false_differences, asked=self.asked_in_vain),
            words.text("numbers read", said=self.heard.said, right=self.heard.right, wrong=self.heard.wrong),
        ]


def _not_right(lying: Sequence[Threaded]) -> list[Threaded]:
    return [threaded for threaded in lying if not threaded.right]


def _made_in(groups: Sequence[Threaded]) -> int:
    """Mistakes made in these groups, whether or not they are still there: at least one is."""
    return sum(len(threaded.made) for threaded in groups)


def _mean(values: Iterator[float]) -> float | None:
    """None where there are none."""
    known = list(values)
    return fmean(known) if known else None


def seconds(warp: Warp, wish: CoverageWish) -> float:
    """About how long it takes to cover a warp. Raises RehearsalError for one that is too large, PassError."""
    if warp.ends > MOST_ENDS_COVERED:
        what = "{ends:,} ends are too many to rehearse with mistakes; the most is {most:,}"
        raise RehearsalError(what, ends=warp.ends, most=MOST_ENDS_COVERED)
    through = going_through(Session(warp, THREAD, wish.size))
    return wish.runs * ((1 + TIMES_READ) * through + AN_END_S * warp.ends)


def cover(warp: Warp, language: Language, wish: CoverageWish) -> Coverage:
    """Rehearse so many whole warps. Raises RehearsalError, PassError."""
    coverage = Coverage(warp.ends, Session(warp, THREAD, wish.size).calls)
    odds = every_odds(warp, wish.size, wish.mistakes_per_1000)
    for run in range(wish.runs):
        rng = wish.chance(run)
        closing, lying = thread(warp, language, odds, wish, rng)
        coverage.note_closing(closing, lying)
        coverage.note_readings(read_back(warp, language, lying, wish, rng))
    return coverage


def thread(
    warp: Warp, language: Language, odds: Sequence[Odds], wish: CoverageWish, rng: np.random.Generator
) -> tuple[ThreadingUp, list[Threaded]]:
    """A warp threaded and closed, and how each group lies then."""
    closing = ThreadingUp(_talk(warp, language, THREAD, wish.size), odds, rng, wish.wrong_answers / 100)
    return closing, closing.run()


def read_back(
    warp: Warp, language: Language, lying: Sequence[Threaded], wish: CoverageWish, rng: np.random.Generator
) -> list[ReadingBack]:
    """Every reading of a warp that lies like this."""
    ear = Muffled(assumed(warp.loom.shafts, language.alike), wish.misheard / 100)
    readings: list[ReadingBack] = []
    for _ in range(TIMES_READ):
        readings.append(ReadingBack(_talk(warp, language, READ, wish.size), list(lying), rng, ear))
        lying = readings[-1].run()
    return readings


def _talk(warp: Warp, language: Language, job: Pass[Any], size: int | None) -> Talk:
    return Talk(Report(Session(warp, job, size), Wording(language, job.name)))
