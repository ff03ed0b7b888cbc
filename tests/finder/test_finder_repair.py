"""What is done at the loom to set a group right."""

import random

from hypothesis import given
from hypothesis import strategies as st
from mistaken import any_group, examples

from assistant.finder import Repair, Way
from assistant.finder.mistakes import edit, left_by, mistakes
from assistant.finder.repair import MOST_TAKEN_OUT, repair
from assistant.warp.notation import Ends, parse

LONG = parse("5(1 2 3 4 5 6)").shafts


def done(loom: Ends, expected: Ends, todo: Repair) -> Ends:
    """The loom after the repair."""
    at = max(todo.first - 1, 0)
    return loom[:at] + expected[at : at + todo.threaded] + loom[at + todo.taken_out :]


@given(st.integers(0, 10_000))
def test_every_repair_leaves_the_group_as_it_should_be(seed: int) -> None:
    rng = random.Random(seed)
    group = any_group(rng, examples())
    for made, _ in rng.sample(list(mistakes(group)), 30):
        left = left_by(group.expected, made)
        todo = repair(group.expected, left.loom, left.over)
        assert done(left.loom, group.expected, todo) == group.expected, made
        assert (todo.way is Way.NOTHING) == (left.loom == group.expected)
        assert todo.taken_out <= MOST_TAKEN_OUT or todo.way is Way.REDO


@given(st.integers(0, 10_000))
def test_every_repair_of_two_mistakes_leaves_the_group_as_it_should_be(seed: int) -> None:
    rng = random.Random(seed)
    group = any_group(rng, examples())
    every = sorted((made for made, _ in mistakes(group)), key=lambda made: edit(made, group.expected).start)
    for _ in range(30):
        one, other = sorted(rng.sample(range(len(every)), 2))
        first, second = every[one], every[other]
        if edit(first, group.expected).stop <= edit(second, group.expected).start:
            left = left_by(group.expected, first, second)
            todo = repair(group.expected, left.loom, left.over)
            assert done(left.loom, group.expected, todo) == group.expected, (first, second)


def test_an_end_skipped_near_the_end_is_redone_from_there() -> None:
    assert repair(LONG, LONG[:25] + LONG[26:], 1) == Repair(Way.REDO, 26, 4, 5)


def test_an_end_skipped_far_back_gets_a_repair_heddle() -> None:
    assert repair(LONG, LONG[:2] + LONG[3:], 1) == Repair(Way.REPAIR_HEDDLE, 3, 0, 1, (3,))


def test_an_end_too_many_far_back_is_redone_from_there() -> None:
    assert repair(LONG, (LONG[:3] + LONG[2:])[:30], -1) == Repair(Way.REDO, 4, 27, 27)


def test_a_wrong_shaft_far_back_gets_a_repair_heddle() -> None:
    assert repair(LONG, (*LONG[:2], (5,), *LONG[3:]), 0) == Repair(Way.REPAIR_HEDDLE, 3, 1, 1, (3,))


def test_a_wrong_shaft_is_put_right_alone_where_no_later_end_is_on_its_shaft() -> None:
    expected = parse("1 2 3 1 2 1 2 1 2 1 2 1 2 1 2 1 2 1 2 1 2").shafts
    assert repair(expected, (*expected[:2], (1,), *expected[3:]), 0) == Repair(Way.REDO, 3, 1, 1)


def test_a_wrong_shaft_near_the_end_is_redone_up_to_the_last_end_on_its_shaft() -> None:
    expected = parse("1 2 1 2 1 2 3 3").shafts
    assert repair(expected, (*expected[:2], (3,), *expected[3:]), 0) == Repair(Way.REDO, 3, 3, 3)


def test_two_neighbours_swapped_are_exchanged() -> None:
    assert repair(LONG, (*LONG[:2], LONG[3], LONG[2], *LONG[4:]), 0) == Repair(Way.REDO, 3, 2, 2)


def test_a_bundle_too_small_needs_ends_added_and_none_taken_out() -> None:
    assert repair(LONG, LONG[:27], -3) == Repair(Way.THREAD_ON, 28, 0, 3)


def test_a_count_off_with_every_end_right_needs_nothing() -> None:
    assert repair(LONG, LONG, 2) == Repair(Way.NOTHING)
