"""The questions that can be asked, what answering takes, and how many bits an answer is expected to give."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.finder.mistakes import LeftBehind
from assistant.warp.notation import Ends, Shafts

Codes = NDArray[np.integer[Any]]
Weights = NDArray[np.float64]


Answer = Shafts | int

NO_END: Shafts = ()  # the answer where there is no such end
NO_EYE: Shafts = (0,)  # the answer where an end hangs there between heddles
YES, NO = 1, 0
USUALLY = 0.5  # where anything may hang, how often it is what is expected: assumption, no source
UNTOLD = -20_000  # in place of an answer that a hypothesis does not predict

# Effort, in the time of counting one end: assumption, no source.
ASKING = 15.0  # hearing the question, looking, answering: so much that a few questions outweigh some counting
LEFT_OVER = 4.0  # counting the heddles left on a shaft


class Ask(StrEnum):
    """A kind of question."""

    SHAFTS = "shafts"  # which shafts is end `end` on? () where there is no such end
    COUNT = "count"  # how many of the first `end` ends are on `shaft`? A wrong shaft before it shows in this
    HEDDLES = "heddles"  # how many heddles are left on `shaft`? Negative: short
    RIGHT_UP_TO = "right up to"  # is each of the first `end` ends as it should be? YES or NO


class Reason(StrEnum):
    """Why a question that was answered is asked again."""

    SURPRISING = "surprising"  # its answer hardly fits the others
    DECIDING = "deciding"  # what is to be done hangs on it


class Side(StrEnum):
    """Where the counting of ends begins."""

    FIRST = "first"  # with the first end of the group, at the edge where the warp begins
    LAST = "last"  # at the other side, with the last end of the group on the loom


@dataclass(frozen=True, slots=True)
class Question:
    """One question."""

    ask: Ask
    end: int = 0  # from 1, counted from `side`; 0 for HEDDLES
    side: Side = Side.FIRST
    shaft: int = 0  # 0 for SHAFTS
    lacking: int = 0  # RIGHT_UP_TO from Side.LAST: so many of the last ends expected are taken not to be there


@dataclass(frozen=True, slots=True)
class Landmark:
    """The end looked at last, counted from each side, and how many were told to be right; 0 where that is not known."""

    first: int = 0
    last: int = 0
    right: int = 0  # of the first
    right_after: int = 0  # of the last
    before: int = 0  # of the first, told to be right before the look that went furthest
    before_after: int = 0  # of the last

    def further(self, question: Question) -> int | None:
        """How far past the landmark, away from the side, the end asked about lies; None where the side is as near."""
        mark = self.first if question.side is Side.FIRST else self.last
        if question.ask is not Ask.SHAFTS or not mark or abs(question.end - mark) >= question.end:
            return None
        return question.end - mark

    def counted(self, question: Question) -> int:
        """The ends to count: from the side, or from the landmark where that is nearer, or past those told right.

        A look that is asked for again goes over the ends that it went over.
        """
        if question.lacking:
            return question.end
        if question.ask is Ask.RIGHT_UP_TO:
            nearer = question.side is Side.FIRST
            right, before = (self.right, self.before) if nearer else (self.right_after, self.before_after)
            past = next((told for told in (right, before) if told < question.end), 0)
            return question.end - past
        further = self.further(question)
        return question.end if further is None else abs(further)

    def effort(self, question: Question) -> float:
        """What asking, counting and answering takes, in the time of counting one end."""
        return ASKING + (LEFT_OVER if question.ask is Ask.HEDDLES else self.counted(question))


NOWHERE = Landmark()


def answered(question: Question, left: LeftBehind, expected: Ends) -> Answer:
    """The true answer, given what is on the loom and what should be."""
    match question.ask:
        case Ask.SHAFTS if question.end > len(left.loom):
            return NO_END
        case Ask.SHAFTS:
            return left.loom[question.end - 1 if question.side is Side.FIRST else -question.end]
        case Ask.COUNT:
            return sum(question.shaft in end for end in left.loom[: question.end])
        case Ask.HEDDLES:
            return dict(left.heddles).get(question.shaft, 0)
        case Ask.RIGHT_UP_TO if question.side is Side.FIRST:
            return int(left.loom[: question.end] == expected[: question.end])
        case Ask.RIGHT_UP_TO:
            there = expected[: len(expected) - question.lacking]
            return int(left.loom[-question.end :] == there[-question.end :])


def entropy(weights: Weights) -> float:
    """Bits of uncertainty in weights that add up to anything above 0."""
    return max(0.0, float(_bits(weights / weights.sum(), None)))


def tally(codes: Codes, weights: Weights, many: int) -> Weights:
    """The weight that falls to each code from 0 to below `many`."""
    return np.bincount(codes, weights, many).astype(np.float64)


def likelihood(predicted: Codes, weights: Weights, answer: int, error: float) -> Weights:
    """The probability of an answer by each hypothesis.

    A wrong answer is any of the other values predicted, or something else: all alike. Where none is predicted, half the
    time it is the one predicted most, else any of those.
    """
    telling = predicted != UNTOLD
    values, value = np.unique(predicted[telling], return_inverse=True)
    many = max(len(values), 1)
    usual = values[np.argmax(tally(value, weights[telling], len(values)))] if len(values) else UNTOLD
    said = np.where(predicted == answer, 1 - error, error / many)
    return np.where(telling, said, USUALLY if answer == usual else (1 - USUALLY) / many)


def at_most(predictions: Codes, weights: Weights, error: float) -> Weights:
    """Bits expected about which hypothesis holds, for each question, were those that predict nothing to say so.

    This is quick to work out, and no less than `about_groups`. The weights add up to 1.
    """
    values, span = _values(predictions)
    mass = _mass(values, weights, span)
    present = mass > 0
    many = present.sum(axis=1)
    wrong = (error / many)[:, None]
    said = np.where(present, mass * (1 - error) + (1 - mass) * wrong, 0.0)
    return np.asarray(
        _bits(said, 1) + _bits(wrong, 1) - _bits(np.array([1.0 - error, error]), None) - error * np.log2(many)
    )


def about_groups(predictions: Codes, weights: Weights, groups: Codes, error: float) -> Weights:
    """Bits expected about which group the true hypothesis is of, for each question. The weights add up to 1."""
    group, many = _numbered(groups)
    shares = tally(group, weights, many)
    return np.array([_about(row, weights, group, shares, error) for row in predictions])


def _about(predicted: Codes, weights: Weights, group: Codes, shares: Weights, error: float) -> float:
    """The same for one question: bits of the answer, less those it has once the group is known."""
    telling = np.flatnonzero(predicted != UNTOLD)
    value, many = _numbered(predicted[telling])
    weight, of = weights[telling], group[telling]
    meant = tally(of, weight, len(shares))
    wrong = error / max(many, 1)
    untold, share = shares - meant, (1 - USUALLY) / max(many, 1)
    chance = meant * wrong + untold * share  # of an answer that none of the group predicts
    more = tally(of * many + value, weight, len(shares) * max(many, 1)) * (1 - error - wrong)
    answer = np.append(tally(value, weight, many) * (1 - error - wrong), 0.0) + chance.sum()
    if many and untold.any():
        usual = int(np.argmax(answer[:many]))
        more[usual::many] += untold * (USUALLY - share)
        answer[usual] += untold.sum() * (USUALLY - share)
    told = np.flatnonzero(more)
    without = chance[told // max(many, 1)]
    known = (many + 1) * _bits(chance, None) + _bits(without + more[told], None) - _bits(without, None)
    return float(_bits(answer, None) - known + _bits(shares, None))


def _numbered(codes: Codes) -> tuple[Codes, int]:
    """Codes as numbers from 0 on, in their order and without gaps, and how many there are."""
    if not codes.size:
        return codes, 0
    above = codes - codes.min()
    there = np.bincount(above) > 0
    return (there.cumsum() - 1)[above], int(there.sum())


def _mass(values: Codes, weights: Weights, span: int) -> Weights:
    """The weight of each value from 0 to below `span`: questions × values."""
    many = len(values)
    cells = values + span * np.arange(many)[:, None]
    return tally(cells.ravel(), np.tile(weights, many), span * many).reshape(many, span)


def _values(predictions: Codes) -> tuple[Codes, int]:
    """The answers to each question counted from 1, 0 where none is predicted, and how many values that may be."""
    untold = predictions == UNTOLD
    least = np.where(untold, predictions.max(), predictions).min(axis=1, keepdims=True)
    values: Codes = np.where(untold, 0, predictions - least + 1)
    return values, int(values.max()) + 1


def _bits(chance: Weights, axis: int | tuple[int, int] | None) -> Any:
    """The sum of -p log2 p."""
    return -(chance * np.log2(chance, where=chance > 0, out=np.zeros_like(chance))).sum(axis=axis)
