"""What the questions of a session point at, as they are asked at the loom."""

from typing import Any

from assistant.finder import Ask, Side
from assistant.finder.reed import ReedAsk
from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.modes import Asking, Found
from assistant.session.view import Dent, Pointing, Thing
from assistant.warp.passes import PASSES
from assistant.warp.sequence import loads

WARP = """
title: Pointed
shafts: 4
sley: [2]
reed: 10
sett: 20
groups:
  - {name: edge, thread: "7(1 2 3 4)"}
  - {name: body, thread: "20(4 3 2 1)"}
"""
NEXT = Kind.NEXT


def after(job: str, *keys: Kind | tuple[Kind, int]) -> Session:
    loom = Session(loads(WARP.encode(), "pointed.yaml"), PASSES[job])
    for at, key in enumerate((Kind.SIT_DOWN, *keys)):
        kind, number = key if isinstance(key, tuple) else (key, None)
        loom.handle(Event(kind, 5.0 * at, number, "key"))
    return loom


def pointing(loom: Session) -> Pointing:
    told = loom.view().pointing
    assert told
    return told


def look(loom: Session) -> Any:
    """The search that is under way."""
    mode = loom.place.mode
    assert isinstance(mode, Asking | Found)
    return mode.look


def asked_until(loom: Session, *wanted: str) -> Session:
    """Answered "not sure" until one of these is asked."""
    for step in range(60):
        mode = loom.place.mode
        assert isinstance(mode, Asking), f"never asked: {wanted}"
        question = mode.look.question
        if question and question.ask in wanted:
            return loom
        loom.handle(Event(Kind.UNSURE, 1000.0 + step, None, "key"))
    raise AssertionError(wanted)


def test_a_look_at_the_first_ends_means_all_of_them_counted_from_its_side() -> None:
    loom = asked_until(after("thread", *[NEXT] * 7, (Kind.OVER, 1), Kind.FIND), Ask.RIGHT_UP_TO)
    question = look(loom).question
    told = pointing(loom)
    assert (told.thing, told.meant, told.side) == (Thing.ENDS, ((1, question.end),), "right")
    assert told.of == 27  # the one left over is in the hand


def test_one_end_is_meant_where_its_shaft_is_asked_and_counting_goes_on_from_the_last() -> None:
    loom = asked_until(after("thread", *[NEXT] * 7, (Kind.OVER, 1), Kind.FIND), Ask.SHAFTS)
    first = pointing(loom)
    ((end, last),) = first.meant
    assert end == last
    assert first.since == 0
    loom.handle(Event(Kind.NUMBER, 2000.0, 1 + (end - 1) % 4, "key"))
    asked_until(loom, Ask.SHAFTS)
    further = look(loom).search.landmark.further(look(loom).question)
    again = pointing(loom)
    assert again.meant[0][0] - again.since == (further if further else again.meant[0][0])


def test_heddles_are_told_by_their_shaft_and_point_at_no_end() -> None:
    loom = asked_until(after("thread", *[NEXT] * 7, (Kind.OVER, 1), Kind.FIND), Ask.HEDDLES)
    view = loom.view()
    assert view.pointing is None
    assert [figure.shafts for figure in view.figures] == [(look(loom).question.shaft,)]


def test_dents_are_counted_through_the_reed_from_where_the_warp_begins() -> None:
    loom = asked_until(after("sley", *[NEXT] * 2, (Kind.OVER, 1), Kind.FIND), ReedAsk.DENT)
    asked, told = look(loom).question, pointing(loom)
    assert told == Pointing(Thing.DENTS, ((asked.first, asked.last),), "right", 14, told.since)
    assert told.held == ()  # what is asked for is not shown


def test_a_group_is_closed_by_the_dent_that_it_ends_in() -> None:
    assert pointing(after("sley", *[NEXT] * 2)) == Pointing(Thing.DENTS, ((14, 14),), "right", 14)


def test_a_mistake_that_is_found_means_the_ends_that_come_out() -> None:
    loom = after("thread", *[NEXT] * 7, (Kind.OVER, 1), Kind.FIND)
    for step in range(60):
        if not isinstance(loom.place.mode, Asking):
            break
        question = look(loom).question
        truth = {Ask.RIGHT_UP_TO: int(question.end < 20), Ask.SHAFTS: 1 + question.end % 4}
        known = question.ask in truth and question.side is Side.FIRST
        loom.handle(Event(Kind.NUMBER if known else Kind.UNSURE, 3000.0 + step, truth.get(question.ask), "key"))
    repair = look(loom).choices[0].repair
    told = pointing(loom)
    assert told.meant[0] == (repair.first, repair.first + max(repair.taken_out, 1) - 1)


def test_a_call_that_is_looked_at_is_pointed_at_where_ends_hang() -> None:
    there = after("thread", (Kind.GO_TO, 2))
    assert pointing(there) == Pointing(Thing.ENDS, ((1, 4),), "right", 80)
    assert after("heddles", (Kind.GO_TO, 2)).view().pointing is None
    assert after("wind", (Kind.GO_TO, 2)).view().pointing is None


def test_a_call_in_sleying_tells_its_dents_with_the_empty_ones() -> None:
    gaps = WARP.replace("sley: [2]", "sley: [2, 0]").replace("sett: 20", "sett: 10")
    loom = Session(loads(gaps.encode(), "gaps.yaml"), PASSES["sley"], 2)
    loom.handle(Event(Kind.SIT_DOWN, 0.0))
    loom.handle(Event(NEXT, 5.0))
    assert loom.view().dents == (Dent(4), Dent(5, ("", "")), Dent(6), Dent(7, ("", "")))
    assert after("thread").view().dents == ()


def test_a_call_in_tying_tells_its_knots() -> None:
    assert [knot.over for knot in after("tie").view().knots] == [True, False, True, False]
    assert after("thread").view().knots == ()
