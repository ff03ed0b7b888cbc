"""Two mistakes in one group, where no single one fits."""

import random

import pytest
from mistaken import Case, called, search

from assistant.finder import Mistake, MistakeKind, Observation, Outcome, Search, two_mistakes
from assistant.finder.hypotheses import possible, sample
from assistant.finder.mistakes import left_by
from assistant.warp.notation import parse

GROUP = called((parse("3 1 4 2 6 5 3 5 1 6 2 4 6 1 5 2 3 4 1 2"), 6), 4)


def both(first: Mistake, second: Mistake) -> Case:
    left = left_by(GROUP.expected, first, second)
    return Case(GROUP, first, left, Observation(left.over))


def test_two_skipped_ends_are_found_after_no_single_mistake_fits() -> None:
    case = both(Mistake(MistakeKind.SKIPPED, 5), Mistake(MistakeKind.SKIPPED, 14))
    alone = search(case, random.Random(1), 0.05)
    assert alone.verdict.outcome is Outcome.NO_SINGLE
    pairs = two_mistakes(GROUP, case.observation, alone.search.answers, 0.05)
    told = search(case, random.Random(1), 0.0, alone.search.among(pairs))
    assert told.found(case)
    assert told.verdict.hypothesis is not None
    assert {each.kind for each in told.verdict.hypothesis.mistakes} == {MistakeKind.SKIPPED}
    assert told.verdict.hypothesis.end == 5  # all after it is redone, wherever the second lies


def test_a_skipped_and_a_doubled_end_that_cancel_out_are_redone_between() -> None:
    case = both(Mistake(MistakeKind.SKIPPED, 5), Mistake(MistakeKind.DOUBLED, 9))
    begun = Search.over(two_mistakes(GROUP, case.observation, (), 0.0), 0.0)
    told = search(case, random.Random(1), 0.0, begun)
    assert told.found(case)
    assert (case.repair.first, case.left.over) == (5, 0)


def test_pairs_stand_for_all_pairs_while_single_mistakes_are_searched() -> None:
    observation = Observation(2)
    every = possible(GROUP, observation)
    some, all_of_them = sample(GROUP, observation, every), two_mistakes(GROUP, observation, (), 0.0)
    assert {each.loom for each in some} <= {each.loom for each in all_of_them}
    assert sum(each.weight for each in some) == pytest.approx(sum(each.weight for each in all_of_them))


def test_pairs_that_the_answers_exclude_are_left_out() -> None:
    case = both(Mistake(MistakeKind.SKIPPED, 5), Mistake(MistakeKind.SKIPPED, 14))
    every = two_mistakes(GROUP, case.observation, (), 0.0)
    question = Search.over(every, 0.0).question()
    assert question is not None
    fewer = two_mistakes(GROUP, case.observation, [(question, case.answer(question))], 0.0)
    assert 0 < len(fewer) < len(every)
    assert case.left.loom in {each.loom for each in fewer}


def test_nothing_fits_a_closing_that_no_two_mistakes_explain() -> None:
    pairs = two_mistakes(GROUP, Observation(0, {1: 9, 2: -9, 3: 9}), (), 0.05)
    verdict = Search.over(pairs, 0.05).verdict()
    assert pairs == ()
    assert verdict is not None
    assert verdict.outcome is Outcome.NO_SINGLE
