"""What hangs on the loom is read back: every wrong shaft is found by keys; by voice as far as it is heard."""

import random

import pytest
from harness import Due
from mending import Group
from reading import by_keys, by_voice, read_back
from slips import SLIPS

DRAFT = tuple(Due((shaft,), "white") for shaft in (1, 2, 3, 4, 3, 2, 1, 4, 2, 3, 4, 4, 1, 2, 3, 1))
TWO_EACH = tuple(Due((shaft, shaft + 4), "white") for shaft in (1, 2, 3, 4, 3, 2, 1, 4, 2, 3))
GROUPS = (Group.called(DRAFT, 4, 4), Group.called(DRAFT, 12, 3), Group.called(TWO_EACH, 8, 4))


@pytest.mark.parametrize("kind", SLIPS)
def test_by_keys_the_first_end_that_hangs_otherwise_is_named(kind: str) -> None:
    rng = random.Random(kind)
    for group in GROUPS:
        for _ in range(2):
            told = read_back(group, [kind], rng, by_keys)
            assert not told.unclear
            assert told.named == told.first, told


def test_by_keys_nothing_that_is_right_is_asked_for_again() -> None:
    told = [read_back(group, (), random.Random(1), by_keys) for group in GROUPS]
    assert [(each.hangs_right, each.named, each.asked) for each in told] == [(True, 0, 0)] * len(GROUPS)


def test_by_voice_a_group_called_right_hangs_right_or_was_misheard() -> None:
    rng = random.Random(2)
    for kind in SLIPS:
        assert not read_back(GROUPS[0], [kind], rng, by_voice(0.0)).missed
