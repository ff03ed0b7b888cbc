"""What a weaver who reads a group aloud is told."""

from dataclasses import replace

import pytest
from read_aloud import read_aloud

from assistant.finder.mistakes import MistakeKind
from assistant.readback.hearing import TypedShaft, assumed
from assistant.readback.reading import AskAgain, Difference, Good, Judgement, Reading, Why
from assistant.warp.notation import parse

Heard = str | None  # the numbers of an utterance; None: no further end in the group


def group(thread: str, shafts: int = 12) -> Reading:
    """A group in notation, not yet read, on a loom of so many shafts."""
    return Reading(parse(thread).shafts, shafts, assumed(shafts))


def read(thread: str, *utterances: Heard, shafts: int = 12) -> tuple[Reading, list[Judgement]]:
    """The group, and what the weaver is told after each of these utterances."""
    return go_on(group(thread, shafts), *utterances)


def go_on(reading: Reading, *utterances: Heard) -> tuple[Reading, list[Judgement]]:
    outcomes = []
    for heard in utterances:
        reading, outcome = reading.finish() if heard is None else reading.hear([int(n) for n in heard.split()])
        outcomes.append(outcome)
    return reading, outcomes


def test_a_group_read_right_is_good_however_it_is_divided() -> None:
    reading, outcomes = read("3(1..4)", "1 2", "3", "4 1 2 3 4 1 2 3", "4")
    assert outcomes == [Good(2, 3), Good(3, 4), Good(11, 12), Good(12, 13)]
    assert not reading.checked
    reading, outcomes = go_on(reading, None)
    assert reading.checked
    assert outcomes == [Good(12, 13)]


def test_a_misheard_five_is_asked_for_until_it_was_heard_right_twice() -> None:
    reading, outcomes = read("3 5 7 5 2 8", "3 9 7 5", "5", "5", "2 8", None)
    assert outcomes == [AskAgain(2, 2), AskAgain(2, 2), Good(4, 5), Good(6, 7), Good(6, 7)]
    assert reading.checked


def test_asked_for_some_ends_the_weaver_may_read_on_from_there() -> None:
    reading, outcomes = read("3 5 7 5 2 8", "3 9 7 5", "5 7", "5 7", "5 2 8", None)
    assert outcomes == [AskAgain(2, 2), AskAgain(2, 2), Good(4, 4), Good(6, 7), Good(6, 7)]
    assert reading.checked


def test_a_wrong_shaft_is_reported_when_it_was_read_twice() -> None:
    reading, outcomes = read("3 5 7 5 2 8", "3 5 1 5", "1")
    assert outcomes[0] == AskAgain(3, 3)
    difference = outcomes[1]
    assert isinstance(difference, Difference)
    assert replace(difference, belief=1) == Difference(3, 3, (7,), (1,), (MistakeKind.WRONG_SHAFT,), 1)
    assert difference.belief > 0.98
    assert not reading.checked


def test_what_sounds_like_the_shaft_expected_must_be_read_more_often() -> None:
    """Nine for five may be the recogniser's mistake, one for five hardly."""
    wrong = {heard: read_aloud(parse(f"3 {heard} 7 5 2 8").shafts, group("3 5 7 5 2 8")) for heard in (1, 9)}
    assert all(told.difference and told.difference.read == (heard,) for heard, told in wrong.items())
    assert wrong[1].asked == 1
    assert wrong[9].asked == 2


@pytest.mark.parametrize(
    ("real", "kind", "end", "shaft"),
    [
        ("1..3 5..12", MistakeKind.SKIPPED, 4, 5),
        ("1..4 4..12", MistakeKind.DOUBLED, 5, 4),
        ("1..4 4..12", MistakeKind.TWO_IN_ONE, 5, 4),
        ("1..6 9 8..12", MistakeKind.WRONG_SHAFT, 7, 9),
        ("1..3 5 4 6..12", MistakeKind.SWAPPED, 4, 5),
        ("1..4 9..12", MistakeKind.CALL_MISSED, 5, 9),
        ("1..8 5..12", MistakeKind.CALL_DOUBLED, 9, 5),
    ],
)
def test_every_kind_of_mistake_is_told(real: str, kind: MistakeKind, end: int, shaft: int) -> None:
    told = read_aloud(parse(real).shafts, group("1..12"))
    assert told.difference
    assert (told.difference.end, told.difference.expected, told.difference.read) == (end, (end,), (shaft,))
    assert kind in told.difference.kinds
    assert told.asked <= 2


def test_where_ends_are_alike_it_says_from_which_end_on_the_mistake_may_be() -> None:
    told = read_aloud(parse("1 2 2 2 3 4 5").shafts, group("1 2 2 2 2 3 4 5"))
    assert told.difference
    assert (told.difference.since, told.difference.end, told.difference.kinds) == (2, 5, (MistakeKind.SKIPPED,))


def test_two_mistakes_close_together_are_found_though_not_named() -> None:
    told = read_aloud(parse("1 2 9 9 5..12").shafts, group("1..12"))
    assert told.difference
    assert (told.difference.end, told.difference.read, told.difference.kinds) == (3, (9,), ())


def test_an_end_on_two_shafts_is_read_as_two_numbers() -> None:
    reading, outcomes = read("1/5 2/5 3/6", "1 5 2 5", "3 6", None)
    assert outcomes == [Good(2, 3), Good(3, 4), Good(3, 4)]
    assert reading.checked
    _, outcomes = read("1/5 2/5 3/6 4/6", "1 5 2 7 3 6 4 6", "2 7")
    difference = outcomes[-1]
    assert isinstance(difference, Difference)
    assert (difference.end, difference.expected, difference.read) == (2, (2, 5), (2, 7))


def test_a_forgotten_shaft_of_an_end_is_found() -> None:
    _, outcomes = read("1/5 2/5 3/6 4/6", "1 5 2 3 6 4 6", "2 3 6", "2 3 6")
    difference = outcomes[-1]
    assert isinstance(difference, Difference)
    assert (difference.end, difference.read, difference.kinds) == (2, (2,), (MistakeKind.WRONG_SHAFT,))


def test_a_group_is_not_checked_while_an_end_was_not_heard() -> None:
    reading, outcomes = read("1..6", "1 2 3 4 5", None)
    assert outcomes[-1] == AskAgain(6, 6)
    assert not reading.checked
    reading, outcomes = go_on(reading, "6", None)
    assert reading.checked


def test_a_call_missed_that_no_shaft_shows_is_found_at_the_end_of_the_group() -> None:
    _, outcomes = read("6(1..4)", "1 2 3 4 1 2 3 4", "1 2 3 4 1 2 3 4", "1 2 3 4", None, None)
    assert outcomes[-2] == AskAgain(21, 24)
    difference = outcomes[-1]
    assert isinstance(difference, Difference)
    assert (difference.since, difference.end, difference.read) == (1, 21, ())
    assert difference.kinds == (MistakeKind.CALL_MISSED,)


def test_ends_beyond_the_group_are_found() -> None:
    reading, outcomes = read("2(1..4)", "1 2 3 4 1 2 3 4", "1 2 3 4", "1")
    assert outcomes[1] == AskAgain(9, 9)
    difference = outcomes[2]
    assert isinstance(difference, Difference)
    assert (difference.end, difference.expected, difference.read) == (9, (), (1,))
    assert not reading.checked


def test_a_spurious_number_after_the_last_end_clears() -> None:
    reading, outcomes = read("1..6", "1 2 3 4 5 6 3", None, None)
    assert outcomes[0] == AskAgain(7, 7)
    assert reading.checked


def test_the_weaver_who_lost_the_place_is_asked_before_anything_is_called_wrong() -> None:
    again = "4 5 6 7 8 9 10 11 12"
    reading, outcomes = read("1..12", "1 2 3 4 9 10 11 12", again, again, None)
    assert outcomes == [AskAgain(4, 8), AskAgain(5, 8), Good(12, 13), Good(12, 13)]
    assert reading.checked


def test_a_number_that_is_no_shaft_is_asked_again() -> None:
    _, outcomes = read("1 2 3 4", "1 2 70 4", "3", "3", shafts=4)
    assert outcomes == [AskAgain(3, 3), AskAgain(3, 3), Good(4, 5)]


def test_an_end_asked_for_again_is_right_only_when_it_was_read_right_since() -> None:
    """Ends 6 and 7 hang the wrong way round; 6 was misheard as right, and of the three ends asked for one is read."""
    reading, outcomes = read("1..8", "1 2 3 4 8 6 5 8", "5", "5", shafts=8)
    assert outcomes == [AskAgain(5, 7), AskAgain(5, 7), AskAgain(6, 7)]
    reading, outcomes = go_on(reading, "7", "7", "7 6")
    assert not any(isinstance(outcome, Good) for outcome in outcomes)
    assert reading.confirmed == 5


def test_in_a_record_from_before_it_was_right_without() -> None:
    reading = group("1..8", shafts=8)
    for heard in ([1, 2, 3, 4, 8, 6, 5, 8], [5], [5]):
        reading, outcome = replace(reading, as_before=True).hear(heard)
    assert outcome == AskAgain(7, 7)


def test_why_an_end_is_asked_for_again_is_told() -> None:
    def whys(thread: str, *utterances: Heard) -> list[tuple[Why, tuple[int, ...]]]:
        _, outcomes = read(thread, *utterances, shafts=8)
        return [(outcome.why, outcome.read) for outcome in outcomes if isinstance(outcome, AskAgain)]

    assert whys("3 5 7 5 2 8", "3 1 7 5", "5") == [(Why.OTHERWISE, (1,)), (Why.ONCE_MORE, (5,))]
    assert whys("1 2 3 4", "1 2", None) == [(Why.UNREAD, ())]
    assert whys("1 2 3 4", "1 3 2 4") == [(Why.OTHERWISE, (3,))]
    assert whys("1..8", "1 3 4 5 6") == [(Why.UNLIKELY, (1,))]
    assert whys("1 2 3 4", "1 2 3 4 6") == [(Why.TOO_MANY, (6,))]


def test_a_further_end_read_twice_is_a_difference_whatever_mistake_it_may_be() -> None:
    """A unit of six threaded twice: no mistake of those known would go on with a three."""
    units = ("1 2 3 4 5 6 7 8", "1 2 3 4 5 6 7 8", "3 4 5 6 7 8", "3 4 5 6 7 8", "3")
    _, outcomes = read("2(1..8) 3..8", *units, shafts=8)
    assert outcomes[3] == AskAgain(23, 23)
    difference = outcomes[4]
    assert isinstance(difference, Difference)
    assert (difference.end, difference.expected, difference.read) == (23, (), (3,))


def type_in(reading: Reading, numbers: str) -> tuple[Reading, list[Judgement]]:
    """One key after the other."""
    outcomes = []
    for number in numbers.split():
        reading, outcome = reading.hear([TypedShaft(number)])
        outcomes.append(outcome)
    return reading, outcomes


def test_what_is_typed_is_taken_end_by_end() -> None:
    reading, outcomes = type_in(group("3(1..4)", 8), "1 2 3 4")
    assert outcomes == [Good(1, 2), Good(2, 3), Good(3, 4), Good(4, 5)]
    reading, outcomes = type_in(reading, "1 2 3 4 1 2 3 4")
    reading, outcome = reading.finish()
    assert outcome == Good(12, 13)
    assert reading.checked


@pytest.mark.parametrize("typed", ["1", "9", "7", "0"])
def test_typed_otherwise_it_is_asked_for_once_whatever_it_sounds_like(typed: str) -> None:
    _, outcomes = type_in(group("3 5 7 5 2 8"), f"3 {typed} {typed}")
    assert outcomes[1] == AskAgain(2, 2)
    difference = outcomes[2]
    assert isinstance(difference, Difference)
    assert (difference.end, difference.expected, difference.read) == (2, (5,), (int(typed),))
    _, outcomes = type_in(group("3 5 7 5 2 8"), f"3 {typed} 5 7")
    assert outcomes[1:] == [AskAgain(2, 2), Good(2, 3), Good(3, 4)]


def test_a_skipped_end_is_never_taken_for_one_that_was_not_heard() -> None:
    _, outcomes = type_in(group("3(1..4)", 4), "1 2 4 4")
    assert outcomes[2] == AskAgain(3, 3)
    assert isinstance(outcomes[3], Difference)
    assert (outcomes[3].end, outcomes[3].read) == (3, (4,))


def test_a_further_end_typed_twice_is_one_too_many() -> None:
    _, outcomes = type_in(group("1..6"), "1 2 3 4 5 6 3 3")
    assert outcomes[6] == AskAgain(7, 7)
    assert isinstance(outcomes[7], Difference)
    assert (outcomes[7].end, outcomes[7].expected, outcomes[7].read) == (7, (), (3,))


def test_an_end_on_two_shafts_is_typed_from_the_lowest_up() -> None:
    reading, outcomes = type_in(group("1/5 2/5 3"), "1 5 2")
    assert outcomes == [Good(0, 1), Good(1, 2), Good(1, 2)]
    assert reading.unsettled
    reading, outcomes = type_in(reading, "6 2 6")
    assert outcomes[0] == AskAgain(2, 2)
    assert isinstance(outcomes[2], Difference)
    assert (outcomes[2].end, outcomes[2].read) == (2, (2, 6))


def test_an_end_on_two_shafts_that_is_in_no_heddle_is_one_nought() -> None:
    _, outcomes = type_in(group("1/5 2/5 3/6"), "1 5 0 0")
    assert outcomes[2] == AskAgain(2, 2)
    assert isinstance(outcomes[3], Difference)
    assert (outcomes[3].end, outcomes[3].read) == (2, (0, 0))


def test_an_end_of_which_a_shaft_lacks_when_the_weaver_is_through_is_asked_for_again() -> None:
    reading, _ = type_in(group("1/5 2/5"), "1 5 2")
    reading, outcome = reading.finish()
    assert outcome == AskAgain(2, 2)
    reading, outcomes = type_in(reading, "2 5")
    assert outcomes[-1] == Good(2, 3)
    assert reading.finish()[0].checked


def test_what_was_misheard_is_settled_by_typing_it_once() -> None:
    reading, outcomes = read("3 5 7 5 2 8", "3 9 7 5")
    assert outcomes == [AskAgain(2, 2)]
    reading, typed = type_in(reading, "5")
    assert typed == [Good(4, 5)]


def test_of_a_row_typed_and_spoken_each_end_keeps_by_what_it_was_read() -> None:
    """Nine for five is easily misheard, and never mistyped."""
    for by, belief in ((int, 0.5), (TypedShaft, 0.9)):
        reading, outcome = group("3 5 7 5 2 8").hear([3, by(9), 7, 5])
        assert outcome == AskAgain(2, 2)
        reading, outcome = reading.hear([9])
        doubted = outcome.belief if isinstance(outcome, Difference) else 0.0
        assert (doubted > belief) == (by is TypedShaft)


def test_nothing_heard_is_asked_again() -> None:
    reading, outcomes = read("1 2 3 4", "1 2", "")
    assert outcomes == [Good(2, 3), AskAgain(3, 3)]
    assert reading.confirmed == 2


def test_back_at_an_earlier_end_everything_from_there_is_read_anew() -> None:
    reading, _ = read("3(1..4)", "1 2 3 4 1 2 3 4")
    reading = reading.back(5)
    assert (reading.confirmed, reading.next_end) == (4, 5)
    reading, outcomes = go_on(reading, "1 2 3 4 1 2", "3 4", None)
    assert outcomes == [Good(10, 11), Good(12, 13), Good(12, 13)]
    assert reading.checked


def test_after_a_repair_the_old_hearing_is_forgotten() -> None:
    reading, outcomes = read("3 5 7 5 2 8", "3 5 1 5", "1")
    assert isinstance(outcomes[-1], Difference)
    reading, outcomes = go_on(reading.back(outcomes[-1].since), "7 5 2 8", None)
    assert outcomes == [Good(6, 7), Good(6, 7)]
    assert reading.checked


def test_back_leads_at_most_to_the_first_end_not_confirmed() -> None:
    reading, _ = read("3(1..4)", "1 2 3 4")
    assert reading.back(9).next_end == 5
    with pytest.raises(ValueError, match="there is no end 0"):
        reading.back(0)


def test_numbers_heard_after_a_group_was_checked_open_it_again() -> None:
    reading, _ = read("1..6", "1 2 3 4 5 6", None)
    assert reading.checked
    reading, outcomes = go_on(reading, "3 4")
    assert outcomes == [AskAgain(7, 7)]
    assert not reading.checked


def test_a_long_run_of_equal_ends_is_read_back_like_any_other() -> None:
    told = read_aloud(parse("150(1)").shafts, group("150(1)", shafts=2))
    assert told.checked
    told = read_aloud(parse("149(1)").shafts, group("150(1)", shafts=2))
    assert told.difference
    assert (told.difference.since, told.difference.end) == (1, 150)


def test_a_table_without_a_shaft_of_the_loom_is_refused() -> None:
    with pytest.raises(ValueError, match="every shaft"):
        Reading(parse("1..8").shafts, 8, assumed(4))
    with pytest.raises(ValueError, match="every shaft"):
        Reading(parse("1..8").shafts, 4, assumed(8))


def test_a_reading_never_changes() -> None:
    reading, _ = read("3(1..4)", "1 2 3")
    before = replace(reading)
    reading.hear([1, 1])
    reading.finish()
    reading.back(1)
    assert reading == before


def test_readings_that_heard_the_same_are_equal_whatever_made_them() -> None:
    """As when a record is replayed: nothing of one is the other's."""

    def heard(*utterances: list[int]) -> Reading:
        reading = Reading(tuple((shaft,) for shaft in (1, 2, 3, 4, 1, 2, 3, 4)), 4, assumed(4))
        for numbers in utterances:
            reading, _ = reading.hear(numbers)
        return reading

    assert heard([1, 2, 3], [4, 1]) == heard([1, 2, 3], [4, 1])
    assert heard([1, 2, 2], [4, 1]) == heard([1, 2, 2], [4, 1])
    assert heard([1, 2, 3], [4, 1]) != heard([1, 2, 3], [4, 2])
    assert heard([1, 2, 3], [4, 1]).back(1) == heard()
