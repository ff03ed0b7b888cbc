"""The rules: what is offered and what is done ask the same guard, and a session is the value of its events."""

from dataclasses import replace

import pytest
from random_sessions import live, lived
from warps import session

from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.modes import Complete, Counting, ModeName, Off, Paused, Sure
from assistant.warp.passes import READ, WIND


@pytest.mark.parametrize("seed", range(0, 60_000, 1_000))
def test_nothing_is_offered_that_is_refused_nor_refused_that_is_offered(seed: int) -> None:
    live(seed, closely=True)


@pytest.mark.parametrize("first", range(0, 1_000, 100))
def test_the_same_events_give_an_equal_value(first: int) -> None:
    """`python tests/random_sessions.py 20000` does more of them."""
    for seed in range(first, first + 100):
        live(seed, closely=False)


def test_random_sessions_get_everywhere() -> None:
    seen = {session.mode for seed in range(1100) for session, _, _ in lived(seed)}
    assert seen == set(ModeName)


def press(loom: Session, *kinds: Kind, number: int | None = None, source: str = "key") -> Session:
    for kind in kinds:
        loom.handle(Event(kind, 0.0, number, source))
    return loom


def test_a_mode_carries_what_belongs_to_it() -> None:
    loom = press(session(), Kind.SIT_DOWN, Kind.NEXT, Kind.NEXT, Kind.SHORT)
    assert loom.place.mode == Counting(missing=True)
    off = press(loom, Kind.NUMBER, number=1).place.mode
    assert off == Off()
    assert press(loom, Kind.REDO, source="voice").place.mode == Sure(Kind.REDO, back=off, group=0)
    assert press(loom, Kind.PAUSE).place.mode == Paused(Sure(Kind.REDO, back=off, group=0))
    assert press(loom, Kind.NEXT, Kind.BACK).place.mode == off


def test_a_place_is_a_value_that_no_later_event_changes() -> None:
    loom = press(session(), Kind.SIT_DOWN, Kind.NEXT)
    before = loom.place
    kept = replace(before)
    press(loom, Kind.NEXT, Kind.NEXT, Kind.FINISHED, Kind.BACK)
    assert before == kept
    assert before != loom.place


def test_what_is_counted_is_kept_up_with_each_event() -> None:
    """So that a long warp is replayed without adding up all of its groups at every event."""
    for seed in range(200):
        for loom, _, _ in lived(seed):
            assert loom.place.done == sum(line.counted for line in loom.place.summary())


def test_back_is_not_offered_before_the_first_call_and_then_tells_so() -> None:
    loom = press(session(), Kind.SIT_DOWN)
    assert Kind.BACK not in loom.view().offers
    before = loom.place
    effects = loom.handle(Event(Kind.BACK, 0.0))
    assert [getattr(effect, "phrase", "") for effect in effects][1] == "first call"
    assert loom.place.mode == before.mode


def test_numbers_and_rows_are_offered_only_where_they_answer() -> None:
    assert not {Kind.NUMBER, Kind.READ} & set(press(session(), Kind.SIT_DOWN).view().offers)
    assert {Kind.NUMBER, Kind.READ} <= set(press(session(job=READ), Kind.SIT_DOWN).view().offers)


def test_a_job_without_shafts_has_nothing_to_look_for() -> None:
    loom = press(press(session(job=WIND), Kind.SIT_DOWN, Kind.FINISHED), Kind.OVER, number=1)
    assert loom.place.mode == Off()
    assert Kind.FIND not in loom.view().offers
    while not isinstance(loom.place.mode, Complete):
        press(loom, Kind.RESUME if isinstance(loom.place.mode, Off) else Kind.NEXT)
    assert {Kind.REDO, Kind.SETTLE} <= set(loom.view().offers)
