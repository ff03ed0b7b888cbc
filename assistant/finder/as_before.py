"""How a question was chosen in journals up to format 6, whose answers do not say what they answer.

Only replaying which questions were asked then tells what such an answer means and which repair was done, so that the
choice is kept here as it was, to the last digit, numbers of its own included. Nothing else begins such a search. It
weighed single mistakes against a sample of pairs, and turned to the likeliest pairs where no single one fitted.
"""

from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import accumulate, islice
from typing import Any

import numpy as np

from assistant.finder.hypotheses import Hypothesis, Observation
from assistant.finder.mistakes import (
    STAYING,
    Counts,
    GroupToSearch,
    LeftBehind,
    Mistake,
    counts,
    edit,
    left_by,
    mistakes,
)
from assistant.finder.questions import (
    NO_END,
    NOWHERE,
    Answer,
    Ask,
    Codes,
    Landmark,
    Question,
    Reason,
    Side,
    Weights,
    answered,
    tally,
)
from assistant.finder.repair import repair
from assistant.finder.search import Outcome, Verdict, shares
from assistant.warp.notation import Shafts

ERROR, SURE, ENOUGH, NEGLIGIBLE, WORTH_ASKING, UNHEARD_OF = 0.05, 0.99, 24, 1e-9, 1e-6, -1_000_000
MOST_WEIGHED, CUTS, LIKELY_SHAFTS, SAMPLE, MOST_TRIED, MOST_PAIRS = 24, 8, 2, 200, 40_000, 1_000
ASKING, LEFT_OVER = 20.0, 4.0

Showing = tuple[int, Counts]  # ends over; heddles over by the edits alone, on the shafts looked at


@dataclass(frozen=True, slots=True)
class Possible:
    """A single mistake, how often it is made, and what it leaves."""

    mistake: Mistake
    rate: float
    left: LeftBehind


@dataclass(frozen=True, slots=True)
class Suspects:
    """What may have happened in a group, given what was observed."""

    group: GroupToSearch
    observation: Observation
    every: tuple[Possible, ...]

    @classmethod
    def of(cls, group: GroupToSearch, observation: Observation) -> "Suspects":
        rated = mistakes(group, observation.most_off)
        return cls(group, observation, tuple(Possible(m, rate, left_by(group.expected, m)) for m, rate in rated))

    def singles(self) -> tuple[Hypothesis, ...]:
        fitting = (one for one in self.every if self.observation.fits(one.left))
        return self._merged(self._hypothesis(one.left, one.rate, one.mistake) for one in fitting)

    def sample(self) -> tuple[Hypothesis, ...]:
        """Pairs taken at even steps of their summed weight, with the weight of all."""
        pairs = list(islice(self._pairs(), MOST_TRIED))
        sums = list(accumulate(one.rate * other.rate for one, other in pairs))
        if not sums:
            return ()
        step = sums[-1] / min(SAMPLE, len(pairs))
        taken = (pairs[bisect_left(sums, (at + 0.5) * step)] for at in range(min(SAMPLE, len(pairs))))
        both = ((one, left_by(self.group.expected, one.mistake, other.mistake)) for one, other in taken)
        return self._merged(
            self._hypothesis(left, step, one.mistake) for one, left in both if self.observation.fits(left)
        )

    def likeliest_pairs(self, answers: Sequence[tuple[Question, Answer]]) -> tuple[Hypothesis, ...]:
        fitting = []
        for one, other in islice(self._pairs(), MOST_TRIED):
            left = left_by(self.group.expected, one.mistake, other.mistake)
            if not self.observation.fits(left):
                continue
            weight = one.rate * other.rate
            for question, answer in answers:
                weight *= 1 - ERROR if answered(question, left, self.group.expected) == answer else ERROR
            if weight:
                fitting.append((weight, one, left))
        likeliest = sorted(fitting, key=lambda each: -each[0])[:MOST_PAIRS]
        return self._merged(self._hypothesis(left, weight, one.mistake) for weight, one, left in likeliest)

    def _hypothesis(self, left: LeftBehind, weight: float, first: Mistake) -> Hypothesis:
        todo = repair(self.group.expected, left.loom, left.over)
        return Hypothesis(first, left.loom, left.heddles, todo, weight)

    def _merged(self, hypotheses: Iterable[Hypothesis]) -> tuple[Hypothesis, ...]:
        likeliest: dict[object, Hypothesis] = {}
        weights: dict[object, float] = defaultdict(float)
        for each in hypotheses:
            key = (each.loom, each.heddles if self.observation.heddles is not None else None)
            weights[key] += each.weight
            if key not in likeliest or each.weight > likeliest[key].weight:
                likeliest[key] = each
        return tuple(replace(each, weight=weights[key]) for key, each in likeliest.items())

    def _pairs(self) -> Iterator[tuple[Possible, Possible]]:
        """Pairs of mistakes, the earlier first, that add up to the observation."""
        expected = self.group.expected
        kinds: dict[Showing, list[tuple[int, Possible]]] = defaultdict(list)
        for one in self.every:
            showing = one.left.over, self.observation.looked_at(one.left.edited)
            kinds[showing].append((edit(one.mistake, expected).start, one))
        kinds.pop((0, frozenset()), None)
        over, wanted = self._shown_by_both()
        for shown, ones in kinds.items():
            heddles = Counter(dict(wanted))
            heddles.subtract(dict(shown[1]))
            others = kinds.get((over - shown[0], counts(heddles)), [])
            for _, one in ones:
                stop = edit(one.mistake, expected).stop
                yield from ((one, other) for start, other in others if start >= stop)

    def _shown_by_both(self) -> Showing:
        over = self.observation.over
        heddles = Counter(dict(counts(self.observation.heddles or {})))
        if over < 0:
            heddles.subtract(shaft for end in self.group.expected[over:] for shaft in end)
        return over, self.observation.looked_at(counts(heddles))


class Predictions:
    """The predictions of all hypotheses of a search; of `others` it only matters whether it was one of them."""

    def __init__(self, hypotheses: Sequence[Hypothesis], others: Sequence[Hypothesis]):
        numbers = {each: number for number, each in enumerate(dict.fromkeys(each.repair for each in hypotheses))}
        self._nothing_shifts = all(each.mistake is None or each.mistake.kind in STAYING for each in hypotheses)
        self.other = len(numbers)
        hypotheses = (*hypotheses, *others)
        self.hypotheses = hypotheses
        self._code: dict[Shafts, int] = {NO_END: 0}
        rows = [[self._code.setdefault(end, len(self._code)) for end in each.loom] for each in hypotheses]
        self.lengths: Codes = np.array([len(row) for row in rows], dtype=np.int32)
        self.ends = max((1, *map(len, rows)))
        near = (self.ends + 1) // 2
        one_length = len(set(map(len, rows))) == 1
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
        match question.ask:
            case Ask.SHAFTS:
                codes: Codes = self._sides[question.side][question.end - 1][among]
                return codes
            case Ask.COUNT:
                on_loom = self._sides[Side.FIRST][: question.end, among]
                on_shaft: Codes = self._carried[question.shaft][on_loom].sum(axis=0, dtype=np.int16)
                return on_shaft
            case _:
                heddles: Codes = self._heddles[question.shaft][among]
                return heddles

    def code(self, question: Question, answer: Answer) -> int:
        if isinstance(answer, tuple):
            return self._code.get(answer, UNHEARD_OF) if question.ask is Ask.SHAFTS else UNHEARD_OF
        return UNHEARD_OF if question.ask is Ask.SHAFTS else answer

    def candidates(self, weights: Weights, heddles: frozenset[int]) -> Iterator[Question]:
        yield from (Question(Ask.SHAFTS, end, side) for side, ends in self._ends.items() for end in range(1, ends + 1))
        yield from (Question(Ask.HEDDLES, shaft=shaft) for shaft in self.shafts if shaft in heddles)
        if self._nothing_shifts:
            cuts = self._cuts(weights)
            yield from (Question(Ask.COUNT, end, shaft=shaft) for shaft in self._likely(weights) for end in cuts)

    def _likely(self, weights: Weights) -> list[int]:
        mass = {shaft: float(weights @ (over != 0)) for shaft, over in self._heddles.items()}
        return [shaft for shaft in sorted(mass, key=lambda shaft: -mass[shaft])[:LIKELY_SHAFTS] if mass[shaft]]

    def _cuts(self, weights: Weights) -> list[int]:
        mass = tally(self._place, weights, self.ends + 1)[1:].cumsum()
        parts = np.searchsorted(mass, mass[-1] * np.arange(1, CUTS) / CUTS) + 1
        return sorted({self.ends, *(int(part) for part in parts if part <= self.ends)})


@dataclass(frozen=True, eq=False)
class SearchAsBefore:
    """A search as it stands; every answer gives a new one."""

    suspects: Suspects
    table: Predictions
    weights: Weights
    countable: frozenset[int]
    in_pairs: bool = False
    landmark: Landmark = NOWHERE
    unsure: frozenset[Question] = frozenset()
    answers: tuple[tuple[Question, Answer], ...] = field(default=(), repr=False)

    @classmethod
    def of(cls, group: GroupToSearch, observation: Observation) -> "SearchAsBefore":
        suspects = Suspects.of(group, observation)
        looked = observation.heddles
        countable = frozenset[int]() if looked is None else frozenset(range(1, group.shafts + 1)) - looked.keys()
        return cls(suspects, *_among(suspects.singles(), suspects.sample()), countable)._pairs_where_no_single()

    def question(self) -> Question | None:
        return None if self._settled or len(self.answers) >= max(ENOUGH, self.table.ends) else self._next

    def again(self, question: Question) -> Reason | None:
        return Reason.SURPRISING if any(asked == question for asked, _ in self.answers) else None

    def verdict(self) -> Verdict | None:
        return Verdict(Outcome.UNDECIDED) if self.question() is None and not self._settled else self._settled

    def answer(self, question: Question, answer: Answer | None) -> "SearchAsBefore":
        if answer is None:
            return replace(self, unsure=self.unsure | {question})._pairs_where_no_single()
        alive = self._alive
        predicted, code = self.table.predicted(question, alive), self.table.code(question, answer)
        said = np.where(predicted == code, 1 - ERROR, ERROR / len(np.unique(predicted)))
        weights = np.zeros_like(self.weights)
        weights[alive] = self.weights[alive] * said
        after = replace(self, weights=shares(weights), answers=(*self.answers, (question, answer)))
        return replace(after, landmark=after._looked_at(question))._pairs_where_no_single()

    def no_heddles(self) -> "SearchAsBefore":
        return replace(self, countable=frozenset[int]())._pairs_where_no_single()

    def _pairs_where_no_single(self) -> "SearchAsBefore":
        verdict = self.verdict()
        if self.in_pairs or verdict is None or verdict.outcome is Outcome.FOUND:
            return self
        pairs = self.suspects.likeliest_pairs(self.answers)
        if not pairs:
            return self
        table, weights = _among(pairs, ())
        return replace(self, table=table, weights=weights, in_pairs=True, answers=())

    @cached_property
    def _settled(self) -> Verdict | None:
        repairs = tally(self.table.repairs, self.weights, 1)
        if not repairs.any():
            return Verdict(Outcome.NO_SINGLE)
        best = int(np.argmax(repairs))
        if repairs[best] < SURE:
            return None
        if best == self.table.other:
            return Verdict(Outcome.NO_SINGLE, float(repairs[best]))
        likeliest = int(np.argmax(np.where(self.table.repairs == best, self.weights, 0.0)))
        return Verdict(Outcome.FOUND, float(repairs[best]), self.table.hypotheses[likeliest])

    @cached_property
    def _next(self) -> Question | None:
        alive = self._alive
        weights = shares(self.weights[alive])
        may_ask = [each for each in self.table.candidates(self.weights, self.countable) if each not in self.unsure]
        if not may_ask:
            return None
        predictions = np.stack([self.table.predicted(question, alive) for question in may_ask])
        repairs = self.table.repairs[alive]
        efforts = np.array([self._effort(each) for each in may_ask])
        bits = _at_most(predictions, weights, np.flatnonzero(repairs == self.table.other))
        likely = np.argsort(-bits / efforts, kind="stable")[:MOST_WEIGHED]
        bits = _about_groups(predictions[likely], weights, repairs)
        best = int(np.argmax(bits / efforts[likely]))
        return may_ask[likely[best]] if bits[best] > WORTH_ASKING else None

    @cached_property
    def _alive(self) -> Codes:
        return np.flatnonzero(self.weights > NEGLIGIBLE)

    def _effort(self, question: Question) -> float:
        further = self.landmark.further(question)
        counted = question.end if further is None else abs(further)
        return ASKING + (LEFT_OVER if question.ask is Ask.HEDDLES else counted)

    def _looked_at(self, question: Question) -> Landmark:
        if question.ask is Ask.HEDDLES:
            return self.landmark
        lengths = np.unique(self.table.lengths[self._alive])
        other = int(lengths[0]) + 1 - question.end if len(lengths) == 1 else 0
        return Landmark(question.end, other) if question.side is Side.FIRST else Landmark(other, question.end)


def _among(hypotheses: Sequence[Hypothesis], others: Sequence[Hypothesis]) -> tuple[Predictions, Weights]:
    weights = np.array([each.weight for each in (*hypotheses, *others)], dtype=np.float64)
    return Predictions(hypotheses, others), shares(weights)


def _at_most(predictions: Codes, weights: Weights, one: Codes) -> Weights:
    values, span = _values(predictions)
    mass = _mass(values, weights, span)
    marked = _mass(values[:, one], weights[one], span)
    present = mass > 0
    wrong = (ERROR / present.sum(axis=1))[:, None]
    some = float(weights[one].sum())
    told = _bits(_said(mass, 1.0, present, wrong), 1) + _bits(wrong, 1)
    unmarked = (1 - some) * (_bits(np.array([1.0 - ERROR, ERROR]), None) + ERROR * np.log2(present.sum(axis=1)))
    said = _bits(_said(marked, some, present, wrong), 1) + _bits(some * wrong, 1)
    return np.asarray(told - unmarked - said + _bits(np.array([some]), None))


def _about_groups(predictions: Codes, weights: Weights, groups: Codes) -> Weights:
    names, group = np.unique(groups, return_inverse=True)
    values, span = _values(predictions)
    mass = _mass(values + span * group, weights, span * len(names)).reshape(len(values), len(names), span)
    each = tally(group, weights, len(names))
    present = mass.sum(axis=1, keepdims=True) > 0
    wrong = (ERROR / present.sum(axis=2))[:, :, None]
    chance = _said(mass, each[:, None], present, wrong)
    told = _bits(chance.sum(axis=1), 1) + _bits(wrong, (1, 2))
    left = _bits(chance, (1, 2)) + _bits(each[:, None] * wrong, (1, 2)) - _bits(each, None)
    return np.asarray(told - left)


def _said(mass: Weights, whole: Any, present: Any, wrong: Weights) -> Weights:
    return np.where(present, mass * (1 - ERROR) + (whole - mass) * wrong, 0.0)


def _mass(values: Codes, weights: Weights, span: int) -> Weights:
    many = len(values)
    cells = values + span * np.arange(many)[:, None]
    return tally(cells.ravel(), np.tile(weights, many), span * many).reshape(many, span)


def _values(predictions: Codes) -> tuple[Codes, int]:
    values: Codes = predictions - predictions.min(axis=1, keepdims=True)
    return values, int(values.max()) + 1


def _bits(chance: Weights, axis: int | tuple[int, int] | None) -> Any:
    return -(chance * np.log2(chance, where=chance > 0, out=np.zeros_like(chance))).sum(axis=axis)
