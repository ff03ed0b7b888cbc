"""The search for a mistake: which question comes next, what an answer tells, when one repair stands out."""

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property

import numpy as np

from assistant.finder.hypotheses import Hypothesis, Observation, possible, sample, singles
from assistant.finder.mistakes import STAYING, GroupToSearch
from assistant.finder.questions import (
    NO_END,
    NOWHERE,
    Answer,
    Ask,
    Codes,
    Landmark,
    Question,
    Side,
    Weights,
    about_groups,
    at_most,
    entropy,
    likelihood,
    tally,
)
from assistant.warp.notation import Shafts

WRONG_ANSWERS = 0.05  # of all answers: assumption, no source
SURE = 0.99  # the probability from which a repair stands out when answers may be wrong
NEGLIGIBLE = 1e-9  # of the weight
WORTH_ASKING = 1e-6  # bits
ENOUGH = 24  # answers after which, or after one for every end, reading back is the better way
MOST_WEIGHED = 24  # questions, of all, whose information about the repair is worked out
UNHEARD_OF = -1_000_000  # the code of an answer that no hypothesis gives
CUTS = 8  # parts of equal weight between which a count may stop
LIKELY_SHAFTS = 2  # shafts worth counting ends on


class Table:
    """The predictions of all hypotheses of a search."""

    def __init__(self, hypotheses: Sequence[Hypothesis], others: Sequence[Hypothesis] = ()):
        """Of `others` it only matters whether it was one of them, unless the repair is that of a hypothesis."""
        numbers = {each: number for number, each in enumerate(dict.fromkeys(each.repair for each in hypotheses))}
        self._nothing_shifts = all(each.kind in STAYING for one in hypotheses for each in one.mistakes)
        self.other = len(numbers)  # stands for the repairs of the others
        hypotheses = (*hypotheses, *others)
        self.hypotheses = hypotheses
        self._code: dict[Shafts, int] = {NO_END: 0}
        rows = [[self._code.setdefault(end, len(self._code)) for end in each.loom] for each in hypotheses]
        self.lengths: Codes = np.array([len(row) for row in rows], dtype=np.int32)
        self.ends = max((1, *map(len, rows)))
        one_length = len(set(map(len, rows))) == 1  # then each end is asked about from its nearer side only
        near = (self.ends + 1) // 2
        self._ends = {Side.FIRST: near, Side.LAST: self.ends - near} if one_length else dict.fromkeys(Side, self.ends)
        self._sides = {side: np.zeros((self.ends, len(rows)), dtype=np.int16) for side in Side}
        for number, codes in enumerate(rows):
            self._sides[Side.FIRST][: len(codes), number] = codes
            self._sides[Side.LAST][: len(codes), number] = codes[::-1]
        self.repairs: Codes = np.array([numbers.get(each.repair, self.other) for each in hypotheses], dtype=np.int32)
        self._place: Codes = np.array([each.end for each in hypotheses], dtype=np.int32)
        used = {shaft for end in self._code for shaft in end}
        self.shafts = tuple(sorted(used.union(shaft for each in hypotheses for shaft, _ in each.heddles)))
        self._heddles = {shaft: np.zeros(len(rows), dtype=np.int16) for shaft in self.shafts}
        for number, each in enumerate(hypotheses):
            for shaft, count in each.heddles:
                self._heddles[shaft][number] = count
        self._carried = {shaft: np.array([shaft in end for end in self._code]) for shaft in self.shafts}

    def predicted(self, question: Question, among: Codes) -> Codes:
        """What each of these hypotheses answers."""
        chosen = slice(None) if len(among) == len(self.hypotheses) else among  # of all, a view
        match question.ask:
            case Ask.SHAFTS:
                codes: Codes = self._sides[question.side][question.end - 1][chosen]
                return codes
            case Ask.COUNT:
                on_loom = self._sides[Side.FIRST][: question.end, chosen]
                counts: Codes = self._carried[question.shaft][on_loom].sum(axis=0, dtype=np.int16)
                return counts
            case Ask.HEDDLES:
                heddles: Codes = self._heddles[question.shaft][chosen]
                return heddles

    def predictions(self, questions: Sequence[Question], among: Codes) -> Codes:
        """What each of these hypotheses answers to each question: questions × hypotheses."""
        return np.stack([self.predicted(question, among) for question in questions])

    def code(self, question: Question, answer: Answer) -> int:
        """An answer as the number that stands for it in `predicted`."""
        if isinstance(answer, tuple):
            return self._code.get(answer, UNHEARD_OF) if question.ask is Ask.SHAFTS else UNHEARD_OF
        return UNHEARD_OF if question.ask is Ask.SHAFTS else answer

    def candidates(self, weights: Weights, heddles: Container[int]) -> Iterator[Question]:
        """The questions worth weighing; `heddles` are the shafts whose heddles can be counted."""
        yield from (Question(Ask.SHAFTS, end, side) for side, ends in self._ends.items() for end in range(1, ends + 1))
        yield from (Question(Ask.HEDDLES, shaft=shaft) for shaft in self.shafts if shaft in heddles)
        if self._nothing_shifts:
            cuts = self._cuts(weights)
            yield from (Question(Ask.COUNT, end, shaft=shaft) for shaft in self._likely(weights) for end in cuts)

    def _likely(self, weights: Weights) -> list[int]:
        """The shafts that most probably carry an end too many or too few."""
        mass = {shaft: float(weights @ (over != 0)) for shaft, over in self._heddles.items()}
        return [shaft for shaft in sorted(mass, key=lambda shaft: -mass[shaft])[:LIKELY_SHAFTS] if mass[shaft]]

    def _cuts(self, weights: Weights) -> list[int]:
        """The ends that part the places of the mistake into stretches of about equal weight, and the last end."""
        mass = tally(self._place, weights, self.ends + 1)[1:].cumsum()
        parts = np.searchsorted(mass, mass[-1] * np.arange(1, CUTS) / CUTS) + 1
        return sorted({self.ends, *(int(part) for part in parts if part <= self.ends)})


class Outcome(StrEnum):
    """How a search ends."""

    FOUND = "found"
    NO_SINGLE = "no single"  # no single mistake fits the answers, or none of those searched among
    UNDECIDED = "undecided"  # no question is left that would tell more, or there were enough


@dataclass(frozen=True, slots=True)
class Verdict:
    """What came out; the likeliest hypothesis and its repair where one was found."""

    outcome: Outcome
    probability: float = 1.0  # of the repair
    hypothesis: Hypothesis | None = None


@dataclass(frozen=True, eq=False)
class Search:
    """A search as it stands; every answer gives a new one."""

    table: Table
    weights: Weights  # of each hypothesis; they add up to 1, or to 0 when nothing fits
    error: float  # the probability of a wrong answer
    countable: frozenset[int] = frozenset()  # shafts whose heddles may be asked about
    landmark: Landmark = NOWHERE
    unsure: frozenset[Question] = frozenset()  # questions the weaver could not answer
    answers: tuple[tuple[Question, Answer], ...] = ()

    @classmethod
    def over(
        cls,
        hypotheses: Sequence[Hypothesis],
        error: float,
        countable: frozenset[int] = frozenset(),
        others: Sequence[Hypothesis] = (),
    ) -> "Search":
        """A search among hypotheses; that it was one of the others is weighed against them, and enough to know."""
        weights = np.array([each.weight for each in (*hypotheses, *others)], dtype=np.float64)
        return cls(Table(hypotheses, others), _shares(weights), error, countable)

    @classmethod
    def of(cls, group: GroupToSearch, observation: Observation, error: float = WRONG_ANSWERS) -> "Search":
        """A search for the mistake in a group closed like this. Two are suspected only where answers may be wrong."""
        every = possible(group, observation)
        looked = observation.heddles
        countable = frozenset[int]() if looked is None else frozenset(range(1, group.shafts + 1)) - looked.keys()
        others = sample(group, observation, every) if error else ()
        return cls.over(singles(group, observation, every), error, countable, others)

    def among(self, hypotheses: Sequence[Hypothesis]) -> "Search":
        """A fresh search among others already weighed by the answers so far: two mistakes, where no single one fits."""
        found = Search.over(hypotheses, self.error, self.countable)
        return replace(found, landmark=self.landmark, unsure=self.unsure)

    @property
    def bits(self) -> float:
        """Uncertainty about the repair, in bits."""
        repairs = self._repairs()
        return entropy(repairs) if repairs.any() else 0.0

    def question(self) -> Question | None:
        """What to ask next: the most bits for the effort. None where there is a verdict, or nothing left to ask."""
        return None if self._settled or len(self.answers) >= max(ENOUGH, self.table.ends) else self._next

    def verdict(self) -> Verdict | None:
        """What came out, None while there are questions to ask."""
        return Verdict(Outcome.UNDECIDED) if self.question() is None and not self._settled else self._settled

    def answer(self, question: Question, answer: Answer | None) -> "Search":
        """The search after an answer; None is "not sure"."""
        if answer is None:
            return replace(self, unsure=self.unsure | {question})
        alive = self._alive
        predicted = self.table.predicted(question, alive)
        weights = np.zeros_like(self.weights)
        weights[alive] = self.weights[alive] * likelihood(predicted, self.table.code(question, answer), self.error)
        after = replace(self, weights=_shares(weights), answers=(*self.answers, (question, answer)))
        return replace(after, landmark=after._looked_at(question))

    @cached_property
    def _settled(self) -> Verdict | None:
        repairs = self._repairs()
        if not repairs.any():
            return Verdict(Outcome.NO_SINGLE)
        best = int(np.argmax(repairs))
        if repairs[best] < SURE if self.error else np.count_nonzero(repairs) > 1:
            return None
        if best == self.table.other:
            return Verdict(Outcome.NO_SINGLE, float(repairs[best]))
        likeliest = int(np.argmax(np.where(self.table.repairs == best, self.weights, 0.0)))
        return Verdict(Outcome.FOUND, float(repairs[best]), self.table.hypotheses[likeliest])

    @cached_property
    def _next(self) -> Question | None:
        alive = self._alive
        weights = _shares(self.weights[alive])
        may_ask = [each for each in self.table.candidates(self.weights, self.countable) if each not in self.unsure]
        if not may_ask:
            return None
        predictions = self.table.predictions(may_ask, alive)
        repairs = self.table.repairs[alive]
        bits = at_most(predictions, weights, np.flatnonzero(repairs == self.table.other), self.error)
        effort = np.array([self.landmark.effort(each) for each in may_ask])
        likely = np.argsort(-bits / effort, kind="stable")[:MOST_WEIGHED]
        bits = about_groups(predictions[likely], weights, repairs, self.error)
        best = int(np.argmax(bits / effort[likely]))
        return may_ask[likely[best]] if bits[best] > WORTH_ASKING else None

    @cached_property
    def _alive(self) -> Codes:
        """The hypotheses that still count."""
        return np.flatnonzero(self.weights > NEGLIGIBLE)

    def _repairs(self) -> Weights:
        """The probability of each repair."""
        return tally(self.table.repairs, self.weights, 1)

    def _looked_at(self, question: Question) -> Landmark:
        """Where the weaver's finger is after an answer."""
        if question.ask is Ask.HEDDLES:
            return self.landmark
        lengths = np.unique(self.table.lengths[self._alive])
        other = int(lengths[0]) + 1 - question.end if len(lengths) == 1 else 0
        return Landmark(question.end, other) if question.side is Side.FIRST else Landmark(other, question.end)


def _shares(weights: Weights) -> Weights:
    """Weights as shares of 1; all 0 where nothing is left."""
    total = float(weights.sum())
    return weights / total if total else weights
