"""The questions that can be asked, what answering takes, and how many bits an answer is expected to give."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.finder.mistakes import LeftBehind
from assistant.warp.notation import Shafts

Codes = NDArray[np.integer[Any]]
Weights = NDArray[np.float64]


Answer = Shafts | int

NO_END: Shafts = ()  # the answer where there is no such end

# Effort, in the time of counting one end: assumption, no source.
ASKING = 20.0  # hearing the question, looking, answering: so much that a few questions outweigh some counting
LEFT_OVER = 4.0  # counting the heddles left on a shaft


class Ask(StrEnum):
    """A kind of question."""

    SHAFTS = "shafts"  # which shafts is end `end` on? () where there is no such end
    COUNT = "count"  # how many of the first `end` ends are on `shaft`? A wrong shaft before it shows in this
    HEDDLES = "heddles"  # how many heddles are left on `shaft`? Negative: short


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


@dataclass(frozen=True, slots=True)
class Landmark:
    """The end looked at last, counted from each side; 0 where that is not known."""

    first: int = 0
    last: int = 0

    def further(self, question: Question) -> int | None:
        """How far past the landmark, away from the side, the end asked about lies; None where the side is as near."""
        mark = self.first if question.side is Side.FIRST else self.last
        if question.ask is not Ask.SHAFTS or not mark or abs(question.end - mark) >= question.end:
            return None
        return question.end - mark

    def counted(self, question: Question) -> int:
        """The ends to count to answer: from the side, or from the landmark where that is nearer."""
        further = self.further(question)
        return question.end if further is None else abs(further)

    def effort(self, question: Question) -> float:
        """What asking, counting and answering takes, in the time of counting one end."""
        return ASKING + (LEFT_OVER if question.ask is Ask.HEDDLES else self.counted(question))


NOWHERE = Landmark()


def answered(question: Question, left: LeftBehind) -> Answer:
    """The true answer, given what is on the loom."""
    match question.ask:
        case Ask.SHAFTS if question.end > len(left.loom):
            return NO_END
        case Ask.SHAFTS:
            return left.loom[question.end - 1 if question.side is Side.FIRST else -question.end]
        case Ask.COUNT:
            return sum(question.shaft in end for end in left.loom[: question.end])
        case Ask.HEDDLES:
            return dict(left.heddles).get(question.shaft, 0)


def entropy(weights: Weights) -> float:
    """Bits of uncertainty in weights that add up to anything above 0."""
    return max(0.0, float(_bits(weights / weights.sum(), None)))


def tally(codes: Codes, weights: Weights, many: int) -> Weights:
    """The weight that falls to each code from 0 to below `many`."""
    return np.bincount(codes, weights, many).astype(np.float64)


def likelihood(predicted: Codes, answer: int, error: float) -> Weights:
    """The probability of an answer by each hypothesis.

    A wrong answer is any of the other values predicted, or something else: all alike.
    """
    return np.where(predicted == answer, 1 - error, error / len(np.unique(predicted)))


def at_most(predictions: Codes, weights: Weights, one: Codes, error: float) -> Weights:
    """Bits expected about which hypothesis holds, for each question; those listed in `one` count as one.

    This is quick to work out, and no less than `about_groups` where they are of one group. The weights add up to 1.
    """
    values, span = _values(predictions)
    mass = _mass(values, weights, span)
    marked = _mass(values[:, one], weights[one], span)
    present = mass > 0
    wrong = (error / present.sum(axis=1))[:, None]
    some = float(weights[one].sum())
    told = _bits(_said(mass, 1.0, present, wrong, error), 1) + _bits(wrong, 1)
    unmarked = (1 - some) * (_bits(np.array([1.0 - error, error]), None) + error * np.log2(present.sum(axis=1)))
    said = _bits(_said(marked, some, present, wrong, error), 1) + _bits(some * wrong, 1)
    return np.asarray(told - unmarked - said + _bits(np.array([some]), None))


def about_groups(predictions: Codes, weights: Weights, groups: Codes, error: float) -> Weights:
    """Bits expected about which group the true hypothesis is of, for each question. The weights add up to 1."""
    names, group = np.unique(groups, return_inverse=True)
    values, span = _values(predictions)
    mass = _mass(values + span * group, weights, span * len(names)).reshape(len(values), len(names), span)
    shares = tally(group, weights, len(names))
    present = mass.sum(axis=1, keepdims=True) > 0
    wrong = (error / present.sum(axis=2))[:, :, None]
    chance = _said(mass, shares[:, None], present, wrong, error)
    told = _bits(chance.sum(axis=1), 1) + _bits(wrong, (1, 2))
    left = _bits(chance, (1, 2)) + _bits(shares[:, None] * wrong, (1, 2)) - _bits(shares, None)
    return np.asarray(told - left)


def _said(mass: Weights, whole: Any, present: Any, wrong: Weights, error: float) -> Weights:
    """The chance of each predicted answer being said, from the chance of its being true."""
    return np.where(present, mass * (1 - error) + (whole - mass) * wrong, 0.0)


def _mass(values: Codes, weights: Weights, span: int) -> Weights:
    """The weight of each value from 0 to below `span`: questions × values."""
    many = len(values)
    cells = values + span * np.arange(many)[:, None]
    return tally(cells.ravel(), np.tile(weights, many), span * many).reshape(many, span)


def _values(predictions: Codes) -> tuple[Codes, int]:
    """The answers to each question counted from 0, and how many that may be."""
    values: Codes = predictions - predictions.min(axis=1, keepdims=True)
    return values, int(values.max()) + 1


def _bits(chance: Weights, axis: int | tuple[int, int] | None) -> Any:
    """The sum of -p log2 p."""
    return -(chance * np.log2(chance, where=chance > 0, out=np.zeros_like(chance))).sum(axis=axis)
