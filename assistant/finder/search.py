"""The search for a mistake: which question comes next, what an answer tells, when one repair stands out."""

from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property
from itertools import chain
from typing import Any

import numpy as np

from assistant.finder.heddle import one
from assistant.finder.hypotheses import STRETCH, UNKNOWN, Hypothesis, Observation, not_seen, singles, something_else
from assistant.finder.mistakes import STAYING, GroupToSearch, Mistake, MistakeKind
from assistant.finder.questions import (
    ASKING,
    NO,
    NO_END,
    NOWHERE,
    UNTOLD,
    YES,
    Answer,
    Ask,
    Codes,
    Landmark,
    Question,
    Reason,
    Side,
    Weights,
    about_groups,
    at_most,
    entropy,
    likelihood,
    tally,
)
from assistant.finder.repair import MOST_TAKEN_OUT, NEW_END, Way, alike
from assistant.warp.notation import Shafts

WRONG_ANSWERS = 0.05  # of all answers: assumption, no source
SURE = 0.99  # the probability from which a repair stands out when answers may be wrong
SURE_ENOUGH = 0.95  # the same where all that it hangs on was asked twice
LEADING = 0.8  # the probability from which what a repair leaves alone is looked at
LOCATED = 0.5  # the same, while something else leads
NAMELESS = (
    0.4  # so much as its weight something else counts beside a kind that is mended alike: a look tells them apart
)
SURPRISING = 0.1  # the probability below which an answer is asked for again
OUTVOTED = 2  # answers against it, with which nothing is called right
NEGLIGIBLE = 1e-9  # of the weight
WORTH_ASKING = 1e-6  # bits
ENOUGH = 24  # answers after which reading back is the better way
MOST_WEIGHED = 48_000  # answers, by all hypotheses to some questions, whose information about the repair is worked out
UNHEARD_OF = -20_001  # the code of an answer that no hypothesis gives
CUTS = 8  # parts of equal weight between which a count may stop
ALL_BUT_ONE = (Way.REPAIR_HEDDLE, Way.ADD_END, Way.JOIN, Way.FREE)  # they leave all but what is in question
LIKELY_SHAFTS = 2  # shafts worth counting ends on


class Codebook(dict[Shafts, int]):
    """A number for the shafts of each end, or heddle with whatever is in it, given when they are first met."""

    def __missing__(self, end: Shafts) -> int:
        if end == UNKNOWN:
            return UNTOLD
        self[end] = self[one(end)] if one(end) != end else len(self)
        return self[end]


class Table:
    """The predictions of all hypotheses of a search."""

    def __init__(self, hypotheses: Sequence[Hypothesis]):
        numbers = {each: number for number, each in enumerate(dict.fromkeys(each.repair for each in hypotheses))}
        self.hypotheses = hypotheses
        self._nothing_shifts = all(each.mistake is None or each.mistake.kind in STAYING for each in hypotheses)
        self._code = Codebook({NO_END: 0})
        self.lengths: Codes = np.array([len(each.loom) for each in hypotheses], dtype=np.int32)
        self.ends = max(1, int(self.lengths.max(initial=0)))
        one_length = len(np.unique(self.lengths)) == 1  # then each end is asked about from its nearer side only
        near = (self.ends + 1) // 2
        self._ends = {Side.FIRST: near, Side.LAST: self.ends - near} if one_length else dict.fromkeys(Side, self.ends)
        self._sides = self._coded()
        self.repairs: Codes = np.array([numbers[each.repair] for each in hypotheses], dtype=np.int32)
        self.right: Codes = np.array([each.right for each in hypotheses], dtype=np.int32)
        self.right_after: Codes = np.array([each.right_after for each in hypotheses], dtype=np.int32)
        self.untold = np.array([each.mistake is None for each in hypotheses], dtype=bool)
        self._reaches: Codes = np.array([_reaches(each) for each in hypotheses], dtype=np.int32)
        self._one_late: Codes = np.array([_one_late(each) for each in hypotheses], dtype=np.int32)
        self._place: Codes = np.array([each.end for each in hypotheses], dtype=np.int32)
        used = {shaft for end in self._code for shaft in end}
        self.shafts = tuple(sorted(used.union(shaft for each in hypotheses for shaft, _ in each.heddles)))
        self._heddles = {shaft: np.where(self.untold, UNTOLD, 0) for shaft in self.shafts}
        for number, each in enumerate(hypotheses):
            for shaft, count in each.heddles:
                self._heddles[shaft][number] = count
        self._counted: dict[int, Codes] = {}
        self._carried = {shaft: np.array([shaft in end for end in self._code]) for shaft in self.shafts}

    def _coded(self) -> dict[Side, Codes]:
        """The code of each end from either side, NO_END past the last: ends × hypotheses."""
        codes = map(self._code.__getitem__, chain.from_iterable(each.loom for each in self.hypotheses))
        hangs = np.arange(self.ends)[:, None] < self.lengths
        first, last = np.zeros((2, *hangs.shape), dtype=np.int16)
        first.T[hangs.T] = np.fromiter(codes, dtype=np.int16, count=int(self.lengths.sum()))
        last.T[hangs.T] = first[::-1].T[hangs[::-1].T]
        return {Side.FIRST: first, Side.LAST: last}

    def predicted(self, question: Question, among: Codes) -> Codes:
        """What each of these hypotheses answers; UNTOLD where it may be anything."""
        chosen = slice(None) if len(among) == len(self.hypotheses) else among  # of all, a view
        match question.ask:
            case Ask.SHAFTS if question.end > self.ends:
                return np.zeros_like(self.right[chosen])  # NO_END
            case Ask.SHAFTS:
                codes: Codes = self._sides[question.side][question.end - 1][chosen]
                return codes
            case Ask.COUNT | Ask.HEDDLES if question.shaft not in self.shafts:
                return np.where(self.untold[chosen], UNTOLD, 0)
            case Ask.COUNT:
                counts: Codes = self._counts(question.shaft)[min(question.end, self.ends) - 1][chosen]
                return np.where(self.untold[chosen] & (self.right[chosen] < question.end), UNTOLD, counts)
            case Ask.HEDDLES:
                heddles: Codes = self._heddles[question.shaft][chosen]
                return heddles
            case Ask.RIGHT_UP_TO if question.lacking:
                one_late = (self._one_late[chosen] >= question.end).astype(np.int32)
                return np.where(self.untold[chosen], UNTOLD, one_late)
            case Ask.RIGHT_UP_TO if question.side is Side.FIRST:
                return (self.right[chosen] >= question.end).astype(np.int32)
            case Ask.RIGHT_UP_TO:
                right = (self.right_after[chosen] >= question.end).astype(np.int32)
                return np.where((right == NO) & (question.end < self._reaches[chosen]), UNTOLD, right)

    def _counts(self, shaft: int) -> Codes:
        """How many of the first ends are on a shaft: ends × hypotheses."""
        if shaft not in self._counted:
            on_shaft = self._carried[shaft][np.maximum(self._sides[Side.FIRST], 0)]
            self._counted[shaft] = on_shaft.cumsum(axis=0, dtype=np.int16)
        return self._counted[shaft]

    def predictions(self, questions: Sequence[Question], among: Codes) -> Codes:
        """What each of these hypotheses answers to each question: questions × hypotheses."""
        return np.stack([self.predicted(question, among) for question in questions])

    def code(self, question: Question, answer: Answer) -> int:
        """An answer as the number that stands for it in `predicted`."""
        if isinstance(answer, tuple):
            return self._code.get(answer, UNHEARD_OF) if question.ask is Ask.SHAFTS else UNHEARD_OF
        return UNHEARD_OF if question.ask is Ask.SHAFTS else int(answer)

    def candidates(self, weights: Weights, heddles: Container[int]) -> Iterator[Question]:
        """The questions worth weighing; `heddles` are the shafts whose heddles can be counted."""
        yield from (Question(Ask.SHAFTS, end, side) for side, ends in self._ends.items() for end in range(1, ends + 1))
        yield from (Question(Ask.HEDDLES, shaft=shaft) for shaft in self.shafts if shaft in heddles)
        if self._nothing_shifts:
            cuts = self._cuts(weights)
            yield from (Question(Ask.COUNT, end, shaft=shaft) for shaft in self._likely(weights) for end in cuts)

    def boundaries(self, weights: Weights) -> Iterator[Question]:
        """Up to where it may be right, so that places of about equal weight lie before and after."""
        ends = {at for cut in self._cuts(weights) for at in (cut - 1, cut) if at}
        yield from (Question(Ask.RIGHT_UP_TO, end) for end in sorted(ends))

    def _likely(self, weights: Weights) -> list[int]:
        """The shafts that most probably carry an end too many or too few."""
        mass = {shaft: float(weights @ ((over != 0) & ~self.untold)) for shaft, over in self._heddles.items()}
        return [shaft for shaft in sorted(mass, key=lambda shaft: -mass[shaft])[:LIKELY_SHAFTS] if mass[shaft]]

    def _cuts(self, weights: Weights) -> list[int]:
        """The ends that part the places of the mistake into stretches of about equal weight, and the last end."""
        mass = tally(self._place, weights, self.ends + 1)[1:].cumsum()
        parts = np.searchsorted(mass, mass[-1] * np.arange(1, CUTS) / CUTS) + 1
        return sorted({self.ends, *(int(part) for part in parts if part <= self.ends)})


def _reaches(hypothesis: Hypothesis) -> int:
    """So many of the last ends reach one that is wrong, so that not all of them are right; before, nobody knows.

    Where ends lack or are over, those counted from the last are others, and nobody ever knows.
    """
    repair, mistake = hypothesis.repair, hypothesis.mistake
    if not repair.first or (mistake is not None and mistake.kind is not MistakeKind.UNSEEN):
        return 0
    ends = len(hypothesis.loom)
    if repair.taken_out < repair.threaded:
        return ends + 1
    return ends - hypothesis.right - (STRETCH if repair.taken_out > STRETCH else 0)


def _one_late(hypothesis: Hypothesis) -> int:
    """How many of the last ends are as they should be but for hanging one end late."""
    mistake = hypothesis.mistake
    return len(hypothesis.loom) - mistake.at if mistake is not None and _one_too_many(mistake) else 0


def _one_too_many(mistake: Mistake) -> bool:
    """An end hangs that should not, and the last does not hang; where heddles are counted, some of it may."""
    return mistake.over == -1 and not mistake.held


class Outcome(StrEnum):
    """How a search ends."""

    FOUND = "found"
    NO_SINGLE = "no single"  # no mistake fits, where answers are never wrong and nothing else is thought of
    UNDECIDED = "undecided"  # no question is left that would tell more, or there were enough


@dataclass(frozen=True, slots=True)
class Verdict:
    """What came out; the likeliest hypothesis and its repair where one was found."""

    outcome: Outcome
    probability: float = 1.0  # that its repair sets the group right
    hypothesis: Hypothesis | None = None
    certain: bool = False  # that it hangs just so, not only that the repair does


@dataclass(frozen=True, eq=False)
class Search:
    """A search as it stands; every answer gives a new one."""

    table: Table
    weights: Weights  # of each hypothesis; they add up to 1, or to 0 when nothing fits
    error: float  # the probability of a wrong answer; where it is 0, the list of mistakes is taken for whole
    against: Codes  # for each hypothesis, the answers that contradict it
    countable: frozenset[int] = frozenset()  # shafts whose heddles may be asked about
    landmark: Landmark = NOWHERE
    unsure: frozenset[Question] = frozenset()  # questions the weaver could not answer
    doubted: frozenset[Question] = frozenset()  # questions whose answer surprised, not yet asked again
    answers: tuple[tuple[Question, Answer], ...] = ()
    yarns: tuple[str, ...] = ()  # of every end; none where all are alike
    count_off: bool = True  # some count was: else none will tell either that what was told to be right is not

    @classmethod
    def over(cls, hypotheses: Sequence[Hypothesis], error: float, countable: frozenset[int] = frozenset()) -> "Search":
        """A search among hypotheses."""
        weights = np.array([each.weight for each in hypotheses], dtype=np.float64)
        return cls(Table(hypotheses), shares(weights), error, np.zeros(len(weights), dtype=np.int32), countable)

    @classmethod
    def of(cls, group: GroupToSearch, observation: Observation, error: float = WRONG_ANSWERS) -> "Search":
        """A search for the mistake in a group closed like this. Where answers may be wrong, so may the list be."""
        looked = observation.heddles
        countable = frozenset[int]() if looked is None else frozenset(range(1, group.shafts + 1)) - looked.keys()
        known = singles(group, observation)
        looked_for = (*not_seen(group, observation), *something_else(group, observation)) if error else ()
        begun = cls.over((*known, *looked_for), error, countable)
        return replace(begun, yarns=group.yarns, count_off=observation.most_off > 0)

    @property
    def bits(self) -> float:
        """Uncertainty about the repair, in bits."""
        repairs = self._repairs
        return entropy(repairs) if repairs.any() else 0.0

    def question(self) -> Question | None:
        """What to ask next: the most bits for the effort. None where there is a verdict, or nothing left to ask."""
        return None if self._settled else self._next

    def again(self, question: Question) -> Reason | None:
        """Why a question is asked again; None where it was not answered before."""
        if not self._asked(question):
            return None
        return Reason.SURPRISING if question in self.doubted else Reason.DECIDING

    def _asked(self, question: Question) -> int:
        return sum(asked == question for asked, _ in self.answers)

    def verdict(self) -> Verdict | None:
        """What came out, None while there are questions to ask."""
        return self._settled or (self._last_resort if self._next is None else None)

    def answer(self, question: Question, answer: Answer | None) -> "Search":
        """The search after an answer; None is "not sure"."""
        if answer is None:
            return replace(self, unsure=self.unsure | {question})
        predicted = self.table.predicted(question, np.arange(len(self.weights)))
        code = self.table.code(question, answer)
        told = likelihood(predicted, self.weights, code, self.error) * self.weights
        against = self.against + ((predicted != code) & (predicted != UNTOLD))
        told[(against >= OUTVOTED) & self._nothing_wrong] = 0.0
        surprising = told.sum() < SURPRISING and not self.again(question)
        mended = self._leading is not None and self._leading[1].end
        if surprising and mended and (question.ask, question.side, answer) == (Ask.RIGHT_UP_TO, Side.LAST, NO):
            surprising, told = False, np.where(self.table.untold, told, 0.0)  # more is wrong than what leads explains
        after = replace(
            self, weights=shares(told), against=against, answers=(*self.answers, (question, answer)),
            doubted=self.doubted | {question} if surprising else self.doubted - {question},
        )  # fmt: skip
        return replace(after, landmark=after._looked_at(question, answer))

    def no_heddles(self) -> "Search":
        """The search where no heddles were counted out."""
        return replace(self, countable=frozenset[int]())

    @cached_property
    def _settled(self) -> Verdict | None:
        leading = self._leading
        if leading is None:
            return Verdict(Outcome.NO_SINGLE)
        probability, hypothesis = leading
        if not self.error:
            return Verdict(Outcome.FOUND, 1.0, hypothesis) if np.count_nonzero(self._repairs) == 1 else None
        if probability < SURE or self._to_look_at(hypothesis) or self._seen_once(hypothesis):
            return None
        known = hypothesis.mistake is not None and hypothesis.mistake.kind is not MistakeKind.UNSEEN
        all_told = hypothesis.repair.way in ALL_BUT_ONE
        all_told = all_told or (self._late(hypothesis), YES) in self.answers
        certain = known and (all_told or self._so_hanging(hypothesis) >= SURE)
        return Verdict(Outcome.FOUND, probability, hypothesis, certain)

    def _so_hanging(self, hypothesis: Hypothesis) -> float:
        """The probability that it hangs as it would by this one."""
        so = [number for number in self._alive if self.table.hypotheses[number].loom == hypothesis.loom]
        return float(self.weights[so].sum())

    @property
    def _last_resort(self) -> Verdict:
        """What leads, where nothing is left to ask that would tell more.

        Otherwise threading anew from an end before which all was told to be right, where that surely is so.
        """
        if self._leading and self._leading[0] >= SURE_ENOUGH and not self._unlooked(self._leading[1]):
            return Verdict(Outcome.FOUND, *self._leading)
        for right in range(self.landmark.right, 0, -1):
            there = np.flatnonzero(self.table.untold & (self.table.right == right))
            probability = float(self.weights[self.table.right >= right].sum())
            if there.size and probability >= SURE and self.table.hypotheses[there[0]].repair.first:
                return Verdict(Outcome.FOUND, probability, self.table.hypotheses[there[0]])
        return Verdict(Outcome.UNDECIDED)

    @cached_property
    def _leading(self) -> tuple[float, Hypothesis] | None:
        """The likeliest repair, by a hypothesis that has it, and how probably it sets the group right.

        One that redoes a stretch, or all to the end, does so whatever is wrong within it, once its place is known, but
        for nothing. What leaves nothing that was not told to be right does so whatever hangs there.
        """
        repairs, table = self._repairs, self.table
        if not repairs.any():
            return None
        best = int(np.argmax(repairs))
        named = np.where(table.untold, NAMELESS, 1.0)
        number = int(np.argmax(np.where(table.repairs == best, self.weights * named, 0.0)))
        hypothesis = table.hypotheses[number]
        there = table.right == hypothesis.right
        if not self.error or self.weights[there].sum() < LOCATED:
            return float(repairs[best]), hypothesis
        sets_right = np.where(table.repairs == best, 1.0, 0.0)
        if hypothesis.repair.way in (Way.REDO, Way.THREAD_ON):
            within = (table.right >= hypothesis.right) & (table.right_after >= hypothesis.right_after)
            sets_right[within & ~self._nothing_wrong] = 1.0
        if hypothesis.end and self.landmark.right_after >= hypothesis.right_after:
            sets_right[table.untold & there & (sets_right == 0)] = 1 - self.error
        return float(self.weights @ sets_right), hypothesis

    def _looks(self, hypothesis: Hypothesis) -> list[Question]:
        """What shows that all is right which its repair leaves as it hangs.

        Where all is, one look is enough, but where ends lacked: then more may hang than should.
        """
        lacked = hypothesis.mistake is not None and hypothesis.mistake.over < 0
        before, after = hypothesis.right, hypothesis.right_after if hypothesis.end or lacked else 0
        looks = (Question(Ask.RIGHT_UP_TO, before), Question(Ask.RIGHT_UP_TO, after, Side.LAST))
        return [look for look in looks if look.end]

    def _deciding(self, hypothesis: Hypothesis) -> list[Question]:
        """On what its place hangs: what shows that all else is right, and that the first end it mends is not."""
        wrong = [Question(Ask.RIGHT_UP_TO, hypothesis.end)] if 0 < hypothesis.end <= self.table.ends else []
        return [*self._looks(hypothesis), *wrong]

    def _late(self, hypothesis: Hypothesis) -> Question | None:
        """What shows that all after an end too many hangs one end late; None where knowing it would spare little."""
        mistake, out = hypothesis.mistake, hypothesis.repair.taken_out
        one_too_many = mistake and _one_too_many(mistake) and alike(self.yarns[hypothesis.end - 1 :])
        if not one_too_many or out <= 1 + NEW_END + MOST_TAKEN_OUT:
            return None
        return Question(Ask.RIGHT_UP_TO, out - 1, Side.LAST, lacking=1)

    def _to_look_at(self, hypothesis: Hypothesis) -> list[Question]:
        """What is to be asked before it is told how to set it right."""
        late = self._late(hypothesis)
        asked = late is None or late in self.unsure or self._asked(late)
        return [*self._unlooked(hypothesis), *([] if asked or late is None else [late])]

    def _unlooked(self, hypothesis: Hypothesis) -> list[Question]:
        """Of what its repair leaves what was not told to be right yet."""
        right = {Side.FIRST: self.landmark.right, Side.LAST: self.landmark.right_after}
        return [look for look in self._looks(hypothesis) if right[look.side] < look.end]

    def _seen_once(self, hypothesis: Hypothesis) -> list[Question]:
        """Of what its repair leaves what one answer alone told to be right, where no count bears that out."""
        if self.count_off or hypothesis.repair.way is Way.NOTHING:
            return []
        looks = (each for each in self._looks(hypothesis) if each not in self.unsure and self._asked(each) < 2)
        return [each for each in looks if self._times_right(each) == 1]

    def _times_right(self, look: Question) -> int:
        """How often all the ends of a look were told to be right."""
        return sum(
            (asked.ask, asked.side, asked.lacking, answer) == (look.ask, look.side, 0, YES) and asked.end >= look.end
            for asked, answer in self.answers
        )

    @cached_property
    def _next(self) -> Question | None:
        leading = self._leading
        if leading is None:
            return None
        if not self.error:
            return self._telling_most(())
        if len(self.answers) >= ENOUGH:
            return None
        probability, hypothesis = leading
        twice = [each for each in self._deciding(hypothesis) if each in self.unsure or self._asked(each) > 1]
        once_more = [each for each in self._deciding(hypothesis) if self._asked(each) == 1 and each not in twice]
        if probability >= SURE_ENOUGH and twice == self._deciding(hypothesis):
            return None
        if probability >= (LOCATED if self._something_else_leads else LEADING):
            unlooked = [each for each in self._to_look_at(hypothesis) if self._may_ask(each)]
            unlooked += self._seen_once(hypothesis) if probability >= SURE else []
            if unlooked or (self._something_else_leads and once_more):
                return (unlooked or once_more)[0]
        if self._something_else_leads and self._locating:
            return self._locating
        return self._telling_most(once_more if probability >= LEADING else ()) or next(iter(once_more), None)

    @property
    def _something_else_leads(self) -> bool:
        return float(self.weights[self.table.untold].sum()) > 0.5

    @cached_property
    def _locating(self) -> Question | None:
        """Up to where it is right, told apart best."""
        bounds = [each for each in self._boundaries if self._may_ask(each)]
        return self._best(bounds) if bounds else None

    @property
    def _boundaries(self) -> list[Question]:
        """Looks up to where it may be right, and those that the likeliest repair leaves to look at."""
        if not self.error or not self._leading:
            return []
        there = self.table.right == self._leading[1].right
        after = np.unique(self.table.right_after[there & (self.weights > NEGLIGIBLE)])
        looks = (Question(Ask.RIGHT_UP_TO, int(end), Side.LAST) for end in after if end)
        return [*dict.fromkeys((*self.table.boundaries(self.weights), *looks))]

    def _best(self, questions: Sequence[Question]) -> Question | None:
        """Of these the one with the most bits about the repair for the effort; None where none tells anything."""
        alive = self._alive
        predictions = self.table.predictions(questions, alive)
        bits = about_groups(predictions, shares(self.weights[alive]), self.table.repairs[alive], self.error)
        best = int(np.argmax(bits / self._efforts(questions)))
        return questions[best] if bits[best] > WORTH_ASKING else None

    def _telling_most(self, once_more: Iterable[Question]) -> Question | None:
        """What tells most for its effort; of what was answered only these are asked again."""
        alive = self._alive
        may_ask = [each for each in self.table.candidates(self.weights, self.countable) if self._may_ask(each)]
        bounds = [each for each in self._boundaries if self._may_ask(each)]
        bounds += once_more
        if len(may_ask) * len(alive) > MOST_WEIGHED:
            bits = at_most(self.table.predictions(may_ask, alive), shares(self.weights[alive]), self.error)
            order = np.argsort(-bits / self._efforts(may_ask), kind="stable")[: MOST_WEIGHED // len(alive)]
            may_ask = [may_ask[each] for each in order]
        return self._best([*may_ask, *bounds]) if may_ask or bounds else None

    def _may_ask(self, question: Question) -> bool:
        """Not what she could not answer, nor again what was answered, unless that surprised."""
        return question not in self.unsure and (question in self.doubted or not self.again(question))

    def _efforts(self, questions: Sequence[Question]) -> Weights:
        """What each takes beyond what would be looked at anyhow before anything is done."""
        return np.array([self.landmark.effort(each) - self._spared(each) for each in questions])

    def _spared(self, question: Question) -> float:
        """Of the effort, what a look that is told to be right spares: its ends, and the look itself where it is due."""
        nearer = question.side is Side.FIRST
        known = self.landmark.right if nearer else self.landmark.right_after
        if question.ask is not Ask.RIGHT_UP_TO or question.end <= known or question.lacking:
            return 0.0
        right = self.table.right if nearer else self.table.right_after
        told, due = (float(self.weights[there].sum()) for there in (right >= question.end, right == question.end))
        return told * self.landmark.counted(question) + due * ASKING

    @cached_property
    def _alive(self) -> Codes:
        """The hypotheses that still count."""
        return np.flatnonzero(self.weights > NEGLIGIBLE)

    @cached_property
    def _repairs(self) -> Weights:
        """The probability of each repair."""
        return tally(self.table.repairs, self.weights, 1)

    @cached_property
    def _nothing_wrong(self) -> Any:
        """Of each hypothesis, whether by it every end is where it should be."""
        return np.array([each.repair.way is Way.NOTHING for each in self.table.hypotheses], dtype=bool)

    def _looked_at(self, question: Question, answer: Answer) -> Landmark:
        """Where the weaver's finger is after an answer, and what was told right."""
        here = self.landmark
        if question.ask is Ask.HEDDLES:
            return here
        if question.ask is Ask.RIGHT_UP_TO and answer == YES and not question.lacking:
            nearer = question.side is Side.FIRST
            if nearer and question.end > here.right:
                here = replace(here, right=question.end, before=here.right)
            elif not nearer and question.end > here.right_after:
                here = replace(here, right_after=question.end, before_after=here.right_after)
        lengths = np.unique(self.table.lengths[self._alive])
        other = int(lengths[0]) + 1 - question.end if len(lengths) == 1 else 0
        first, last = (question.end, other) if question.side is Side.FIRST else (other, question.end)
        return replace(here, first=first, last=last)


def shares(weights: Weights) -> Weights:
    """Weights as shares of 1; all 0 where nothing is left."""
    total = float(weights.sum())
    return weights / total if total else weights
