"""What counts, and what is the same touch, key or press once more."""

import pytest

from assistant.senses.pedal.bounce import Bounces
from assistant.session.events import TURNS, Event, Kind

NEXT, BACK, NUMBER = Kind.NEXT, Kind.BACK, Kind.NUMBER


def counted(*done: tuple[float, Kind], by: str = "key", finger: bool = False, rows: bool = False) -> list[float]:
    """When something counted, of what was done at these times; a number is always 1."""
    bounces = Bounces()
    times = []
    for at, kind in done:
        event = Event(kind, 1000 + at, 1 if kind is NUMBER else None, by)
        if not bounces.is_one(event, finger, rows):
            bounces.count(event, finger, rows)
            times.append(at)
    return times


def test_the_same_once_more_is_a_bounce_up_to_four_tenths_of_a_second_after_what_counted() -> None:
    assert counted((0, NEXT), (0.04, NEXT), (0.399, NEXT), (0.41, NEXT), (0.6, NEXT), (0.9, NEXT)) == [0, 0.41, 0.9]


@pytest.mark.parametrize("finger", [True, False])
def test_another_key_is_meant_but_a_finger_that_met_another_area_is_the_same_finger(finger: bool) -> None:
    assert counted((0, NEXT), (0.2, BACK), finger=finger) == ([0] if finger else [0, 0.2])


def test_another_pedal_or_page_is_no_bounce_of_a_key() -> None:
    bounces = Bounces()
    for at, by in enumerate(("key", "pedal", "page")):
        event = Event(NEXT, 1000 + at / 10, source=by)
        assert not bounces.is_one(event, False, False)
        bounces.count(event, False, False)


@pytest.mark.parametrize("finger", [True, False])
def test_where_rows_are_read_two_ends_on_one_shaft_are_two(finger: bool) -> None:
    """Digits typed as fast as letters: 60 words a minute are one every 0.2 s."""
    assert counted((0, NUMBER), (0.12, NUMBER), (0.24, NUMBER), finger=finger, rows=True) == [0, 0.12, 0.24]
    assert counted((0, NUMBER), (0.12, NUMBER), finger=finger) == [0]


def test_after_digits_read_by_touch_the_next_touch_is_meant() -> None:
    assert counted((0, NUMBER), (0.3, NEXT), finger=True, rows=True) == [0, 0.3]


@pytest.mark.parametrize("kind", TURNS)
def test_knobs_are_turned_as_fast_as_one_likes(kind: Kind) -> None:
    assert counted((0, kind), (0.1, kind), (0.2, kind)) == [0, 0.1, 0.2]


def test_none_is_a_bounce_where_that_is_wished() -> None:
    bounces, event = Bounces(0), Event(NEXT, 1000, source="key")
    bounces.count(event, False, False)
    assert not bounces.is_one(event, False, False)
