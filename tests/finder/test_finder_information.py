"""Bits and questions, against SciPy, the information bound (Shannon 1948) and the least mean (Huffman 1952)."""

import heapq
from itertools import product
from math import log2

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import entropy as scipy_entropy

from assistant.finder import Hypothesis, Landmark, Mistake, Question, Repair, Search, Way
from assistant.finder.mistakes import MistakeKind
from assistant.finder.questions import about_groups, at_most, entropy

SHARES = st.lists(st.floats(0.001, 1.0), min_size=2, max_size=6)


@given(SHARES)
def test_entropy_is_what_scipy_says(weights: list[float]) -> None:
    assert entropy(np.array(weights)) == pytest.approx(float(scipy_entropy(weights, base=2)), abs=1e-9)


@given(SHARES, st.floats(0, 0.5), st.integers(0, 2**32))
def test_the_bits_of_a_question_are_those_of_the_whole_table_of_answers(
    weights: list[float], error: float, seed: int
) -> None:
    """The information of group and answer, from the entropies of their joint table by SciPy."""
    rng = np.random.default_rng(seed)
    predictions, groups = rng.integers(0, 3, (4, len(weights))), rng.integers(0, 3, len(weights))
    shares = np.array(weights) / sum(weights)
    told = about_groups(predictions, shares, groups, error)
    for row, bits in zip(predictions, told, strict=True):
        values = np.unique(row)
        answers = [[1 - error if value == at else error / len(values) for value in values] for at in row]
        each = shares[:, None] * np.array([[*answer, error / len(values)] for answer in answers])
        joint = np.array([each[groups == group].sum(0) for group in range(3)])
        apart = scipy_entropy(joint.sum(0), base=2) + scipy_entropy(joint.sum(1), base=2)
        assert bits == pytest.approx(float(apart - scipy_entropy(joint.ravel(), base=2)), abs=1e-9)
    assert (at_most(predictions, shares, error) >= told - 1e-9).all()
    everyone = about_groups(predictions, shares, np.arange(len(shares)), error)
    assert at_most(predictions, shares, error) == pytest.approx(everyone, abs=1e-9)


def test_telling_apart_what_is_repaired_alike_is_worth_nothing() -> None:
    predictions, weights = np.array([[0, 0, 1, 1], [0, 1, 0, 1]]), np.full(4, 0.25)
    assert about_groups(predictions, weights, np.array([0, 0, 1, 1]), 0.0) == pytest.approx([1.0, 0.0])


def huffman(weights: list[float]) -> float:
    """The mean length of a Huffman code (D. A. Huffman, 1952): the least mean number of yes-or-no questions."""
    heap = sorted(weights)
    total = 0.0
    while len(heap) > 1:
        joined = heapq.heappop(heap) + heapq.heappop(heap)
        total += joined
        heapq.heappush(heap, joined)
    return total / sum(weights)


def anything_can_be_asked(weights: list[float]) -> list[Hypothesis]:
    """Hypotheses on two shafts, with one end for every way of parting them in two: any yes-or-no question is there."""
    ways = [way for way in product((1, 2), repeat=len(weights)) if way[0] == 1 and 2 in way]
    return [
        Hypothesis(
            Mistake(MistakeKind.SKIPPED, at + 1),
            tuple((way[at],) for way in ways),
            frozenset(),
            Repair(Way.REDO, at + 1, 1, 1),
            weight,
        )
        for at, weight in enumerate(weights)
    ]


def mean_questions(hypotheses: list[Hypothesis]) -> float:
    """The expected number of questions, all hypotheses taken in turn."""
    total = sum(each.weight for each in hypotheses)
    return sum(each.weight * asked(hypotheses, each) for each in hypotheses) / total


def asked(hypotheses: list[Hypothesis], true: Hypothesis) -> int:
    search, number = Search.over(hypotheses, 0.0), 0
    while question := search.question():
        loom = true.loom if question.side == "first" else true.loom[::-1]
        search, number = search.answer(question, loom[question.end - 1]), number + 1
    verdict = search.verdict()
    assert verdict is not None
    assert verdict.hypothesis == true
    return number


@pytest.fixture
def free(monkeypatch: pytest.MonkeyPatch) -> None:
    """Counting costs nothing."""

    def nothing_more(landmark: Landmark, question: Question) -> float:
        return 1.0

    monkeypatch.setattr(Landmark, "effort", nothing_more)


@pytest.mark.usefixtures("free")
@pytest.mark.parametrize("weights", [[1, 1], [1, 1, 1, 1], [8, 4, 2, 1, 1], [4, 2, 2, 4, 4], [1, 1, 2, 4, 8, 16]])
def test_with_weights_of_powers_of_two_the_questions_reach_both_bounds(weights: list[float]) -> None:
    """There Huffman's optimum is the entropy."""
    bound = float(scipy_entropy(weights, base=2))
    assert huffman(weights) == pytest.approx(bound)
    assert mean_questions(anything_can_be_asked(weights)) == pytest.approx(bound)


@pytest.mark.usefixtures("free")
def test_with_any_weights_the_questions_are_never_fewer_than_the_optimum_and_close_to_it() -> None:
    rng = np.random.default_rng(1)
    surplus = []
    for _ in range(25):
        weights = [float(weight) for weight in rng.uniform(0.02, 1.0, rng.integers(2, 6))]
        mean, least = mean_questions(anything_can_be_asked(weights)), huffman(weights)
        assert float(scipy_entropy(weights, base=2)) <= least + 1e-9
        assert least <= mean + 1e-9
        assert mean <= least + 0.25
        surplus.append(mean / least)
    assert sum(surplus) / len(surplus) < 1.02


@pytest.mark.parametrize("ends", [8, 16, 64])
def test_a_skipped_end_among_ends_all_different_takes_hardly_more_questions_than_halving(ends: int) -> None:
    """Every end is alone on its shaft: `ends` hypotheses, alike, that each answer parts in two. Counting costs."""
    hypotheses = [
        Hypothesis(
            Mistake(MistakeKind.SKIPPED, at + 1),
            tuple((shaft,) for shaft in range(1, ends + 1) if shaft != at + 1),
            frozenset(),
            Repair(Way.REDO, at + 1, ends - at - 1, ends - at),
            1.0,
        )
        for at in range(ends)
    ]
    assert log2(ends) <= mean_questions(hypotheses) + 1e-9
    assert mean_questions(hypotheses) <= 1.1 * log2(ends)
