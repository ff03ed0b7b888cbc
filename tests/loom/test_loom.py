"""The loom hangs as hands leave it, and shows what is there to be seen."""

import random

import pytest
from harness import Due, Loom
from hypothesis import given
from hypothesis import strategies as st
from mending import Group, any_group, example_groups, mend
from slips import SLIPS, Step, Work, slipped

DRAFT = tuple(Due((shaft,), "white") for shaft in (1, 2, 3, 4, 3, 2, 1, 4, 2, 3))
EXAMPLES = example_groups()


def work() -> Work:
    return Work.of(DRAFT, (0, 4, 8), 4)


def on(loom: Loom) -> list[int]:
    return [sum(hung.shafts) for hung in loom.hanging]


@given(st.integers(0, 10_000))
def test_without_a_mistake_it_hangs_as_the_draft_says(seed: int) -> None:
    group = any_group(random.Random(seed), EXAMPLES)
    loom, over = Work.of(group.draft, group.calls, group.shafts).done()
    assert loom.right
    assert not over
    assert all(loom.right_up_to(len(group.draft), from_left) for from_left in (False, True))
    assert not any(loom.heddles_left(shaft) for shaft in range(1, group.shafts + 1))


def test_an_end_skipped_leaves_the_last_of_the_bundle_in_the_hand() -> None:
    made = work()
    del made.steps[2]
    loom, over = made.done()
    assert (on(loom), over) == ([1, 2, 4, 3, 2, 1, 4, 2, 3], 1)
    assert [end.behind for end in loom.in_hand] == [10]
    assert (loom.right_up_to(2), loom.right_up_to(3), loom.right_up_to(7, from_left=True)) == (True, False, True)
    assert loom.heddles_left(3) == 1


def test_threading_anew_from_the_gap_sets_it_right_and_the_end_left_over_at_the_gap_does_not() -> None:
    for taken_out, ends in ((7, range(3, 11)), (0, (3,))):
        made = work()
        del made.steps[2]
        loom, _ = made.done()
        loom.take_out(3, taken_out)
        loom.thread(3, ends)
        assert loom.right
        assert (loom.in_hand == []) == (taken_out == 7)  # else a new end was hung, and the last is still over


def test_two_ends_in_one_eye_look_alike_and_are_not_right() -> None:
    made = work()
    made.steps[3:3] = [Step((3,), shared=True)]
    loom, over = made.done()
    assert (on(loom)[:5], over) == ([1, 2, 3, 3, 4], -1)
    assert (loom.right_up_to(3), loom.right_up_to(4)) == (True, False)


def test_an_end_in_no_eye_hangs_and_is_on_no_shaft() -> None:
    made = work()
    made.steps[2] = Step((3,), no_eye=True)
    loom, over = made.done()
    assert (loom.shafts(3), loom.shafts(11), over) == ((), None, 0)
    assert not loom.right


def test_ends_crossed_behind_the_heddles_are_on_their_shafts_and_not_right() -> None:
    made = work()
    made.ends[4:6] = made.ends[5:3:-1]
    loom, over = made.done()
    assert (on(loom), over, loom.right) == ([sum(due.shafts) for due in DRAFT], 0, False)
    loom.take_out(5, 2)
    loom.thread(5, (5, 6))
    assert loom.right


def test_what_lies_wrong_is_told_apart_from_a_wrong_shaft() -> None:
    made = work()
    made.steps[8] = Step((4,))
    made.ends[4:6] = made.ends[5:3:-1]
    loom, _ = made.done()
    numbered = range(1, 11)
    assert [at for at, lies in zip(numbered, loom.lying_wrong(), strict=True) if lies] == [5, 6]
    assert [at for at, lies in zip(numbered, loom.lying_wrong(from_left=True), strict=True) if lies] == [5, 6]
    assert [at for at, wrong in zip(numbered, loom.wrong(), strict=True) if wrong] == [5, 6, 9]


def test_a_wrong_colour_is_set_right_only_by_another_end() -> None:
    made = work()
    assert SLIPS["wrong colour"](made, random.Random(1))
    loom, _ = made.done()
    assert not loom.right
    loom.take_out(1, 10)
    loom.thread(1, range(1, 11))
    assert loom.right


def test_a_heddle_passed_over_is_missed_at_the_end_and_changes_nothing_that_hangs() -> None:
    made = work()
    made.steps[4] = Step((3,), passing=1)
    loom, over = made.done()
    assert (loom.right, over, loom.heddles_left(3)) == (True, 0, -1)


@pytest.mark.parametrize("kind", SLIPS)
@given(seed=st.integers(0, 10_000))
def test_after_any_mistake_threading_anew_from_the_first_wrong_end_sets_it_right(kind: str, seed: int) -> None:
    rng = random.Random(seed)
    group = any_group(rng, EXAMPLES)
    made = Work.of(group.draft, group.calls, group.shafts)
    list(slipped(made, rng, [kind]))
    loom, _ = made.done()
    first = next((at for at, wrong in enumerate(loom.wrong(), 1) if wrong), len(loom.hanging) + 1)
    assert loom.right_up_to(first - 1)
    assert not loom.right_up_to(first)
    loom.take_out(first, len(loom.hanging))
    loom.thread(first, range(first, len(group.draft) + 1))
    assert loom.right


@pytest.mark.parametrize("kind", ["skipped", "doubled", "two in one", "bundle miscounted", "call skipped"])
def test_a_mistake_that_a_count_shows_is_found_and_set_right(kind: str) -> None:
    rng = random.Random(3)
    group = Group.called(DRAFT, 4, 4)
    mended = [one for _ in range(20) if (one := mend(group, [kind], rng))]
    assert mended
    assert all(one.right and one.called_right for one in mended)
