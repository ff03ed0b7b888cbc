"""A key in a terminal: no key-up, and a held key repeats."""

from dataclasses import dataclass
from typing import cast

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.senses.pedal.gestures import Change, Role
from assistant.senses.pedal.keys import LONGEST_DELAY, REPEAT_GAP, TAP, Typed, TypedSwitch
from assistant.session.events import Event, Kind


@dataclass(frozen=True)
class Held:
    """A key held from `down` to `up`, on a keyboard that repeats after `delay` seconds, every `gap` seconds."""

    down: float
    up: float
    delay: float = 0.5
    gap: float = 0.033

    def arrivals(self) -> list[float]:
        repeats = []
        at = self.down + self.delay
        while at < self.up:
            repeats.append(at)
            at += self.gap
        return [self.down, *repeats]


def downs(arrivals: list[float]) -> list[float]:
    """The presses that a list of arrivals comes to."""
    typed = Typed()
    changes = [change for at in arrivals for change in typed.arrival(at)] + typed.at(1000)
    return [change.at for change in changes if change.down]


def kinds(presses: list[Held], role: Role = Role.ONE) -> list[Kind]:
    """What a pedal that types means by these presses."""
    switch = TypedSwitch(role)
    events = [event for press in presses for at in press.arrivals() for event in switch.arrival(at)]
    return [event.kind for event in events + switch.at(1000)]


def test_the_first_press_is_told_at_once() -> None:
    assert Typed().arrival(10) == [Change(10, True)]


def test_a_press_that_cannot_be_a_repeat_is_told_at_once() -> None:
    typed = Typed()
    typed.arrival(10)
    assert Change(10.75, True) in typed.arrival(10.75)


def test_a_press_that_may_be_a_first_repeat_is_told_a_moment_later() -> None:
    typed = Typed()
    typed.arrival(10)
    assert typed.arrival(10.4) == []
    assert typed.due == 10.4 + REPEAT_GAP
    assert typed.at(10.5) == [Change(10 + TAP, False), Change(10.4, True)]


def test_when_another_key_arrives_the_doubt_is_over() -> None:
    typed = Typed()
    typed.arrival(10)
    typed.arrival(10.4)
    assert Change(10.4, True) in typed.settle()
    assert typed.settle() == []


def test_a_tap_is_let_go_when_no_repeat_can_come_any_more() -> None:
    typed = Typed()
    typed.arrival(10)
    assert typed.at(10 + LONGEST_DELAY) == []
    assert typed.at(10.75) == [Change(10 + TAP, False)]
    assert typed.due is None


@pytest.mark.parametrize("delay", [0.25, 0.5, 0.66])
@pytest.mark.parametrize("rate", [25, 30, 35])
def test_a_held_key_is_one_press_let_go_when_its_repeats_stop(delay: float, rate: int) -> None:
    typed = Typed()
    arrivals = Held(10, 13, delay, 1 / rate).arrivals()
    changes = [change for at in arrivals for change in typed.arrival(at)] + typed.at(20)
    assert changes == [Change(10, True), Change(arrivals[-1], False)]


def test_a_chattering_key_is_one_press() -> None:
    assert downs([10, 10.004, 10.015]) == [10]


@st.composite
def presses_made(draw: st.DrawFn) -> list[Held]:
    delay, gap = draw(st.floats(0.25, 0.66)), draw(st.floats(1 / 35, 1 / 25))
    now, presses = 10.0, []
    for held, apart in draw(st.lists(st.tuples(st.floats(0.05, 2), st.floats(0.1, 2)), max_size=8)):
        presses.append(Held(now, now + held, delay, gap))
        now += held + apart
    return presses


@given(presses_made())
def test_held_or_tapped_every_press_counts_once(presses: list[Held]) -> None:
    one_repeat_looks_like_a_second_press = any(len(press.arrivals()) == 2 for press in presses)
    assume(not one_repeat_looks_like_a_second_press)
    arrivals = [at for press in presses for at in press.arrivals()]
    assert downs(arrivals) == [press.down for press in presses]


@given(presses_made(), st.lists(st.floats(10, 40)))
def test_it_does_not_matter_when_time_is_looked_at(presses: list[Held], looks: list[float]) -> None:
    seldom, often = Typed(), Typed()
    arrivals = {at for press in presses for at in press.arrivals()}
    expected = [change for at in sorted(arrivals) for change in seldom.arrival(at)] + seldom.at(1000)
    changes = []
    for at in sorted(arrivals | set(looks)):
        changes += often.arrival(at) if at in arrivals else often.at(at)
    assert changes + often.at(1000) == expected


@pytest.mark.parametrize(
    ("presses", "meaning"),
    [
        ([Held(10, 10.1)], [Kind.NEXT]),
        ([Held(10, 10.1), Held(10.35, 10.45)], [Kind.REPEAT]),
        ([Held(10, 10.1), Held(10.35, 10.45), Held(10.7, 10.8)], [Kind.UNEVEN]),
        ([Held(10, 12)], [Kind.BACK]),
        ([Held(10, 12, delay=0.25)], [Kind.BACK]),
        ([Held(10, 12, delay=0.66, gap=0.04)], [Kind.BACK]),
        ([Held(10, 10.1), Held(10.65, 10.75), Held(14, 16)], [Kind.NEXT, Kind.NEXT, Kind.BACK]),
        ([Held(10, 10.1), Held(10.35, 13)], [Kind.REPEAT]),
    ],
)
def test_a_pedal_that_types_has_the_same_gestures(presses: list[Held], meaning: list[Kind]) -> None:
    assert kinds(presses) == meaning


def test_a_long_press_is_told_while_still_held() -> None:
    switch = TypedSwitch(Role.ONE)
    arrivals = Held(10, 12).arrivals()
    events = [(at, event.kind) for at in arrivals for event in switch.arrival(at) + switch.at(at)]
    assert [kind for _, kind in events] == [Kind.BACK]
    assert events[0][0] < 11


@pytest.mark.parametrize("role", [Role.BACK, Role.REPEAT, Role.NEXT])
def test_three_switches_that_type_mean_one_thing_at_once(role: Role) -> None:
    assert [event.kind for event in TypedSwitch(role).arrival(10)] == [Kind(role.value)]


def test_a_number_is_pressed_out_with_a_pedal_that_types() -> None:
    switch = TypedSwitch(Role.ONE)
    switch.counting(True)
    events = [event for at in (10, 10.4, 10.8, 12) for event in switch.arrival(at)] + switch.at(20)
    assert events == [Event(Kind.NUMBER, cast(float, pytest.approx(13.95)), 4, "pedal")]


def test_waking_late_does_not_turn_a_tap_into_a_long_press() -> None:
    switch = TypedSwitch(Role.ONE)
    switch.arrival(10)
    assert [event.kind for event in switch.at(60)] == [Kind.NEXT]
