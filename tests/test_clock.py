"""The clock of a sitting: steady whatever becomes of the wall clock, and what became of it is told."""

from machine import EVENING, Machine

from assistant.clock import Clock, elapsed


def test_it_begins_as_the_wall_clock_and_goes_on_whatever_that_is_set_to() -> None:
    machine = Machine()
    assert machine.clock.now() == EVENING
    for set_by in (-3600.0, 3600.0, 56 * 365.25 * 86400, -1e9):
        before = machine.clock.now()
        assert machine.passes(10, set_by).clock.now() == before + 10


def test_a_clock_that_was_set_is_told_of_once_and_by_how_much() -> None:
    machine = Machine().passes(10, -3600)
    assert [machine.clock.was_set(), machine.clock.was_set()] == [-3600, 0]
    assert machine.passes(10).clock.was_set() == 0
    assert machine.passes(10, 7200).clock.was_set() == 7200
    assert machine.passes(10, 20).clock.was_set() == 0  # which no log would show
    assert machine.passes(10, 50).clock.was_set() == 70


def test_sleep_is_time_that_passed_and_is_told_of_once() -> None:
    machine = Machine()
    before = machine.clock.now()
    assert machine.passes(5).clock.slept() == 0
    machine.passes(7200, asleep=True)
    assert machine.clock.now() == before + 7205
    assert [machine.clock.slept(), machine.clock.slept(), machine.clock.was_set()] == [7200, 0, 0]


def test_waiting_is_told_in_seconds_of_the_machine() -> None:
    fast = Clock(lambda: EVENING, lambda: 0.0, lambda: 0.0, pace=100)
    assert fast.until(EVENING + 50) == 0.5
    assert fast.until(EVENING - 1) == 0


def test_the_machine_has_such_a_clock() -> None:
    before = elapsed()
    assert before <= elapsed()
    clock = Clock()
    assert clock.at(elapsed()) <= clock.now()
    assert clock.was_set() == 0
    assert clock.slept() == 0
