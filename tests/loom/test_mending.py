"""Mistakes of every kind, also those that the finder does not know, come out right on the loom."""

import random
from collections.abc import Sequence
from dataclasses import replace

import mending
import pytest
from harness import Due
from mending import Group, Mended, any_group, example_groups, invented, kinds_of, mend, with_pairs
from slips import SLIPS, Work, slips

from assistant.finder import NO, YES, Ask, Look, Outcome, Question, Search, Side, Way
from assistant.finder.search import ENOUGH, OUTVOTED

EXAMPLES = [(draft, shafts) for draft, shafts in example_groups() if len(draft) <= 24]


def mended(kinds: Sequence[str], seed: int, wrong_answers: float = 0.0) -> Mended | None:
    """Such mistakes in a small group."""
    rng = random.Random(seed)
    draft, shafts = invented(rng) if seed % 2 else rng.choice(EXAMPLES)
    return mend(Group.called(draft[:24], shafts, 4), kinds, rng, wrong_answers)


@pytest.mark.parametrize("kind", SLIPS)
def test_a_mistake_of_any_kind_is_set_right_by_true_answers(kind: str) -> None:
    told = [one for seed in range(6) if (one := mended([kind], seed))]
    assert told
    assert all(one.right and one.found for one in told), told
    assert not any(one.again for one in told)


@pytest.mark.parametrize("kind", [kind for kind in slips(in_heddles=True) if kind not in SLIPS])
def test_a_mistake_of_heddles_with_several_ends_or_of_floating_ends_is_set_right(kind: str) -> None:
    told = []
    for seed in range(5):
        rng = random.Random(seed)
        if one := mend(with_pairs(rng), [kind], rng):
            told.append(one)
    assert len(told) >= 2
    assert all(one.right and one.found for one in told), told


def test_several_mistakes_come_out_one_after_the_other() -> None:
    told = [one for seed in range(40) if (one := mended(kinds_of(random.Random(seed), 2 + seed % 2), seed))]
    assert not any(one.called_right and not one.right for one in told)
    assert sum(one.right and one.found for one in told) >= 0.97 * len(told)


def test_some_wrong_answers_hardly_ever_lead_to_what_is_not_right() -> None:
    told = [one for seed in range(60) if (one := mended(kinds_of(random.Random(seed), 1), seed, 0.05))]
    assert sum(one.right and one.found for one in told) >= 0.93 * len(told)


STRAIGHT = Group.called([Due((1 + at % 6,), "white") for at in range(60)], 6, 4)


def alone(kind: str, seed: int) -> Mended:
    """Such a mistake in a straight threading of 60 ends."""
    told = mend(STRAIGHT, [kind], random.Random(seed))
    assert told
    return told


@pytest.mark.parametrize("kind", ["crossed", "wrong colour"])
def test_what_no_shaft_shows_is_found_in_few_questions_and_mended_by_few_ends(kind: str) -> None:
    told = [alone(kind, seed) for seed in range(20)]
    assert all(one.right and one.most <= ENOUGH and one.out <= 2 for one in told), told


@pytest.mark.parametrize("kind", ["doubled", "two in one"])
def test_an_end_too_many_is_laid_aside_where_much_would_come_out(kind: str) -> None:
    told = [alone(kind, seed) for seed in range(20)]
    assert all(one.right for one in told)
    assert {one.ways[0] for one in told if one.anew > 20} == {Way.LAY_ASIDE}


def test_what_is_wrong_beyond_an_end_too_many_has_all_threaded_anew() -> None:
    """The one look that would spare it says that it is not right."""
    both = [mend(STRAIGHT, ["doubled", "swapped"], random.Random(seed)) for seed in range(20)]
    assert all(one and one.right for one in both), both


def test_an_end_that_hangs_after_the_last_is_not_passed_over() -> None:
    """One end too many in the bundle, and the last step threaded twice, twice: one is short, all ten are right."""
    work = Work.of([Due((shaft,), "white") for shaft in (1, 3, 1, 3, 1, 2, 4, 2, 4, 2)], (0, 5), 4)
    work.ends.append(replace(work.ends[-1], behind=11.0))
    work.steps += work.steps[-1:] * 2
    loom, over = work.done()
    told = Mended(())
    look = Look.begin([due.shafts for due in work.draft], work.calls, 4, over, None)
    assert over == -1
    choice = mending.search(look, loom, told, random.Random(1), 0.0)
    assert choice
    assert choice.repair.way is not Way.NOTHING


def begun() -> Look:
    """A group that comes out, where a mistake is looked for nevertheless."""
    group = any_group(random.Random(5), EXAMPLES)
    return Look.begin([due.shafts for due in group.draft], group.calls, group.shafts, 0, None)


def test_nothing_is_called_right_that_was_not_looked_at() -> None:
    look = begun()
    while (question := look.question) is not None:
        look = look.right_so_far(True) if question.ask is Ask.RIGHT_UP_TO else look.not_sure()
    verdict, ends = look.verdict, len(look.group.expected)
    assert verdict is not None
    assert verdict.outcome is Outcome.FOUND
    assert {(Question(Ask.RIGHT_UP_TO, ends, side), YES) for side in Side} <= set(look.answers)


def test_no_two_answers_are_overruled_to_call_it_right() -> None:
    search = begun().search
    assert isinstance(search, Search)
    ends = search.table.ends
    for end in (ends, ends - 1)[:OUTVOTED]:
        search = search.answer(Question(Ask.RIGHT_UP_TO, end), NO)
    assert not search.weights[search.table.right == ends].any()
