"""What a foot on a switch means."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.senses.pedal.gestures import BETWEEN, BOUNCE, HOLD, QUIET, Gestures, Role, Switches
from assistant.session.events import Event, Kind

Press = tuple[float, float]  # down and up, in seconds


def pressed(gestures: Gestures, presses: list[Press], until: float = 1000) -> list[Event]:
    """What the presses come to, when time is looked at again only at the end."""
    events = []
    for down, up in presses:
        events += gestures.change(down, True) + gestures.change(up, False)
    return events + gestures.at(until)


def kinds(gestures: Gestures, presses: list[Press], until: float = 1000) -> list[Kind]:
    return [event.kind for event in pressed(gestures, presses, until)]


TAPS = [(0.3 * n, 0.3 * n + 0.1) for n in range(5)]


@pytest.mark.parametrize(
    ("presses", "meaning"), [(1, Kind.NEXT), (2, Kind.REPEAT), (3, Kind.UNEVEN), (4, Kind.HELP), (5, Kind.HELP)]
)
def test_presses_that_follow_each_other_are_one_gesture(presses: int, meaning: Kind) -> None:
    assert kinds(Gestures(), TAPS[:presses]) == [meaning]


def test_presses_apart_are_gestures_of_their_own() -> None:
    assert kinds(Gestures(), [(0, 0.1), (0.46, 0.6), (2, 2.1)]) == [Kind.NEXT, Kind.NEXT, Kind.NEXT]


def test_a_press_is_decided_as_soon_as_none_can_follow() -> None:
    gestures = Gestures()
    gestures.change(10, True)
    gestures.change(10.1, False)
    assert gestures.due == pytest.approx(10.1 + BETWEEN)
    assert gestures.at(10.44) == []
    assert [event.kind for event in gestures.at(10.46)] == [Kind.NEXT]
    assert gestures.due is None


def test_a_long_press_means_back_while_still_held_and_nothing_when_let_go() -> None:
    gestures = Gestures()
    assert gestures.change(10, True) == []
    assert gestures.due == 10 + HOLD
    assert gestures.at(10.59) == []
    assert [event.kind for event in gestures.at(10.61)] == [Kind.BACK]
    assert gestures.at(12) == gestures.change(13, False) == gestures.at(20) == []


def test_the_last_of_several_presses_may_linger() -> None:
    assert kinds(Gestures(), [(0, 0.1), (0.3, 5)]) == [Kind.REPEAT]
    assert kinds(Gestures(), [(0, 0.1), (0.3, 0.4), (0.6, 5)]) == [Kind.UNEVEN]


def test_a_pedal_event_carries_its_time_and_source() -> None:
    assert pressed(Gestures(), [(10, 11)]) == [Event(Kind.BACK, 10 + HOLD, source="pedal")]


def test_a_switch_that_chatters_is_one_press() -> None:
    chatter = [(10.0, 10.004), (10.009, 10.015), (10.02, 10.2), (10.207, 10.211), (10.22, 10.225)]
    assert kinds(Gestures(), chatter) == [Kind.NEXT]


def test_a_press_shorter_than_the_lockout_is_let_go_after_it() -> None:
    gestures = Gestures()
    gestures.change(10, True)
    gestures.change(10.02, False)
    assert [event.kind for event in gestures.at(20)] == [Kind.NEXT]


def test_a_held_key_that_repeats_its_down_is_one_press() -> None:
    gestures = Gestures()
    downs = [event for n in range(10) for event in gestures.change(n * 0.04, True)]
    assert downs == []
    assert [event.kind for event in gestures.change(0.5, False) + gestures.at(1)] == [Kind.NEXT]


@pytest.mark.parametrize(
    ("role", "meaning"), [(Role.BACK, Kind.BACK), (Role.REPEAT, Kind.REPEAT), (Role.NEXT, Kind.NEXT)]
)
def test_each_of_three_switches_means_one_thing_at_once(role: Role, meaning: Kind) -> None:
    gestures = Gestures(role)
    assert gestures.change(10, True) == [Event(meaning, 10, source="pedal")]
    assert gestures.change(10.1, False) == gestures.at(20) == []


@pytest.mark.parametrize(
    ("role", "meanings"),
    [(Role.BACK, [Kind.BACK]), (Role.REPEAT, [Kind.REPEAT, Kind.UNEVEN]), (Role.NEXT, [Kind.NEXT])],
)
def test_of_three_switches_only_repeat_has_a_long_press(role: Role, meanings: list[Kind]) -> None:
    assert kinds(Gestures(role), [(10, 15)]) == meanings


@pytest.mark.parametrize("role", [Role.ONE, Role.NEXT])
def test_a_number_is_pressed_out_and_ended_by_quiet(role: Role) -> None:
    gestures = Gestures(role)
    gestures.counting(True)
    presses = [(10, 10.1), (11, 11.1), (12.5, 12.7)]
    assert pressed(gestures, presses, until=12.7 + QUIET - 0.01) == []
    assert gestures.at(15) == [Event(Kind.NUMBER, 12.7 + QUIET, 3, "pedal")]


@pytest.mark.parametrize("role", [Role.ONE, Role.NEXT])
@pytest.mark.parametrize("before", [0, 2])
def test_a_long_press_while_counting_means_back_and_the_count_begins_anew(role: Role, before: int) -> None:
    gestures = Gestures(role)
    gestures.counting(True)
    assert kinds(gestures, [*TAPS[:before], (2, 3)]) == [Kind.BACK]
    assert pressed(gestures, [(2000, 2000.1)], until=3000)[0].number == 1


@pytest.mark.parametrize(
    ("role", "presses", "meanings"),
    [
        (Role.ONE, [(0, 0.1)], [Kind.NEXT]),
        (Role.ONE, TAPS[:2], [Kind.REPEAT]),
        (Role.ONE, [(0, 1)], [Kind.FIND]),
        (Role.NEXT, [(0, 0.1)], [Kind.NEXT]),
        (Role.NEXT, [(0, 1)], [Kind.FIND]),
        (Role.BACK, [(0, 1)], [Kind.BACK]),
        (Role.REPEAT, [(0, 1)], [Kind.REPEAT, Kind.UNEVEN]),
    ],
)
def test_in_a_check_by_listening_a_press_that_is_held_says_that_it_differs(
    role: Role, presses: list[tuple[float, float]], meanings: list[Kind]
) -> None:
    gestures = Gestures(role)
    gestures.counting(False, checking=True)
    assert kinds(gestures, presses) == meanings


def test_a_press_begun_before_a_number_was_asked_for_is_not_counted() -> None:
    gestures = Gestures()
    gestures.change(10, True)
    gestures.counting(True)
    gestures.change(10.2, False)
    assert gestures.at(20) == []


def test_presses_counted_when_the_number_came_by_voice_are_forgotten() -> None:
    gestures = Gestures()
    gestures.counting(True)
    assert pressed(gestures, TAPS[:2], until=0.5) == []
    gestures.counting(False)
    assert gestures.at(20) == []


def test_asking_for_the_number_again_does_not_disturb_the_count() -> None:
    gestures = Gestures()
    gestures.counting(True)
    gestures.change(10, True)
    gestures.counting(True)
    assert gestures.change(10.1, False) + gestures.at(20) == [Event(Kind.NUMBER, 10.1 + QUIET, 1, "pedal")]


def test_a_pedal_unplugged_while_pressed_says_nothing_more() -> None:
    switches = Switches({"KEY_B": Role.ONE})
    switches.change("KEY_B", 10, True)
    switches.forget()
    assert switches.due is None
    assert switches.at(20) == []
    assert [event.kind for event in switches.change("KEY_B", 30, True) + switches.at(31)] == [Kind.BACK]


def test_three_switches_under_one_foot() -> None:
    switches = Switches({"KEY_A": Role.BACK, "KEY_B": Role.REPEAT, "KEY_C": Role.NEXT})
    events = []
    for at, key in enumerate(["KEY_C", "KEY_C", "KEY_A", "KEY_B", "KEY_D"]):
        events += switches.change(key, at, True) + switches.change(key, at + 0.1, False)
    assert [event.kind for event in events + switches.at(10)] == [Kind.NEXT, Kind.NEXT, Kind.BACK, Kind.REPEAT]


# From here on: any presses, however the contact chatters and whenever time is looked at.

thousandths = st.integers(65, 2000).map(lambda ms: ms / 1000)  # longer than a contact is not looked at, twice


@st.composite
def presses_made(draw: st.DrawFn) -> list[Press]:
    now, presses = 0.0, []
    for held, apart in draw(st.lists(st.tuples(thousandths, thousandths), max_size=12)):
        presses.append((now, now + held))
        now += held + apart
    return presses


def meanings(presses: list[Press]) -> list[Kind]:
    """The gestures by looking at all presses at once: presses close to each other, ended by a long one."""
    chains: list[list[Press]] = []
    for press in presses:
        last = chains[-1][-1] if chains else None
        if last and press[0] - last[1] < BETWEEN and last[1] - last[0] < HOLD:
            chains[-1].append(press)
        else:
            chains.append([press])
    alone = {1: Kind.NEXT, 2: Kind.REPEAT, 3: Kind.UNEVEN}
    return [
        Kind.BACK if len(chain) == 1 and chain[0][1] - chain[0][0] >= HOLD else alone.get(len(chain), Kind.HELP)
        for chain in chains
    ]


def clear_of_the_limits(presses: list[Press]) -> bool:
    """Whether no time is so near to a limit that rounding decides."""
    held = [up - down for down, up in presses]
    apart = [after[0] - before[1] for before, after in pairwise(presses)]
    return all(abs(time - HOLD) > 1e-6 for time in held) and all(abs(time - BETWEEN) > 1e-6 for time in apart)


@given(presses_made().filter(clear_of_the_limits))
def test_every_press_yields_exactly_one_gesture(presses: list[Press]) -> None:
    assert kinds(Gestures(), presses) == meanings(presses)


@given(presses_made().filter(clear_of_the_limits))
def test_a_count_loses_and_adds_no_press(presses: list[Press]) -> None:
    gestures = Gestures()
    gestures.counting(True)
    short = [press for press in presses if press[1] - press[0] < HOLD]
    assert sum(event.number or 0 for event in pressed(gestures, short)) == len(short)


@given(presses_made(), st.lists(st.lists(st.floats(0.0005, 0.005), max_size=4), min_size=24, max_size=24))
def test_bouncing_never_makes_an_extra_event(presses: list[Press], bounces: list[list[float]]) -> None:
    clean, bouncing = Gestures(), Gestures()
    expected = pressed(clean, presses)
    edges = [(at, down) for press in presses for at, down in zip(press, (True, False), strict=True)]
    events = []
    for (edge, down), gaps in zip(edges, bounces, strict=False):
        at = edge
        events += bouncing.change(at, down)
        for gap in gaps:
            events += bouncing.change(at + gap / 2, not down) + bouncing.change(at + gap, down)
            at += gap
        assert at - edge < BOUNCE
    assert events + bouncing.at(1000) == expected


@given(presses_made(), st.lists(st.floats(0, 30)), st.sampled_from(Role), st.booleans())
def test_it_does_not_matter_when_time_is_looked_at(
    presses: list[Press], looks: list[float], role: Role, counting: bool
) -> None:
    seldom, often = Gestures(role), Gestures(role)
    seldom.counting(counting)
    often.counting(counting)
    steps = [(at, down) for press in presses for at, down in zip(press, (True, False), strict=True)]
    events = []
    for at, down in sorted([*steps, *((look, None) for look in looks)], key=lambda step: step[0]):
        events += often.at(at) if down is None else often.change(at, down)
    assert events + often.at(1000) == pressed(seldom, presses)


@given(presses_made(), st.sampled_from(Role))
def test_waking_when_due_is_enough(presses: list[Press], role: Role) -> None:
    gestures = Gestures(role)
    for press in presses:
        for at, down in zip(press, (True, False), strict=True):
            gestures.change(at, down)
            due = gestures.due
            assert due is None or due > at
    while (due := gestures.due) is not None:
        gestures.at(due)
    assert gestures.at(1000) == []


def test_three_quick_presses_of_the_repeat_switch_ask_what_can_be_said() -> None:
    assert kinds(Gestures(Role.REPEAT), TAPS[:3]) == [Kind.REPEAT, Kind.REPEAT, Kind.HELP]
    assert kinds(Gestures(Role.REPEAT), [(0, 0.1), (0.3, 0.4), (1, 1.1)]) == [Kind.REPEAT] * 3
    assert kinds(Gestures(Role.NEXT), TAPS[:3]) == [Kind.NEXT] * 3
