"""In sleying a group is closed by the dent that it should end in, so that a skipped dent is noticed there."""

import pytest

from assistant.meaning import Tell
from assistant.session.events import AS_BEFORE, Event, Kind
from assistant.session.machine import Session
from assistant.session.place import Course
from assistant.session.view import GroupState, ModeName
from assistant.warp.passes import SLEY
from assistant.warp.sequence import loads
from assistant.words.language import codes, load
from assistant.words.wording import Wording

WARP = loads(
    b"{shafts: 4, unit: inch, reed: 10, sley: [2, 0, 3], groups: [{name: a, thread: 10(1)}, {name: b, thread: 7(2)}]}",
    "two.yaml",
)


def at_closing() -> Session:
    session = Session(WARP, SLEY)
    session.handle(Event(Kind.SIT_DOWN, 0.0))
    while session.mode is ModeName.CALLING:
        session.handle(Event(Kind.NEXT, 1.0))
    return session


def told(session: Session, *events: Event) -> list[Tell]:
    return [each for event in events for each in session.handle(event) if isinstance(each, Tell)]


def test_the_closing_question_names_the_dent() -> None:
    """10 ends, 2 and 3 by turns with an empty dent between: dents 1, 3, 4, 6."""
    (asked,) = at_closing().view().prompt
    assert asked == Tell("even in dent", group="a", count=10, dent=6)


def test_each_group_ends_in_the_dent_of_its_last_end() -> None:
    """By hand: 17 ends lie 2 . 3 2 . 3 2 . 3 2 in dents 1 to 10."""
    assert list(Course(WARP, SLEY).ends_in) == [6, 10]


def test_even_goes_on() -> None:
    session = at_closing()
    session.handle(Event(Kind.NEXT, 2.0))
    assert (session.summary()[0].state, session.group.name) == (GroupState.EVEN, "b")


@pytest.mark.parametrize(("which", "key", "dents"), [(1, "dents short", -2), (2, "dents over", 2)])
def test_uneven_asks_by_how_many_dents_and_tells_them(which: int, key: str, dents: int) -> None:
    session = at_closing()
    asked = told(session, Event(Kind.UNEVEN, 2.0), Event(Kind.NUMBER, 3.0, which), Event(Kind.NUMBER, 4.0, 2))
    assert asked[0] == Tell("which dents", group="a", dent=6)
    assert asked[1].phrase == ("how many dents short" if dents < 0 else "how many dents over")
    assert asked[2] == Tell(key, group="a", count=2, dent=6)
    line = session.summary()[0]
    assert (line.state, line.counted, line.dents, line.off_by) == (GroupState.OFF, 10, dents, dents)
    assert line.as_json()["dents_over"] == dents


def test_it_is_said_in_one_breath_and_taken_back_by_going_back() -> None:
    session = at_closing()
    session.handle(Event(Kind.OVER, 2.0, 1))
    assert session.mode is ModeName.OFF
    session.handle(Event(Kind.BACK, 3.0))
    assert (session.mode, session.group.dents, session.group.state) == (ModeName.CLOSING, 0, GroupState.OPEN)


def test_a_group_sleyed_anew_is_off_no_more() -> None:
    session = at_closing()
    for event in (Event(Kind.OVER, 2.0, 1), Event(Kind.REDO, 3.0)):
        session.handle(event)
    assert (session.group.dents, session.group.counted) == (0, 0)


def test_at_the_finish_it_is_told_by_its_dents() -> None:
    session = at_closing()
    for event in (Event(Kind.OVER, 2.0, 1), Event(Kind.RESUME, 3.0)):
        session.handle(event)
    last: list[Tell] = []
    while session.mode is not ModeName.COMPLETE:
        last = told(session, Event(Kind.NEXT, 4.0))
    assert Tell("one dents over", group="a", counted=10, expected=10, count=1) in last


def test_an_event_kept_from_before_counts_ends_as_it_did() -> None:
    session = at_closing()
    session.replay([Event(Kind.SHORT, 2.0, 3, source=f"key{AS_BEFORE}")])
    line = session.summary()[0]
    assert (line.counted, line.dents, line.state) == (7, 0, GroupState.OFF)


@pytest.mark.parametrize("code", codes())
def test_all_of_it_has_words(code: str) -> None:
    words = Wording(load(code), SLEY.name)
    session = at_closing()
    asked = told(session, Event(Kind.UNEVEN, 2.0), Event(Kind.NUMBER, 3.0, 1), Event(Kind.NUMBER, 4.0, 1))
    assert all(tell.phrase not in words.text(tell) and "{" not in words.text(tell) for tell in asked)
