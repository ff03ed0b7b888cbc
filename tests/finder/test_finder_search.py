"""Searches with a weaver who answers: always to the mistake, in few questions."""

import random

import pytest
from mistaken import Case, Told, called, cases, closed, search

from assistant.finder import (
    NO_END,
    YES,
    Ask,
    GroupToSearch,
    Landmark,
    LeftBehind,
    Mistake,
    MistakeKind,
    Observation,
    Outcome,
    Question,
    Search,
    Side,
    Way,
    answered,
)
from assistant.finder.questions import ASKING
from assistant.finder.search import ENOUGH
from assistant.warp.notation import parse

STRIPE = called((parse("6(1 2 3 4)").shafts, 4), 4)
SCATTERED = called((parse("3 1 4 2 6 5 3 5 1 6 2 4 6 1 5 2 3 4 1 2").shafts, 6), 4)


def many(runs: int, error: float, seed: int = 7) -> tuple[list[tuple[Case, Told]], float]:
    """Searches for mistakes made as often as supposed, and the mean bits at their beginning."""
    rng = random.Random(seed)
    told, bits = [], 0.0
    for case in cases(random.Random(seed), runs):
        begun = Search.of(case.group, case.observation, error)
        bits += begun.bits / runs
        told.append((case, search(case, rng, error, begun)))
    return told, bits


def test_with_right_answers_every_mistake_is_found_in_few_questions() -> None:
    told, bits = many(150, error=0.0)
    assert all(each.found(case) for case, each in told)
    assert sum(each.questions for _, each in told) / len(told) <= 1.25 * bits + 0.5


def test_with_one_answer_in_twenty_wrong_nearly_every_mistake_is_found_and_hardly_ever_another() -> None:
    told, _ = many(200, error=0.05)
    others = [case for case, each in told if each.verdict.outcome is Outcome.FOUND and not each.found(case)]
    assert sum(each.found(case) for case, each in told) >= 0.97 * len(told)
    assert len(others) <= 0.01 * len(told)


@pytest.mark.parametrize("at", [0, 1, 7, 14, 20, 21])
def test_what_no_count_bears_out_is_told_to_be_right_twice(at: int) -> None:
    """Three ends rotated, which is no mistake of the list."""
    expected = STRIPE.expected
    loom = (*expected[:at], expected[at + 2], *expected[at : at + 2], *expected[at + 3 :])
    hangs = LeftBehind(loom, 0, frozenset(), frozenset())
    searching = Search.of(STRIPE, Observation(0))
    while (question := searching.question()) is not None:
        searching = searching.answer(question, answered(question, hangs, expected))
    verdict = searching.verdict()
    assert verdict is not None
    assert verdict.hypothesis is not None
    repair = verdict.hypothesis.repair
    assert at + 1 >= repair.first
    assert repair.first + repair.taken_out > at + 3
    stays = {Side.FIRST: repair.first - 1, Side.LAST: len(loom) - repair.first + 1 - repair.taken_out}
    for side, ends in stays.items():
        told = [q for q, answer in searching.answers if (q.ask, q.side, answer) == (Ask.RIGHT_UP_TO, side, YES)]
        assert not ends or sum(q.end >= ends for q in told) >= 2


OF_HEDDLES = {  # where several ends are in one
    *(MistakeKind.ONE_FEWER, MistakeKind.ONE_MORE, MistakeKind.PARTED, MistakeKind.JOINED, MistakeKind.FLOATING),
}
SHOWN = sorted(set(MistakeKind) - {MistakeKind.UNSEEN} - OF_HEDDLES)  # the first of these only a look finds


@pytest.mark.parametrize("kind", SHOWN)
def test_every_kind_of_mistake_is_found(kind: MistakeKind) -> None:
    rng = random.Random(3)
    shown = kind is not MistakeKind.SWAPPED  # which no closing shows
    assert all(search(case, rng, 0.0).found(case) for case in cases(random.Random(5), 20, kind, noticed=shown))


def test_a_mistake_that_a_periodic_threading_hides_needs_no_question() -> None:
    """A call of a whole repeat missed: every end on the loom is right, four are still to be threaded."""
    case = closed(STRIPE, Mistake(MistakeKind.CALL_MISSED, 9, 4), random.Random(1), counted_out=False)
    hypotheses = {each.repair for each in Search.of(STRIPE, case.observation, 0.0).table.hypotheses}
    assert {each.way for each in hypotheses} == {Way.NOTHING, Way.THREAD_ON}
    told = search(case, random.Random(1), 0.0)
    assert told.questions == 1
    assert told.verdict.hypothesis is not None
    assert told.verdict.hypothesis.repair.first == 21


def test_what_came_out_names_the_end_and_both_shafts() -> None:
    case = closed(SCATTERED, Mistake(MistakeKind.SKIPPED, 14), random.Random(1), counted_out=False)
    found = search(case, random.Random(1), 0.0).verdict.hypothesis
    assert found is not None
    assert found.mistake is not None
    assert found.mistake.kind is MistakeKind.SKIPPED
    assert found.end == 14
    assert (SCATTERED.expected[found.end - 1], found.shafts(found.end)) == ((1,), (5,))


def test_two_ends_in_a_heddle_and_a_step_doubled_are_one_where_no_heddles_are_counted() -> None:
    plain = Search.of(SCATTERED, Observation(-1), 0.0).table.hypotheses
    with_heddles = Search.of(SCATTERED, Observation(-1, {}), 0.0).table.hypotheses
    assert len({each.loom for each in plain}) == len(plain) < len(with_heddles)
    assert {each.repair for each in plain} == {each.repair for each in with_heddles}


def test_heddles_are_asked_about_only_where_they_were_counted_out_and_not_yet_looked_at() -> None:
    for heddles, may_ask in ((None, set()), ({}, {1, 2, 3, 4, 5, 6}), ({1: 0, 2: 0}, {3, 4, 5, 6})):
        assert Search.of(SCATTERED, Observation(1, heddles)).countable == may_ask


def test_an_end_skipped_on_a_shaft_with_a_heddle_left_lies_on_that_shaft() -> None:
    looked = {shaft: int(shaft == 5) for shaft in range(1, 7)}
    found = Search.of(SCATTERED, Observation(1, looked), 0.0).table.hypotheses
    assert {each.mistake.at for each in found if each.mistake} == {6, 8, 15}


def test_a_wrong_shaft_is_found_by_counting_the_ends_on_it() -> None:
    group = called((parse("32(1 2 3)").shafts, 8), 4)
    case = Case(
        group,
        mistake := Mistake(MistakeKind.WRONG_SHAFT, 50, found=(7,)),
        closed(group, mistake, random.Random(1), counted_out=True).left,
        Observation(0, {2: 1, 7: -1}),
    )
    told = search(case, random.Random(1), 0.0)
    assert told.found(case)
    assert Ask.COUNT in {question.ask for question, _ in told.search.answers}
    assert told.questions <= 7  # of 32 ends on shaft 2


def test_not_sure_leads_to_another_question_and_changes_nothing_else() -> None:
    begun = Search.of(SCATTERED, Observation(1))
    question = begun.question()
    assert question is not None
    after = begun.answer(question, None)
    assert after.question() != question
    assert (after.bits, after.answers) == (begun.bits, ())


def test_where_the_weaver_is_sure_of_nothing_the_search_ends_undecided() -> None:
    at = Search.of(called((parse("2 1 3 1").shafts, 3), 4), Observation(1))
    while question := at.question():
        at = at.answer(question, None)
    verdict = at.verdict()
    assert verdict is not None
    assert verdict.outcome is Outcome.UNDECIDED


def test_an_answer_leaves_the_search_before_it_as_it_was() -> None:
    begun = Search.of(SCATTERED, Observation(1))
    question, bits = begun.question(), begun.bits
    assert question is not None
    after = begun.answer(question, SCATTERED.expected[0])
    assert (begun.question(), begun.bits, begun.answers) == (question, bits, ())
    assert len(after.answers) == 1


def test_answers_that_no_single_mistake_explains_end_the_search() -> None:
    at = Search.of(SCATTERED, Observation(1), 0.0)
    question = at.question()
    assert question is not None
    verdict = at.answer(question, (6, 5)).verdict()
    assert verdict is not None
    assert verdict.outcome is Outcome.NO_SINGLE


def test_a_count_that_no_single_mistake_explains_needs_no_question() -> None:
    verdict = Search.of(SCATTERED, Observation(1, {1: 1, 2: 1}), 0.0).verdict()
    assert verdict is not None
    assert verdict.outcome is Outcome.NO_SINGLE


def test_a_weaver_who_answers_at_random_is_not_asked_for_ever() -> None:
    rng = random.Random(2)
    for _ in range(5):
        at = Search.of(SCATTERED, Observation(1))
        while question := at.question():
            at = at.answer(question, rng.choice([NO_END, *SCATTERED.expected]))
        assert len(at.answers) <= ENOUGH


def test_two_ends_over_are_not_put_down_to_the_bundle_unasked() -> None:
    """Two ends skipped are likelier than a bundle two too large, which is the only single mistake."""
    begun = Search.of(SCATTERED, Observation(2))
    assert begun.verdict() is None
    assert begun.bits > 0.5


def test_counting_goes_on_from_the_end_looked_at_last_where_that_is_nearer() -> None:
    here = Landmark(first=30, last=11)
    for end, side, further, ends in (
        (34, Side.FIRST, 4, 4),
        (25, Side.FIRST, -5, 5),
        (3, Side.FIRST, None, 3),
        (15, Side.FIRST, None, 15),
        (13, Side.LAST, 2, 2),
        (4, Side.LAST, None, 4),
    ):
        question = Question(Ask.SHAFTS, end, side)
        assert (here.further(question), here.counted(question)) == (further, ends)
        assert here.effort(question) == ASKING + ends


def test_the_landmark_is_known_from_both_sides_once_the_number_of_ends_on_the_loom_is() -> None:
    only_skips = Search.of(SCATTERED, Observation(1, dict.fromkeys(range(2, 7), 0) | {1: 1}), 0.0)
    after = only_skips.answer(Question(Ask.SHAFTS, 5), (6,))
    assert after.landmark == Landmark(first=5, last=15)
    either = Search.of(SCATTERED, Observation(1), 0.0)
    assert either.answer(Question(Ask.SHAFTS, 5), (6,)).landmark == Landmark(first=5)


def test_a_group_of_one_end_can_be_searched() -> None:
    one = GroupToSearch(((1,),), (0,), 2)
    for observation in (Observation(1), Observation(-1), Observation(0, {1: 1, 2: -1}), Observation(1, {1: 1})):
        for loom in ((), ((1,),), ((2,),)):
            at = Search.of(one, observation)
            while question := at.question():
                at = at.answer(question, loom[0] if loom and question.ask is Ask.SHAFTS else NO_END)
            assert at.verdict() is not None
