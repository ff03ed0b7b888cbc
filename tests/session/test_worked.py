"""Half an hour is enough, and once is enough to be told."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from warps import session, spoken

from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.view import ModeName
from assistant.session.worked import LONGEST_STEP, Worked
from assistant.words.speech import Say

STAND_UP = "Stand up for a moment"
LONG = "{title: Long, shafts: 4, groups: [{name: rose, thread: 250(1 2 3 4), times: 4}]}"
SHORT = "{title: Short, shafts: 4, groups: [{name: rose, thread: 1 2 3 4, times: 40}]}"


class Sitting:
    """A session with a reminder, and when it was said."""

    def __init__(self, minutes: float = 30, text: str = LONG):
        self.session: Session = session(text)
        self.session.remind_to_stand_up(minutes)
        self.at = 0.0
        self.said: list[float] = []
        self("sit down")

    def __call__(self, *kinds: str | int, after: float = 60.0) -> "Sitting":
        for kind in kinds:
            self.at += after
            meant, number = (Kind.NUMBER, kind) if isinstance(kind, int) else (Kind(kind), None)
            event = Event(meant, self.at, number)
            self.texts = [e.text for e in spoken(self.session, event) if isinstance(e, Say)]
            if any(STAND_UP in text for text in self.texts):
                self.said.append(self.at)
        return self


def test_after_half_an_hour_it_is_said_once_before_the_next_call_and_again_after_as_long() -> None:
    sitting = Sitting()(*["next"] * 90)
    assert [later - before for before, later in pairwise(sitting.said)] == [1800.0, 1800.0]
    assert sitting.said[0] == 60 + 1800.0


def test_it_goes_before_the_call_which_is_still_said() -> None:
    sitting = Sitting()(*["next"] * 30)
    assert STAND_UP in sitting.texts[0]
    assert sitting.texts[0].endswith("distance. one, two, three, four")


def test_never_means_never() -> None:
    assert Sitting(0)(*["next"] * 200).said == []


def test_it_waits_for_a_call_that_is_done() -> None:
    sitting = Sitting()(*["repeat", "where"] * 20)
    assert sitting.said == []
    assert sitting("next").said == [sitting.at]


def test_a_pause_does_not_count_and_a_long_one_begins_anew() -> None:
    assert Sitting()(*["next"] * 29)("pause")("next", after=200).said == []
    assert Sitting()(*["next"] * 29)("pause")("next", after=LONGEST_STEP)(*["next"] * 29).said == []


def test_going_away_without_a_word_is_a_break_too() -> None:
    assert Sitting()(*["next"] * 29)("next", after=LONGEST_STEP)(*["next"] * 29).said == []


def test_not_into_an_alarm_but_after_it() -> None:
    sitting = Sitting(text=SHORT)(*["next"] * 29)
    while sitting.session.mode is not ModeName.CLOSING:
        sitting("next", after=1.0)
    sitting.said.clear()
    sitting("over")(2)
    assert sitting.session.view().mode is ModeName.OFF
    assert sitting.said == []


def test_sitting_down_again_begins_anew() -> None:
    assert Sitting()(*["next"] * 29)("leave")("sit down")(*["next"] * 29).said == []


@given(
    st.lists(st.tuples(st.sampled_from(Kind), st.floats(0, 2000)), max_size=80),
    st.integers(1, 60),
)
def test_whatever_happens_two_reminders_are_a_period_of_sitting_apart(
    happened: list[tuple[Kind, float]], minutes: int
) -> None:
    sitting = Sitting(minutes, SHORT)
    for event, after in ((event, after) for kind, after in happened for event in (kind.value, "next")):
        before, told = sitting.session.mode, len(sitting.said)
        sitting(event, after=after)
        if len(sitting.said) > told:
            assert sitting.session.mode in (ModeName.CALLING, ModeName.CLOSING), before
    assert all(later - earlier >= minutes * 60 - 1e-6 for earlier, later in pairwise(sitting.said))


def test_what_passes_between_two_sittings_is_not_worked_also_after_a_crash() -> None:
    """The log once said 12.5 s an end of an evening of which the report said 5.0."""
    worked, seconds = Worked(), 0.0
    at = 1000.0
    for kind, after in [("sit down", 0.0), *[("next", 5.0)] * 6, ("sit down", 240.0), *[("next", 5.0)] * 6]:
        at += after
        worked = worked.after(Event(Kind(kind), at), paused=False)
        seconds += worked.last
    assert seconds == 60.0
    assert not worked.away


@pytest.mark.parametrize(
    ("kind", "after", "paused", "last", "away"),
    [
        ("next", 10.0, False, 10.0, False),
        ("next", 10.0, True, 0.0, False),
        ("next", LONGEST_STEP, False, 0.0, True),
        ("next", LONGEST_STEP, True, 0.0, True),
        ("note", 10.0, False, 0.0, False),
        ("sit down", 10.0, False, 0.0, True),
        ("leave", 10.0, False, 10.0, False),
        ("next", -10.0, False, 0.0, False),  # the clock was set back, in a record from before
    ],
)
def test_what_counts_as_worked(kind: str, after: float, paused: bool, last: float, away: bool) -> None:
    begun = Worked().after(Event(Kind.SIT_DOWN, 1000.0), paused=False)
    after_it = begun.after(Event(Kind(kind), 1000.0 + after), paused)
    assert (after_it.last, after_it.away) == (last, away)


def worked(*happened: tuple[str, float, int | None]) -> tuple[float, Worked]:
    """Seconds worked in all, and the last reckoning; each event so long after the one before."""
    reckoned, seconds, at = Worked(), 0.0, 1000.0
    for kind, after, number in happened:
        at += after
        reckoned = reckoned.after(Event(Kind(kind), at, number), paused=False)
        seconds += reckoned.last
    return seconds, reckoned


def test_a_clock_that_is_set_takes_and_gives_no_time() -> None:
    steps: list[tuple[str, float, int | None]] = [("sit down", 0, None), *[("next", 5.0, None)] * 3]
    assert worked(*steps, ("clock set", 2.0, -3600), ("next", 3.0, None))[0] == 20.0
    seconds, reckoned = worked(*steps, ("clock set", 200.0, 3600), ("next", 100.0, None))
    assert (seconds, reckoned.away) == (15.0, True)  # away for as long as a break lasts, however the clock was set


@pytest.mark.parametrize(("asleep", "last", "away"), [(120, 30.0, False), (7200, 0.0, True)])
def test_what_a_machine_slept_is_not_worked_and_long_sleep_is_a_break(asleep: int, last: float, away: bool) -> None:
    seconds, reckoned = worked(
        ("sit down", 0, None), ("next", 5.0, None), ("slept", 10.0 + asleep, asleep), ("next", 20.0, None)
    )
    assert (seconds, reckoned.last, reckoned.away) == (5.0 + last, last, away)
    assert reckoned.slept == 0
