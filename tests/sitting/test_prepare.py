"""What a sitting begins with: a new record, the one that was left, or that one with the edited file."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from assistant.errors import FindError, JournalError, PlanError, SequenceError, WarpChanged
from assistant.meaning import Tell
from assistant.session.events import Event, Kind
from assistant.session.history import history
from assistant.session.journal import Journal, Record
from assistant.session.machine import Session
from assistant.session.resume import Resumption, replayed
from assistant.session.view import GroupState, ModeName
from assistant.sitting import prepare
from assistant.sitting.prepare import known_before, prepared
from assistant.warp.model import Hangs, Warp
from assistant.warp.passes import HEDDLES, SLEY, THREAD, WIND, Pass
from assistant.warp.sequence import load as load_warp
from assistant.warp.sequence import loads
from assistant.words.language import load

ENGLISH = load("en")
AS_LEFT = Resumption()
EVENTS = [Event(Kind.SIT_DOWN, 1.0, 4), *[Event(Kind.NEXT, 10.0 * n, source="pedal") for n in range(1, 8)]]
RUNNER = """
title: Test runner
shafts: 4
groups:
  - {name: edge, thread: 1 2 1 2 1 2}
  - {name: rose, thread: 2(1 2 3 4 3 2), times: 2}
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    file = tmp_path / "runner.yaml"
    file.write_text(RUNNER)
    return file


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    with Journal(tmp_path / "data" / "journal.sqlite3") as journal:
        yield journal


def opened(
    journal: Journal, file: Path, job: Pass[Any] = THREAD, resumption: Resumption = AS_LEFT
) -> tuple[Record, Session]:
    """The record and the session with which a sitting begins that ends at once."""
    with prepared(journal, file, job, resumption) as begun:
        return begun


def fill(journal: Journal, file: Path, events: list[Event] = EVENTS) -> Record:
    """A record of the file, threaded so far."""
    record, _ = opened(journal, file)
    keep = journal.keep(record)
    for event in events:
        keep(event)
    return record


def test_a_session_goes_on_where_the_record_leaves_it(journal: Journal, file: Path) -> None:
    record = fill(journal, file)
    again, session = opened(journal, file)
    assert again == record
    assert session.view() == replayed(journal, record).view()
    assert session.done == 18


def test_starting_anew_keeps_the_old_record(journal: Journal, file: Path) -> None:
    old = fill(journal, file)
    new, session = opened(journal, file, resumption=Resumption(fresh=True))
    assert new.id != old.id
    assert (session.step, journal.events(new)) == (0, [])
    assert journal.events(old) == EVENTS
    assert opened(journal, file)[0] == new


TURNED = RUNNER.replace("groups:", "start: left\ngroups:")
NEW, BEFORE = Resumption(hangs=Hangs.NEW), Resumption(hangs=Hangs.BEFORE)


def test_an_edit_in_a_group_already_threaded_is_explained_and_not_resumed(journal: Journal, file: Path) -> None:
    fill(journal, file)
    file.write_text(RUNNER.replace("1 2 1 2 1 2", "1 2 1 2 2 1"))
    for resumption in (AS_LEFT, Resumption(edited=True)):
        with pytest.raises(WarpChanged, match=r"group 1, edge, ends 5 to 6: were 1 2, now are 2 1.*--hangs new"):
            opened(journal, file, resumption=resumption)
    assert len(journal.events(journal.records()[0])) == len(EVENTS)


def test_where_it_hangs_like_the_new_file_its_groups_are_settled(journal: Journal, file: Path) -> None:
    fill(journal, file)
    file.write_text(RUNNER.replace("1 2 1 2 1 2", "1 2 1 2 2 1 1 2"))
    record, session = opened(journal, file, resumption=NEW)
    first, second, _ = session.summary()
    assert (first.state, first.counted, second.state) == (GroupState.SETTLED, 8, GroupState.EVEN)
    assert (session.warp, session.mode, session.group.name) == (load_warp(file), ModeName.CALLING, "rose 2")
    assert opened(journal, file)[0] == record
    assert replayed(journal, record).view() == session.view()
    assert journal.events(record)[:-1] == EVENTS
    journal.keep(record)(Event(Kind.SIT_DOWN, 1_000.0))
    told = history(journal, record)
    assert ([sitting.done for sitting in told.sittings], told.counted) == ([18, 0], 20)


def test_where_it_hangs_as_before_one_is_led_to_what_differs(journal: Journal, file: Path) -> None:
    fill(journal, file)
    file.write_text(RUNNER.replace("1 2 1 2 1 2", "1 2 2 1 1 2").replace("2(1 2 3 4 3 2)", "1 2 3 4 3 2 4 3 2 1 1 2"))
    _, session = opened(journal, file, resumption=BEFORE)
    edge, rose, last = session.place.groups
    assert (edge.counted, edge.redo_to, edge.state) == (2, 4, GroupState.OPEN)
    assert (session.group.name, [str(figure.text) for figure in session.view().figures]) == ("edge", ["2", "1"])
    assert (rose.state, last.state) == (GroupState.OPEN, GroupState.WAITING)
    for at, kind in enumerate((Kind.SIT_DOWN, Kind.NEXT, Kind.NEXT), 1_000):
        session.handle(Event(kind, float(at)))
    assert (session.group.name, session.group.counted) == ("rose 1", rose.counted)


def test_turning_the_warp_round_is_not_harmless(journal: Journal, file: Path) -> None:
    fill(journal, file)
    file.write_text(TURNED)
    with pytest.raises(WarpChanged, match=r"the first end lay at the right edge, now at the left.*--hangs"):
        opened(journal, file, resumption=Resumption(edited=True))
    winding, _ = opened(journal, file, WIND)
    assert winding.warp.start == "left"
    _, session = opened(journal, file, resumption=NEW)
    assert (session.done, session.view().start) == (18, "left")


def test_a_warp_turned_round_that_hangs_as_before_is_threaded_anew(journal: Journal, file: Path) -> None:
    fill(journal, file)
    file.write_text(TURNED)
    _, session = opened(journal, file, resumption=BEFORE)
    assert (session.done, session.group.name, session.mode) == (0, "edge", ModeName.CALLING)


def test_at_the_keyboard_it_is_asked_how_it_hangs(journal: Journal, file: Path) -> None:
    fill(journal, file)
    file.write_text(RUNNER.replace("1 2 1 2 1 2", "1 2 1 2 2 1"))
    asked: list[str] = []

    def answers(*yes: str) -> Callable[..., bool]:
        def agrees(question: Tell, *_: Tell) -> bool:
            asked.append(question.phrase)
            return question.phrase in yes

        return agrees

    with (
        pytest.raises(WarpChanged),
        prepared(journal, file, THREAD, AS_LEFT, agrees=answers()),
    ):
        pass
    assert asked == ["hangs like the new file?", "hangs as before?"]
    with prepared(journal, file, THREAD, AS_LEFT, agrees=answers("hangs as before?")) as (_, session):
        assert (session.group.name, session.group.counted) == ("edge", 4)


def test_an_edit_further_on_is_explained_and_resumed_when_asked(journal: Journal, file: Path) -> None:
    record = fill(journal, file, EVENTS[:5])
    file.write_text(RUNNER.replace("times: 2", "times: 3"))
    with pytest.raises(WarpChanged, match=r"group 4, rose 3: is new, 12 ends.*--edited"):
        opened(journal, file)
    assert journal.records() == [record]
    revised, session = opened(journal, file, resumption=Resumption(edited=True))
    assert (revised.id, revised.warp) == (record.id, load_warp(file))
    assert (session.view().total, session.done) == (42, replayed(journal, record).done)
    assert opened(journal, file)[0] == revised


def test_an_edit_of_what_is_still_to_be_threaded_of_a_group_is_harmless(journal: Journal, file: Path) -> None:
    fill(journal, file, EVENTS[:5])
    file.write_text(RUNNER.replace("2(1 2 3 4 3 2), times: 2", "1 2 3 4 3 2 2 3 4 4, times: 2"))
    _, session = opened(journal, file, resumption=Resumption(edited=True))
    assert (session.group.name, session.group.expected) == ("rose 1", 10)


def test_a_group_that_was_taken_out_under_what_is_threaded_is_told_of(journal: Journal, file: Path) -> None:
    fill(journal, file)
    file.write_text("{title: Test runner, shafts: 4, groups: [{name: edge, thread: 1 2 1 2 1 2}]}")
    with pytest.raises(WarpChanged, match=r"already done: .*group 2, rose 1: is gone"):
        opened(journal, file, resumption=Resumption(edited=True))
    _, session = opened(journal, file, resumption=NEW)
    assert (session.done, session.mode) == (6, ModeName.COMPLETE)


def test_the_jobs_of_a_file_are_kept_apart(journal: Journal, file: Path) -> None:
    threading = fill(journal, file)
    winding, _ = opened(journal, file, WIND)
    assert journal.events(winding) == []
    assert [record.job for record in journal.records(file)] == ["wind", "thread"]
    assert journal.under_way(file, "thread") == threading
    assert opened(journal, file)[0] == threading


@pytest.mark.parametrize(
    ("job", "text", "error"),
    [(SLEY, RUNNER, PlanError), (THREAD, "{shafts: 4, groups: [{thread: 9}]}", SequenceError)],
)
def test_what_cannot_be_done_begins_nothing(
    journal: Journal, file: Path, job: Pass[Any], text: str, error: type[Exception]
) -> None:
    file.write_text(text)
    with pytest.raises(error):
        opened(journal, file, job)
    assert journal.records() == []


def test_the_file_is_read_once_the_record_is_held(journal: Journal, file: Path, tmp_path: Path) -> None:
    """A file that is gone, and one that is edited, are told of only where the warp is free."""
    record = fill(journal, file)
    with Journal(journal.path) as there, prepared(there, file, THREAD, AS_LEFT):
        for text in (RUNNER.replace("times: 2", "times: 3"), "not a warp"):
            file.write_text(text)
            with pytest.raises(JournalError, match=r"another window has this warp \(process \d+.*, since \d\d:\d\d\)"):
                opened(journal, file, resumption=Resumption(edited=True))
    assert journal.records() == [record]


def test_a_link_to_a_file_is_the_same_warp(journal: Journal, file: Path, tmp_path: Path) -> None:
    link = tmp_path / "link.yaml"
    try:
        link.symlink_to(file)
    except OSError:
        pytest.skip("no links on this system")
    with (
        prepared(journal, file, THREAD, AS_LEFT),
        pytest.raises(JournalError, match="another window"),
        prepared(journal, link, THREAD, Resumption(fresh=True)),
    ):
        pass


@pytest.mark.parametrize("rest", ["", f"{'# ' + 9999 * '-'}\n" * 60], ids=["more ends", "and a longer file"])
def test_what_an_older_version_began_beyond_what_is_begun_today_goes_on(
    journal: Journal, file: Path, rest: str
) -> None:
    text = f"{{title: Long, shafts: 4, groups: [{{name: body, thread: 30000(1 2 3 4)}}]}}\n{rest}"
    journal.begin(file, "thread", loads(text.encode(), "long.yaml", ours=True), 0.0)
    file.write_text(text)
    record, session = opened(journal, file)
    assert (record.began, session.warp.ends) == (0.0, 120_000)
    file.write_text(text.replace("30000", "30001"))
    with pytest.raises(SequenceError, match=r"more than 100,000 ends|longer than 500 kB"):
        opened(journal, file)
    file.write_text(text)
    with pytest.raises(SequenceError):
        opened(journal, file, resumption=Resumption(fresh=True))


def test_a_file_grown_beyond_what_is_begun_is_refused_without_reading_more_of_it(
    journal: Journal, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(journal, file)
    file.write_text(RUNNER + "# ----\n" * 100_000)
    read: list[bool] = []

    def noted(file: Path, *, begun: bool = False) -> Warp:
        read.append(begun)
        return load_warp(file, begun=begun)

    monkeypatch.setattr(prepare, "load", noted)
    with pytest.raises(SequenceError, match="longer than 500 kB"):
        opened(journal, file)
    assert read == [False]


def test_groups_threaded_before_are_known_to_a_new_record_and_to_no_other(journal: Journal, file: Path) -> None:
    with pytest.raises(FindError, match="there is no group 'rim'; the groups are: edge, rose 1, rose 2"):
        opened(journal, file, resumption=Resumption(threaded_to="rim"))
    assert journal.records() == []
    _, session = opened(journal, file, resumption=Resumption(threaded_to="rose 1"))
    assert list(known_before(journal, session, file, "rose 1")) == [
        (Kind.THREADED_BEFORE, 2),
        (Kind.HEDDLES_COUNTED, 0),
    ]
    fill(journal, file)
    with pytest.raises(JournalError, match="threading has begun already; --threaded-to is for a new record"):
        opened(journal, file, resumption=Resumption(threaded_to="rose 1"))
    opened(journal, file, resumption=Resumption(fresh=True, threaded_to="rose 1"))


def test_heddles_are_known_to_be_counted_where_a_record_says_so_of_every_group(journal: Journal, file: Path) -> None:
    heddles, session = opened(journal, file, HEDDLES)
    assert list(known_before(journal, session, file, None)) == []
    keep = journal.keep(heddles)
    _, threading = opened(journal, file)
    for kind in (Kind.SIT_DOWN, *[Kind.NEXT] * 60):
        if session.mode is not ModeName.COMPLETE:
            assert list(known_before(journal, threading, file, None)) == [(Kind.HEDDLES_COUNTED, 0)]
            keep(event := Event(kind, 1.0))
            session.handle(event)
    assert session.mode is ModeName.COMPLETE
    assert list(known_before(journal, threading, file, None)) == [(Kind.HEDDLES_COUNTED, 1)]
    threading.handle(Event(Kind.HEDDLES_COUNTED, 2.0, 1))
    assert list(known_before(journal, threading, file, None)) == []
