"""Whole warps threaded with mistakes, closed by groups and read back: what is found, what stays in the cloth."""

import random
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict, astuple, dataclass, field
from statistics import fmean
from typing import Any

from assistant.errors import RehearsalError
from assistant.loom.harness import Harness
from assistant.loom.slips import EVERY_SLIP
from assistant.readback.hearing import assumed
from assistant.rehearsal.closing import Searched, ThreadingUp
from assistant.rehearsal.outcome import Alert, HeardCounts, Report
from assistant.rehearsal.reading_back import Muffled, ReadingBack
from assistant.rehearsal.silent import going_through
from assistant.rehearsal.slipping import Fate, Hands, Made
from assistant.rehearsal.talk import Talk
from assistant.session.machine import Session
from assistant.session.view import GroupLine
from assistant.warp.model import Warp
from assistant.warp.passes import READ, THREAD, Pass
from assistant.words.columns import columns, padded
from assistant.words.language import Language
from assistant.words.printed import Printed, widest
from assistant.words.wording import Wording

MOST_PER_1000 = 100.0
MOST_RUNS = 10_000
MOST_ENDS_COVERED = 10_000
AN_END_S = 0.5e-3  # that mistakes, and hearing it read, take; measured
HEDDLES_COUNTED = 0.5  # of the weavers: assumption, no source


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

    def hands(self, warp: Warp, run: int) -> Hands:
        """Those of the weaver of one run: they make the same mistakes each time."""
        return Hands(warp, self.size, self.mistakes_per_1000 / 1000, random.Random(f"hands {self.seed} {run}"))

    def chance(self, run: int) -> random.Random:
        """What else is chance in one run: answers, and what is heard."""
        return random.Random(f"{self.seed} {run}")


def _within(option: str, value: float, least: float, most: float) -> None:
    if not least <= value <= most:
        raise RehearsalError(
            "{option} is {value}; it goes from {least} to {most}",
            option=option,
            value=f"{value:g}",
            least=f"{least:g}",
            most=f"{most:g}",
        )


@dataclass(frozen=True, slots=True)
class Fates:
    """What became of mistakes: in a group that does not hang right every one of them counts as left."""

    made: int
    noticed_in_group: int  # a count was off
    found: int  # by asking
    threaded_anew: int  # with their whole group, since asking led nowhere
    harmless: int  # they changed no end, and no count showed them
    found_by_reading: int
    left_without_check: int  # were it not read back
    left_in_cloth: int

    @classmethod
    def of(cls, made: Sequence[Made]) -> "Fates":
        """Of these, once the warp was read back."""
        gone = Counter(each.fate for each in made if not each.groups)
        left = len(made) - gone.total()
        return cls(
            made=len(made),
            noticed_in_group=sum(each.noticed for each in made),
            found=gone[Fate.FOUND],
            threaded_anew=gone[Fate.ANEW],
            harmless=gone[Fate.HARMLESS],
            found_by_reading=gone[Fate.READ],
            left_without_check=gone[Fate.READ] + left,
            left_in_cloth=left,
        )


COLUMNS = (  # as Fates has them
    *("column made", "column noticed", "column found", "column anew", "column harmless", "column read"),
    *("column left unread", "column left"),
)


@dataclass(slots=True)
class Coverage:
    """What came of every run together."""

    ends: int
    calls: int
    runs: int = 0
    made: list[Made] = field(default_factory=list)
    false_differences: int = 0
    asked_in_vain: int = 0
    searched: list[Searched] = field(default_factory=list)
    alerts: list[Alert] = field(default_factory=list)
    heard: HeardCounts = field(default_factory=HeardCounts)
    groups: Sequence[GroupLine] = ()  # as the last run closed them

    @property
    def fates(self) -> Fates:
        """What became of all mistakes."""
        return Fates.of(self.made)

    @property
    def by_kind(self) -> dict[str, Fates]:
        """The same of each kind that was made."""
        kinds = {kind: [each for each in self.made if each.kind == kind] for kind in EVERY_SLIP}
        return {kind: Fates.of(made) for kind, made in kinds.items() if made}

    def note(self, closing: ThreadingUp, reading: ReadingBack) -> None:
        """A warp was threaded and closed, and read back."""
        self.runs += 1
        self.made += closing.hands.made
        self.searched += closing.searched
        self.alerts += closing.talk.report.alerts
        self.groups = closing.talk.report.session.summary()
        heard = reading.talk.report.heard
        self.heard.said += heard.said
        self.heard.right += heard.right
        self.heard.wrong += heard.wrong
        self.false_differences += reading.false_differences
        self.asked_in_vain += reading.asked_in_vain

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
                **asdict(self.fates),
                "questions_mean": _mean(one.questions for one in self.searched),
                "questions_bound": _mean(one.bits for one in self.searched),
                "false_differences": self.false_differences,
                "asked_in_vain": self.asked_in_vain,
                "by_kind": {kind: asdict(fates) for kind, fates in self.by_kind.items()},
            },
        }

    def lines(self, words: Printed) -> list[str]:
        """The same for reading."""
        questions = _mean(one.questions for one in self.searched) or 0.0
        bound = _mean(one.bits for one in self.searched) or 0.0
        return [
            *words.group_lines(self.groups),
            words.text("rehearsed", runs=self.runs, ends=self.ends, made=len(self.made)),
            *self.kind_lines(words),
            words.text(
                "searches",
                searches=len(self.searched),
                questions=words.decimal(questions, 1),
                bits=words.decimal(bound, 1),
            ),
            words.text("named in vain", named=self.false_differences, asked=self.asked_in_vain),
            words.text("numbers read", said=self.heard.said, right=self.heard.right, wrong=self.heard.wrong),
        ]

    def kind_lines(self, words: Printed) -> list[str]:
        """A table: a row for each kind of mistake and one for all of them, with what became of it."""
        named = {words.text(f"slip {kind}"): fates for kind, fates in self.by_kind.items()}
        named[words.text("slips of every kind")] = self.fates
        heads = tuple(map(words.text, COLUMNS))
        rows = {"": heads, **{name: tuple(map(str, astuple(fates))) for name, fates in named.items()}}
        wide = [*map(columns, heads)]
        return [
            "  ".join([f"  {padded(name, widest(named))}", *map(_to_the_right, row, wide)])
            for name, row in rows.items()
        ]


def _to_the_right(text: str, width: int) -> str:
    return " " * (width - columns(text)) + text


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
    return wish.runs * (2 * through + AN_END_S * warp.ends)


def cover(warp: Warp, language: Language, wish: CoverageWish) -> Coverage:
    """Rehearse so many whole warps. Raises RehearsalError, PassError."""
    coverage = Coverage(warp.ends, Session(warp, THREAD, wish.size).calls)
    for run in range(wish.runs):
        hands, rng = wish.hands(warp, run), wish.chance(run)
        closing, hanging = thread(hands, language, wish, rng)
        coverage.note(closing, read_back(hands, hanging, language, wish, rng))
    return coverage


def thread(
    hands: Hands, language: Language, wish: CoverageWish, rng: random.Random
) -> tuple[ThreadingUp, list[Harness]]:
    """A warp threaded and closed, and how each group hangs then. Every other weaver counts heddles out."""
    talk, counts_heddles = _talk(hands.warp, language, THREAD, wish.size), rng.random() < HEDDLES_COUNTED
    closing = ThreadingUp(talk, hands, rng, wish.wrong_answers / 100, counts_heddles)
    return closing, closing.run()


def read_back(
    hands: Hands, hanging: list[Harness], language: Language, wish: CoverageWish, rng: random.Random
) -> ReadingBack:
    """A warp that hangs like this, after it was read back, and set right where it differed."""
    ear = Muffled(assumed(hands.warp.loom.shafts, language.alike), wish.misheard / 100)
    reading = ReadingBack(_talk(hands.warp, language, READ, wish.size), hands, hanging, rng, ear)
    reading.run()
    return reading


def _talk(warp: Warp, language: Language, job: Pass[Any], size: int | None) -> Talk:
    session = Session(warp, job, size)
    return Talk(Report(session, Wording(language, job.name, session.place.course.unit)))
