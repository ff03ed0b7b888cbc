"""The confusion tables."""

import pytest

from assistant.readback.hearing import Hearing, english, measured


@pytest.mark.parametrize("most", [1, 2, 4, 12, 24, 64])
def test_a_number_is_mostly_heard_right_and_else_mostly_as_one_that_sounds_alike(most: int) -> None:
    hearing = english(most)
    for said, row in enumerate(hearing.confusion, 1):
        assert sum(row) == pytest.approx(1)
        assert row[said - 1] == pytest.approx(1 if most == 1 else 0.97)
    if most >= 12:
        nine = hearing.confusion[8]
        assert nine[4] > 5 * nine[1]


def test_trials_outweigh_the_assumption_where_there_are_many() -> None:
    hearing = measured(9, {(5, 5): 160, (5, 9): 40, (1, 1): 3})
    assert hearing.confusion[4][8] == pytest.approx(0.18, abs=0.02)
    assert hearing.confusion[0][0] == pytest.approx(0.97, abs=0.01)
    assert hearing.confusion[1] == pytest.approx(english(9).confusion[1])


@pytest.mark.parametrize("rows", [((1.0, 0.0), (0.5, 0.5)), ((0.6, 0.6), (0.5, 0.5)), ((1.0,), (1.0,))])
def test_a_table_that_is_none_is_refused(rows: tuple[tuple[float, ...], ...]) -> None:
    with pytest.raises(ValueError, match="confusion table"):
        Hearing(rows)
