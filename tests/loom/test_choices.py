"""The choices to set a group right, against every set of ends that could be taken out, and on the physical loom."""

import random
from itertools import combinations

import numpy as np
import pytest
from harness import Due, Loom
from hypothesis import given
from hypothesis import strategies as st
from mending import do
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from slips import Work, slipped

from assistant.finder import Choice, Way, choices
from assistant.finder.choices import to_move
from assistant.warp.notation import Ends


def fewest(expected: Ends, loom: Ends) -> int:
    """The fewest ends out with which the rest can be threaded in the heddles that are there, by trying every set."""
    every = range(len(loom))
    for many in range(len(loom) + 1):
        if any(fits(expected, loom, set(out)) for out in combinations(every, many)):
            return many
    raise AssertionError


def fits(expected: Ends, loom: Ends, out: set[int]) -> bool:
    """Each end due takes the next heddle of its shaft; one that stayed has its own, which is not to be passed."""
    if any(loom[at] != expected[at] for at in range(len(loom)) if at not in out):
        return False
    own = {at: sum(end == loom[at] for end in loom[: at + 1]) for at in range(len(loom)) if at not in out}
    reached: dict[object, int] = {}
    for at, end in enumerate(expected):
        heddle = own.get(at, reached.get(end, 0) + 1)
        if heddle <= reached.get(end, 0):
            return False
        reached[end] = heddle
    return True


GROUPS = st.lists(st.integers(1, 3), min_size=1, max_size=8)


@given(GROUPS, st.data())
def test_no_fewer_ends_can_be_moved(shafts: list[int], data: st.DataObject) -> None:
    many = len(shafts) - data.draw(st.integers(0, min(2, len(shafts) - 1)))
    hang = data.draw(st.lists(st.integers(1, 3), min_size=many, max_size=many))
    expected, loom = tuple((shaft,) for shaft in shafts), tuple((shaft,) for shaft in hang)
    moved = to_move(expected, loom)
    assert fits(expected, loom, {at - 1 for at in moved})
    assert len(moved) == fewest(expected, loom)


@given(st.permutations(range(1, 9)))
def test_ends_in_each_others_heddles_are_moved_in_their_rings(order: list[int]) -> None:
    """Each end on a shaft of its own: those move that lie in a ring of more than one, as scipy finds them."""
    in_heddles = coo_array((np.ones(8), (range(8), [shaft - 1 for shaft in order])))
    _, ring = connected_components(in_heddles)
    moved = to_move(tuple((shaft,) for shaft in range(1, 9)), tuple((shaft,) for shaft in order))
    assert list(moved) == [at for at in range(1, 9) if np.count_nonzero(ring == ring[at - 1]) > 1]


KINDS = ["skipped", "doubled", "wrong shaft", "swapped", "rotated", "exchanged", "unit skipped", "call backwards"]
STRIPED = tuple(Due((1 + at % 5,), "white" if at % 9 < 5 else "blue") for at in range(40))
PLAIN = tuple(Due((shaft,), "white") for shaft in (1, 2, 3, 4, 3, 2) * 6)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("draft", [STRIPED, PLAIN], ids=["striped", "plain"])
def test_every_choice_but_leaving_it_hangs_as_the_draft_says(kind: str, draft: tuple[Due, ...]) -> None:
    ways = set()
    for seed in range(40):
        found = list(offered(kind, draft, seed))
        costs = [choice.cost for choice, _ in found]
        assert costs == sorted(costs)
        for choice, loom in found:
            do(loom, choice)
            assert loom.right, choice
            ways.add(choice.repair.way)
    assert Way.REDO in ways


def offered(kind: str, draft: tuple[Due, ...], seed: int) -> list[tuple[Choice, Loom]]:
    """Each choice but the last with a loom of its own to try it on."""

    def threaded() -> tuple[Loom, int]:
        work = Work.of(draft, tuple(range(0, len(draft), 4)), 5)
        list(slipped(work, random.Random(seed), [kind]))
        return work.done()

    loom, over = threaded()
    hang = tuple(hung.shafts for hung in loom.hanging)
    all_of_them = choices(tuple(due.shafts for due in draft), hang, over, [due.yarn for due in draft])
    assert all_of_them[-1].repair.way in (Way.LEAVE, Way.NOTHING)
    return [(choice, threaded()[0]) for choice in all_of_them if choice.repair.way not in (Way.LEAVE, Way.NOTHING)]


def test_an_end_skipped_early_is_hung_anew_only_before_ends_of_one_yarn() -> None:
    expected = tuple((shaft,) for shaft in (1, 2, 3, 4) * 10)
    loom = expected[:2] + expected[3:]
    assert choices(expected, loom, 1)[0].repair.way is Way.REPAIR_HEDDLE
    assert choices(expected, loom, 1, ["white"] * 20 + ["blue"] * 20)[0].repair.way is Way.REDO


def test_an_end_threaded_twice_is_laid_aside_and_the_last_hung_anew() -> None:
    expected = tuple((shaft,) for shaft in (1, 2, 3, 4) * 10)
    loom = (*expected[:3], *expected[2:-1])
    first = choices(expected, loom, -1)[0]
    assert (first.repair.way, first.repair.first, first.repair.taken_out) == (Way.LAY_ASIDE, 4, 1)


def test_only_ends_on_the_shaft_that_lacks_a_heddle_are_moved() -> None:
    expected = tuple((shaft,) for shaft in (1, 2, 3, 4) * 3)
    loom = (*expected[:1], (4,), *expected[2:])
    moving = next(one for one in choices(expected, loom, 0) if one.repair.way is Way.MOVE)
    assert moving.moved == (2, 6, 10)
