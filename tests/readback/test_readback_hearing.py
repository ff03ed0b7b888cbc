"""The confusion tables."""

import pytest

from assistant.readback.alignment import ReadThrough
from assistant.readback.hearing import ALIKE_UNLESS_TOLD, Hearing, assumed
from assistant.readback.threadings import weigh
from assistant.warp.notation import Ends
from assistant.words.language import load


@pytest.mark.parametrize("most", [1, 2, 4, 12, 24, 64])
def test_a_number_is_mostly_heard_right_and_else_mostly_as_one_that_sounds_alike(most: int) -> None:
    hearing = assumed(most)
    for said, row in enumerate(hearing.confusion, 1):
        assert sum(row) == pytest.approx(1)
        assert row[said - 1] == pytest.approx(1 if most == 1 else 0.97)
    if most >= 12:
        nine = hearing.confusion[8]
        assert nine[4] > 5 * nine[1]


@pytest.mark.parametrize("rows", [((1.0, 0.0), (0.5, 0.5)), ((0.6, 0.6), (0.5, 0.5)), ((1.0,), (1.0,))])
def test_a_table_that_is_none_is_refused(rows: tuple[tuple[float, ...], ...]) -> None:
    with pytest.raises(ValueError, match="confusion table"):
        Hearing(rows)


def believed(heard: tuple[int, ...], hearing: Hearing) -> float:
    """How far what was heard of 2 5 2 5 is taken for a mistake at its first end or its second."""
    expected: Ends = ((2,), (5,), (2,), (5,))
    beliefs = weigh(expected, 9, 4, 0, (ReadThrough(0, heard),), hearing)
    return beliefs.at(0) + beliefs.at(1)


def test_a_reading_in_german_is_weighed_by_what_sounds_alike_in_german() -> None:
    german, english = assumed(9, load("de").alike), assumed(9, load("en").alike)
    two_as_three, five_as_nine = (3, 5, 2, 5), (2, 9, 2, 5)
    assert believed(two_as_three, german) < believed(two_as_three, english) / 2
    assert believed(five_as_nine, english) < believed(five_as_nine, german) / 2


def test_a_record_that_does_not_say_what_sounds_alike_is_weighed_as_it_was() -> None:
    assert load("en").alike == tuple(sorted(ALIKE_UNLESS_TOLD))
    assert assumed(24) == assumed(24, load("en").alike)
