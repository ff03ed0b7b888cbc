"""The alignment against others' edit distances and against every alignment written out."""

from collections.abc import Iterator, Sequence
from math import inf, log

import numpy as np
import pytest
from Bio.Align import PairwiseAligner
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import OSA, Levenshtein

from assistant.readback.alignment import Floats, StepWeights, align, best_pairs

SHAFTS = 5

numbers = st.lists(st.integers(0, SHAFTS - 1), min_size=1, max_size=14)
few = st.lists(st.integers(0, SHAFTS - 1), min_size=1, max_size=4)
chances = st.floats(0.001, 0.9)


def unit_costs(heard: Sequence[int], turned: float) -> StepWeights:
    """Every step but a right number costs one."""
    costs = np.array([[0.0 if said == number else -1.0 for said in range(SHAFTS)] for number in heard])
    return weighed(costs, -1.0, -1.0, turned)


def weighed(rows: Floats, spurious: float, missed: float, turned: float) -> StepWeights:
    """The same weight for every number heard, but for what it says."""
    heard = len(rows)
    return StepWeights(rows, np.full(heard, spurious), np.full(heard + 1, missed), np.full(heard, turned))


def best(said: Sequence[int], weights: StepWeights) -> float:
    """The weight of the best alignment of all that was said with all that was heard."""
    return float(align(np.array([said]), weights, np.maximum)[-1, 0, -1])


@given(numbers, numbers)
def test_at_unit_costs_it_is_the_edit_distance_of_rapidfuzz(said: list[int], heard: list[int]) -> None:
    assert -best(said, unit_costs(heard, -inf)) == Levenshtein.distance(said, heard)


@given(numbers, numbers)
def test_with_neighbours_turned_it_is_the_restricted_damerau_distance_of_rapidfuzz(
    said: list[int], heard: list[int]
) -> None:
    assert -best(said, unit_costs(heard, -1.0)) == OSA.distance(said, heard)


@given(numbers, numbers, st.integers(-5, -1), st.integers(-5, -1))
def test_it_scores_as_biopythons_global_alignment(said: list[int], heard: list[int], wrong: int, gap: int) -> None:
    aligner = PairwiseAligner(mode="global", match_score=2, mismatch_score=wrong, gap_score=gap)
    table = np.array([[2.0 if number == other else wrong for other in range(SHAFTS)] for number in heard])
    weights = weighed(table, gap, gap, -inf)
    assert best(said, weights) == aligner.score(*("".join("abcde"[n] for n in row) for row in (said, heard)))


@given(numbers, numbers)
def test_rows_side_by_side_do_not_disturb_each_other(said: list[int], heard: list[int]) -> None:
    weights = unit_costs(heard, -1.0)
    both = align(np.array([said, said[::-1]]), weights, np.maximum)[-1, :, -1]
    assert list(both) == [best(said, weights), best(said[::-1], weights)]


def every_alignment(said: Sequence[int], heard: Sequence[int], chance: "Chances") -> Iterator[float]:
    """The probability of each alignment, every one written out."""
    if not said and not heard:
        yield 1.0
    if said:
        yield from (chance.missed * rest for rest in every_alignment(said[1:], heard, chance))
    if heard:
        yield from (chance.spurious * rest for rest in every_alignment(said, heard[1:], chance))
    if said and heard:
        now = chance.heard[heard[0]][said[0]]
        yield from (now * rest for rest in every_alignment(said[1:], heard[1:], chance))
    if len(said) > 1 and len(heard) > 1:
        now = chance.turned * chance.heard[heard[0]][said[1]] * chance.heard[heard[1]][said[0]]
        yield from (now * rest for rest in every_alignment(said[2:], heard[2:], chance))


class Chances:
    """Any probabilities."""

    def __init__(self, heard: list[list[float]], missed: float, spurious: float, turned: float):
        self.heard, self.missed, self.spurious, self.turned = heard, missed, spurious, turned

    def weights(self, heard: Sequence[int]) -> StepWeights:
        rows = np.log([self.heard[number] for number in heard])
        return weighed(rows, log(self.spurious), log(self.missed), log(self.turned))


tables = st.lists(st.lists(chances, min_size=SHAFTS, max_size=SHAFTS), min_size=SHAFTS, max_size=SHAFTS)
any_chances = st.builds(Chances, tables, chances, chances, chances)


@given(few, few, any_chances)
def test_the_forward_sum_is_that_over_every_alignment(said: list[int], heard: list[int], chance: Chances) -> None:
    table = align(np.array([said]), chance.weights(heard), np.logaddexp)
    for stop in range(len(said) + 1):
        assert np.exp(table[-1, 0, stop]) == pytest.approx(sum(every_alignment(said[:stop], heard, chance)))


@given(few, few, any_chances)
def test_the_best_alignment_is_the_best_of_all(said: list[int], heard: list[int], chance: Chances) -> None:
    assert np.exp(best(said, chance.weights(heard))) == pytest.approx(max(every_alignment(said, heard, chance)))


@given(numbers, numbers)
def test_the_pairs_of_the_best_alignment_are_in_order_and_cost_what_it_costs(said: list[int], heard: list[int]) -> None:
    weights = unit_costs(heard, -inf)
    reached, pairs = best_pairs(np.array(said), weights)
    assert sorted(pairs, reverse=True) == pairs
    right = sum(said[i] == heard[j] for i, j in pairs)
    cost = len(pairs) - right + (len(heard) - len(pairs)) + (reached - len(pairs))
    assert -cost == max(align(np.array([said]), weights, np.maximum)[-1, 0])
