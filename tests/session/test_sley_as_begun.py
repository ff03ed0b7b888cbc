"""What was begun with another sley plan, in shorter calls, goes on with that plan, and says so."""

from dataclasses import replace
from pathlib import Path

import pytest

from assistant.meaning import Tell
from assistant.session.editing import compared
from assistant.session.events import CALLED_THEN, Event, Kind, Origin
from assistant.session.journal import Journal
from assistant.session.machine import Session
from assistant.session.place import Place
from assistant.session.resume import Resumption
from assistant.sitting.prepare import prepared
from assistant.warp.passes import SLEY
from assistant.warp.sequence import loads
from assistant.words.language import codes, load
from assistant.words.printed import Printed

FILE = b"{title: Begun, shafts: 4, sett: 12, reed: 10, groups: [{name: a, thread: 40(1)}, {name: b, thread: 40(2)}]}"
WARP = loads(FILE, "begun.yaml")
THEN, NOW = (1, 1, 1, 2), (1, 1, 1, 1, 2)  # half an end too many an inch; exactly


def begun(*more: Event) -> Session:
    """Two calls of equal dents, 1 1 1 and 2, as they were kept then."""
    session = Session(WARP, SLEY)
    session.replay(
        [Event(Kind.SIT_DOWN, 0.0, source=f"clock{CALLED_THEN}"), Event(Kind.NEXT, 1.0), Event(Kind.NEXT, 2.0), *more]
    )
    return session


def dents(place: Place) -> list[int]:
    return [unit.dent for call in (each for calls in place.course.calls for each in calls) for unit in call.units]


def lying_by(repeat: tuple[int, ...], ends: int) -> list[int]:
    """The dent of each end, one dent after the other."""
    found: list[int] = []
    dent = 0
    while len(found) < ends:
        found += [dent + 1] * repeat[dent % len(repeat)]
        dent += 1
    return found[:ends]


def test_it_stands_where_it_stood_and_lies_as_it_lay() -> None:
    session = begun()
    assert (session.group.counted, dents(session.place)) == (5, lying_by(THEN, 80))
    assert [len(call.units) for call in session.place.course.calls[0][:4]] == [3, 2, 3, 2]


def test_from_the_next_sitting_on_it_is_called_as_now_by_the_plan_of_then() -> None:
    session = begun(Event(Kind.LEAVE, 3.0), Event(Kind.SIT_DOWN, 4.0))
    assert (session.group.counted, dents(session.place)) == (5, lying_by(THEN, 80))
    assert len(session.place.course.calls[0]) < 8
    assert session.warp == WARP


def test_what_begins_now_is_planned_as_now() -> None:
    assert dents(Session(WARP, SLEY).place) == lying_by(NOW, 80)


def test_an_edit_of_something_else_leaves_the_plan() -> None:
    session = begun(Event(Kind.SIT_DOWN, 4.0))
    edit = compared(session.place, replace(WARP, title="Renamed"))
    assert [(each.group, each.same) for each in edit.groups] == [(0, 40), (1, 40)]
    session.handle(Event(Kind.EDITED, 5.0, source=Origin.CLOCK, about=edit))
    session.handle(Event(Kind.SIT_DOWN, 6.0))
    assert (session.warp.title, dents(session.place)) == ("Renamed", lying_by(THEN, 80))


def test_another_sett_is_another_plan() -> None:
    session = begun(Event(Kind.SIT_DOWN, 4.0))
    edit = compared(session.place, replace(WARP, sett=10.0))
    assert edit.groups[0].same == 3  # the fourth and fifth shared a dent
    session.handle(Event(Kind.EDITED, 5.0, source=Origin.CLOCK, about=edit))
    assert dents(session.place) == lying_by((1,), 80)


@pytest.mark.parametrize("code", codes())
def test_the_weaver_is_told_which_sley_goes_on(tmp_path: Path, code: str) -> None:
    file, told = tmp_path / "begun.yaml", list[Tell]()
    file.write_bytes(FILE)
    with Journal(tmp_path / "journal.sqlite3") as journal:
        record = journal.begin(file, SLEY.name, loads(FILE, str(file)), 1.8e9)
        journal.keep(record)(Event(Kind.SIT_DOWN, 1.8e9, source=f"clock{CALLED_THEN}"))
        with prepared(journal, file, SLEY, Resumption(), told.append) as (_, session):
            assert dents(session.place) == lying_by(THEN, 80)
    (tell,) = told
    assert tell == Tell("sleyed as begun", file=file, sley=THEN, now=NOW)
    line = Printed(load(code)).told(tell)
    assert "sley: [1, 1, 1, 2]" in line
    assert "1, 1, 1, 1, 2" in line
