"""What each mistake leaves on the loom, in hand, and among the heddles."""

import random
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st
from mistaken import any_group, called, examples

from assistant.finder import GroupToSearch, Mistake, MistakeKind
from assistant.finder.mistakes import LeftBehind, edit, left_by, mistakes, unseen
from assistant.warp.notation import Ends, parse

ROSE = parse("1 2 3 4 3 2 5 6").shafts


def left(mistake: Mistake, over: int, loom: str, heddles: dict[int, int], expected: Ends = ROSE) -> None:
    found = left_by(expected, mistake)
    assert (found.over, found.loom, dict(found.heddles)) == (over, parse(loom).shafts, heddles)


def test_an_end_skipped_is_over_with_its_heddle() -> None:
    left(Mistake(MistakeKind.SKIPPED, 3), 1, "1 2 4 3 2 5 6", {3: 1})


def test_a_step_threaded_twice_leaves_the_last_end_short_and_takes_a_heddle_too_many() -> None:
    left(Mistake(MistakeKind.DOUBLED, 3), -1, "1 2 3 3 4 3 2 5", {3: -1, 6: 1})


def test_two_ends_in_one_heddle_look_the_same_but_take_no_heddle_too_many() -> None:
    left(Mistake(MistakeKind.TWO_IN_ONE, 3), -1, "1 2 3 3 4 3 2 5", {6: 1})


def test_an_end_on_a_wrong_shaft_shifts_nothing() -> None:
    left(Mistake(MistakeKind.WRONG_SHAFT, 3, found=(6,)), 0, "1 2 6 4 3 2 5 6", {3: 1, 6: -1})


def test_an_end_on_two_shafts_may_miss_one() -> None:
    left(Mistake(MistakeKind.WRONG_SHAFT, 2, found=(2,)), 0, "1/5 2 1/5", {6: 1}, parse("1/5 2/6 1/5").shafts)


def test_no_count_shows_two_neighbours_swapped() -> None:
    left(Mistake(MistakeKind.SWAPPED, 3), 0, "1 2 4 3 3 2 5 6", {})


def test_a_call_missed_is_over_with_all_its_heddles() -> None:
    left(Mistake(MistakeKind.CALL_MISSED, 4, 3), 3, "1 2 3 5 6", {2: 1, 3: 1, 4: 1})


def test_a_call_doubled_leaves_as_many_ends_short() -> None:
    left(Mistake(MistakeKind.CALL_DOUBLED, 4, 3), -3, "1 2 3 4 3 2 4 3", {4: -1, 3: -1, 5: 1, 6: 1})


def test_a_last_call_doubled_finds_no_ends_left_for_it() -> None:
    left(Mistake(MistakeKind.CALL_DOUBLED, 7, 2), -2, "1 2 3 4 3 2 5 6", {})


def test_a_bundle_wound_wrong_is_threaded_right_as_far_as_it_goes() -> None:
    left(Mistake(MistakeKind.BUNDLE, ends=2), 2, "1 2 3 4 3 2 5 6", {})
    left(Mistake(MistakeKind.BUNDLE, ends=-2), -2, "1 2 3 4 3 2", {5: 1, 6: 1})


def test_heddles_counted_out_wrong_show_on_one_shaft_only() -> None:
    left(Mistake(MistakeKind.HEDDLES, ends=-2, shaft=3), 0, "1 2 3 4 3 2 5 6", {3: -2})


def test_two_mistakes_at_once() -> None:
    both = left_by(ROSE, Mistake(MistakeKind.SKIPPED, 1), Mistake(MistakeKind.WRONG_SHAFT, 4, found=(1,)))
    assert (both.loom, both.over) == (parse("2 3 1 3 2 5 6").shafts, 1)


def counted(group: GroupToSearch, made: Mistake, found: LeftBehind) -> dict[int, int]:
    """Heddles counted out less heddles holding an end, shaft by shaft."""
    heddles = Counter(shaft for end in group.expected for shaft in end)
    heddles.subtract(shaft for end in found.loom for shaft in end)
    if made.kind is MistakeKind.HEDDLES:
        heddles[made.shaft] += made.ends
    if made.kind is MistakeKind.TWO_IN_ONE:
        heddles.update(group.expected[made.at - 1])
    return {shaft: count for shaft, count in heddles.items() if count}


@given(st.integers(0, 10_000))
def test_no_end_and_no_heddle_is_lost_whatever_the_mistake(seed: int) -> None:
    rng = random.Random(seed)
    group = any_group(rng, examples())
    made, rate = rng.choice(list(mistakes(group)))
    found = left_by(group.expected, made)
    bundle = len(group.expected) + (made.ends if made.kind is MistakeKind.BUNDLE else 0)
    assert 0 < rate < 0.05
    assert len(found.loom) == bundle - max(found.over, 0)
    assert dict(found.heddles) == counted(group, made, found)


@given(st.integers(0, 10_000))
def test_the_ends_over_of_two_mistakes_add_up(seed: int) -> None:
    rng = random.Random(seed)
    group = any_group(rng, examples())
    one, other = (made for made, _ in rng.sample(list(mistakes(group)), 2))
    if edit(other, group.expected).start < edit(one, group.expected).stop:
        one, other = other, one
    if edit(other, group.expected).start < edit(one, group.expected).stop:
        return  # they concern the same ends
    both = left_by(group.expected, one, other)
    assert both.over == left_by(group.expected, one).over + left_by(group.expected, other).over


def test_every_kind_of_mistake_is_thought_of() -> None:
    group = called((parse("1 2 3 1 2 3 1 2").shafts, 3), 4)
    pairs = GroupToSearch(((1, 1), (2,), (1,), (2, 2)), (0,), 3, in_heddles=True, floating=(1, 1))
    made = [*(mistake for mistake, _ in mistakes(group)), *unseen(group)]
    of_pairs = [mistake for mistake, _ in mistakes(pairs)]
    assert {mistake.kind for mistake in (*made, *of_pairs)} == set(MistakeKind)
    assert len(set(made)) == len(made)
    assert len(set(of_pairs)) == len(of_pairs)


@pytest.mark.parametrize(("off", "thought_of"), [(0, 4), (9, 9)])
def test_a_bundle_is_thought_as_wrong_as_it_was_seen_to_be(off: int, thought_of: int) -> None:
    group = called((parse("6(1 2)").shafts, 2), 4)
    assert max(mistake.ends for mistake, _ in mistakes(group, off) if mistake.kind is MistakeKind.BUNDLE) == thought_of
