"""The journal: what was acknowledged is there, whatever happens to the program or the disk."""

import multiprocessing
import shutil
import sqlite3
import threading
from collections.abc import Iterator
from dataclasses import replace
from multiprocessing.queues import SimpleQueue
from multiprocessing.synchronize import Barrier
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from warps import session, warp

from assistant.errors import JournalError
from assistant.finder import Ask, Outcome, Question, Repair, Side
from assistant.paper.log import log
from assistant.paper.retold import story
from assistant.session.events import Event, Kind, Origin
from assistant.session.history import history, local
from assistant.session.journal import Journal, Record
from assistant.session.resume import replayed
from assistant.session.rows import MOST, from_row, to_row
from assistant.session.view import ModeName
from assistant.warp.sequence import dump
from assistant.words.language import load
from assistant.words.printed import Printed

FILE = Path("runner.yaml")

ROUNDS = 10
NUMBERS = st.integers(0, 999)
ASKED = st.builds(Question, st.sampled_from(Ask), NUMBERS, st.sampled_from(Side), NUMBERS, NUMBERS)
EVENTS = [Event(Kind.SIT_DOWN, 1.0, 4), *[Event(Kind.NEXT, 10.0 * n, source="pedal") for n in range(1, 8)]]
MARKED = {Kind.NEXT: "pedal, as before", Kind.SIT_DOWN: ", called as then"}
OLD = [replace(event, source=MARKED[event.kind]) for event in EVENTS]


def fill(journal: Journal, events: list[Event] = EVENTS) -> Record:
    """A record of the test warp with these events."""
    record = journal.begin(FILE, "thread", warp(), 1.0)
    keep = journal.keep(record)
    for event in events:
        keep(event)
    return record


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / "journal.sqlite3"


@pytest.fixture
def journal(path: Path) -> Iterator[Journal]:
    with Journal(path) as journal:
        yield journal


@given(
    st.builds(
        Event,
        st.sampled_from(Kind),
        st.floats(0, 1e11),
        st.none() | st.integers(-MOST, MOST),
        st.text(),
        text=st.text(st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp"))),
        alike=st.none() | st.lists(st.tuples(st.integers(0, 99), st.integers(0, 99)), max_size=5).map(tuple),
        about=st.none() | ASKED | st.builds(Repair) | st.sampled_from(Outcome),
    )
)
def test_a_row_holds_the_whole_event(event: Event) -> None:
    assert from_row(to_row(event)) == event


@given(st.lists(st.integers(1, 64), min_size=1, max_size=12).map(tuple))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])  # every example begins a record of its own
def test_shafts_read_aloud_come_back_from_the_journal(journal: Journal, row: tuple[int, ...]) -> None:
    event = Event(Kind.READ, 5.0, source="voice", row=row)
    assert journal.events(fill(journal, [event])) == [event]


def test_events_come_back_in_order_after_closing(path: Path) -> None:
    with Journal(path) as journal:
        fill(journal)
    with Journal(path) as journal:
        record = journal.under_way(FILE, "thread")
        assert record is not None
        assert record.warp == warp()
        assert journal.events(record) == EVENTS


def test_a_session_goes_on_at_the_exact_step(journal: Journal) -> None:
    record = fill(journal)
    lived = session()
    lived.replay(EVENTS)
    assert replayed(journal, record).view() == lived.view()


def test_several_warps_are_kept_side_by_side(journal: Journal) -> None:
    first = fill(journal)
    second = journal.begin(Path("blanket.yaml"), "thread", warp(), 2.0)
    journal.keep(second)(EVENTS[0])
    assert len(journal.events(first)) == len(EVENTS)
    assert len(journal.events(second)) == 1
    assert [record.id for record in journal.records()] == [second.id, first.id]


def test_a_warp_is_threaded_in_one_window_at_a_time(path: Path) -> None:
    with Journal(path) as here, Journal(path) as there:
        with (
            here.hold(FILE, "thread", "process 7, since noon"),
            pytest.raises(JournalError, match=r"another window has this warp \(process 7, since noon\); go on there"),
            there.hold(FILE, "thread", "process 8"),
        ):
            pass
        with there.hold(FILE, "thread", "process 8"), here.hold(FILE, "wind", "process 7"):
            pass


def test_a_step_is_never_taken_twice(path: Path) -> None:
    with Journal(path) as here, Journal(path) as there:
        record = fill(here)
        one, other = here.keep(record), there.keep(record)
        one(EVENTS[1])
        with pytest.raises(JournalError, match="another window"):
            other(EVENTS[1])
        assert len(here.events(record)) == len(EVENTS) + 1


def test_a_locked_journal_says_so_and_loses_nothing(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("assistant.session.database.SAY_AFTER_S", 0.05)
    monkeypatch.setattr("assistant.session.database.WAIT_S", 0.1)
    with Journal(path) as journal:
        record = fill(journal)
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(JournalError, match="in use by another program"):
            journal.keep(record)(EVENTS[1])
        other.execute("ROLLBACK")
        other.close()
        assert journal.events(record) == EVENTS


def test_a_journal_that_another_is_making_is_waited_for(path: Path) -> None:
    path.parent.mkdir()
    other = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    made = threading.Timer(0.2, other.execute, ("ROLLBACK",))
    made.start()
    with Journal(path) as journal:
        fill(journal)
    made.join()
    other.close()


def opened_at_once(together: Barrier, folder: Path, told: "SimpleQueue[str]") -> None:
    """Open a new journal each round when all have come to it; what was told of each, "" for nothing."""
    for each in range(ROUNDS):
        together.wait()
        try:
            with Journal(folder / str(each) / "journal.sqlite3") as journal:
                fill(journal, [])
            told.put("")
        except JournalError as error:
            told.put(str(error))


def test_all_who_open_a_new_journal_at_the_same_moment_have_it(tmp_path: Path) -> None:
    context, several = multiprocessing.get_context("spawn"), 4
    together, told = context.Barrier(several), context.SimpleQueue()
    openers = [context.Process(target=opened_at_once, args=(together, tmp_path, told)) for _ in range(several)]
    for opener in openers:
        opener.start()
    assert [told.get() for _ in range(ROUNDS * several)] == [""] * ROUNDS * several
    for opener in openers:
        opener.join()
    for each in range(ROUNDS):
        with Journal(tmp_path / str(each) / "journal.sqlite3") as journal:
            assert len(journal.records()) == several


def test_a_full_disk_says_so_and_loses_nothing(path: Path) -> None:
    with Journal(path) as journal:
        record = fill(journal)
        pages = journal._db.execute("PRAGMA page_count").fetchone()[0]
        journal._db.execute(f"PRAGMA max_page_count = {pages}")
        keep, kept = journal.keep(record), len(EVENTS)

        def keep_on() -> None:
            nonlocal kept
            while True:
                keep(EVENTS[1])
                kept += 1

        with pytest.raises(JournalError, match="disk is full; all up to the last step is saved"):
            keep_on()
    with Journal(path) as journal:
        assert len(journal.events(record)) == kept > len(EVENTS)


def test_a_folder_that_cannot_be_written_is_one_clear_line(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a file where the folder should be")
    with pytest.raises(JournalError, match="see to the folder's rights"):
        Journal(tmp_path / "data" / "journal.sqlite3")


@pytest.mark.parametrize("content", [b"not a journal at all" * 100, b"SQLite format 3\0" + b"\xff" * 4096])
def test_a_file_that_is_no_journal_is_left_as_it_is(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True)
    path.write_bytes(content)
    with pytest.raises(JournalError, match="damaged"):
        Journal(path)
    assert path.read_bytes() == content


def test_a_journal_cut_anywhere_says_so_or_gives_what_it_holds(path: Path, tmp_path: Path) -> None:
    with Journal(path) as journal:
        fill(journal)
    whole = path.read_bytes()
    told = 0
    for length in range(1, len(whole), 509):
        cut = tmp_path / f"cut-{length}.sqlite3"
        cut.write_bytes(whole[:length])
        try:
            with Journal(cut) as journal:
                for record in journal.records():
                    assert journal.events(record) == EVENTS
        except JournalError:
            told += 1
            assert cut.read_bytes() == whole[:length]
    assert told > 10


def test_a_log_cut_at_any_byte_holds_every_event_before_the_cut(path: Path, tmp_path: Path) -> None:
    """SQLite's write-ahead log is what a power failure may tear; its own check must pass at every cut."""
    with Journal(path) as journal:
        record = fill(journal, EVENTS[:3])
        files = {name: Path(f"{path}{name}").read_bytes() for name in ("", "-wal")}
    assert len(files["-wal"]) > 4096
    seen = set()
    for length in range(0, len(files["-wal"]) + 1, 211):
        folder = tmp_path / str(length)
        folder.mkdir()
        (folder / "j").write_bytes(files[""])
        (folder / "j-wal").write_bytes(files["-wal"][:length])
        with Journal(folder / "j") as journal:
            assert journal._db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            events = journal.events(record)
            assert events == EVENTS[: len(events)]
            seen.add(len(events))
        shutil.rmtree(folder)
    assert {1, 2, 3} <= seen  # the first of a sitting is in the file itself


def test_an_event_of_a_later_version_is_not_guessed_at(journal: Journal) -> None:
    record = fill(journal)
    journal._db.execute("UPDATE events SET kind = 'whistle' WHERE step = 3")
    with pytest.raises(JournalError, match="thread cannot be read: step 4 is damaged"):
        journal.events(record)


VERSION_1 = """
CREATE TABLE warps (id INTEGER PRIMARY KEY, file TEXT NOT NULL, sequence TEXT NOT NULL, began REAL NOT NULL);
CREATE TABLE events (warp INTEGER NOT NULL REFERENCES warps(id), step INTEGER NOT NULL, at REAL NOT NULL,
  kind TEXT NOT NULL, number INTEGER, source TEXT NOT NULL, PRIMARY KEY (warp, step)) WITHOUT ROWID;
PRAGMA user_version = 1;
"""


def test_a_journal_from_before_there_were_several_jobs_goes_on_as_threading(path: Path) -> None:
    path.parent.mkdir(exist_ok=True)
    db = sqlite3.connect(path)
    db.executescript(VERSION_1)
    db.execute("INSERT INTO warps VALUES (1, ?, ?, 1.0)", (str(FILE.resolve()), dump(warp())))
    db.executemany("INSERT INTO events VALUES (1, ?, ?, ?, ?, ?)", [(n, *to_row(e)[:4]) for n, e in enumerate(EVENTS)])
    db.commit()
    db.close()
    with Journal(path) as journal:
        record = journal.under_way(FILE, "thread")
        assert record is not None
        assert (record.id, record.job, journal.events(record)) == (1, "thread", OLD)
        assert journal.under_way(FILE, "wind") is None
    with Journal(path) as journal:
        assert journal.events(record) == OLD


def test_a_group_begun_anew_by_voice_before_that_was_asked_about_stays_so(path: Path) -> None:
    kinds = (Kind.SIT_DOWN, Kind.NEXT, Kind.NEXT, Kind.UNEVEN, Kind.OVER, Kind.NUMBER, Kind.REDO, Kind.NEXT)
    numbers = {Kind.NUMBER: 1}
    with Journal(path) as journal:
        events = [Event(kind, float(at), numbers.get(kind), Origin.VOICE) for at, kind in enumerate(kinds)]
        record = fill(journal, events)
        journal._db.execute("ALTER TABLE events DROP COLUMN text")
        journal._db.execute("ALTER TABLE events DROP COLUMN alike")
        journal._db.execute("ALTER TABLE events DROP COLUMN about")
        journal._db.execute("ALTER TABLE warps DROP COLUMN log")
        journal._db.execute("ALTER TABLE warps DROP COLUMN begun")
        journal._db.execute("PRAGMA user_version = 2")
    for _ in range(2):
        with Journal(path) as journal:
            loom = replayed(journal, record)
            assert (loom.mode, loom.group.counted) == (ModeName.CALLING, 4)


def test_a_journal_from_before_there_were_notes_goes_on_and_takes_them(path: Path) -> None:
    with Journal(path) as journal:
        record = fill(journal)
        journal._db.execute("ALTER TABLE events DROP COLUMN text")
        journal._db.execute("ALTER TABLE events DROP COLUMN alike")
        journal._db.execute("ALTER TABLE events DROP COLUMN about")
        journal._db.execute("ALTER TABLE warps DROP COLUMN log")
        journal._db.execute("ALTER TABLE warps DROP COLUMN begun")
        journal._db.execute("PRAGMA user_version = 3")
    for notes in range(2):
        with Journal(path) as journal:
            assert journal.events(record)[: len(EVENTS)] == OLD
            assert [event.text for event in journal.events(record)[len(EVENTS) :]] == ["knot"] * notes
            journal.note(record, "knot", 99.0)


def test_a_note_from_another_window_does_not_break_the_sitting(path: Path) -> None:
    with Journal(path) as here, Journal(path) as there:
        record = fill(here, EVENTS[:1])
        with here.hold(FILE, "thread", "here"):
            keep, lived = here.keep(record), session()
            lived.replay(EVENTS[:1])
            for event in EVENTS[1:]:
                there.note(record, "one", event.at)
                there.note(record, "another", event.at)
                keep(event)
                lived.handle(event)
        kept = there.events(record)
        assert [event for event in kept if event.kind is not Kind.NOTE] == EVENTS
        assert [event.text for event in kept if event.kind is Kind.NOTE] == ["one", "another"] * (len(EVENTS) - 1)
        assert replayed(there, record).view() == lived.view()


def test_a_note_is_no_part_of_a_sitting_nor_of_the_pace(journal: Journal) -> None:
    evening = [Event(Kind.SIT_DOWN, 0.0, 4), *[Event(Kind.NEXT, 60.0 * n) for n in range(1, 9)]]
    record = fill(journal, [*evening, Event(Kind.LEAVE, 490.0)])
    before = history(journal, record)
    journal.note(record, "the next day", 90_000.0)
    assert history(journal, record) == before
    unbegun = journal.begin(Path("blanket.yaml"), "thread", warp(), 2.0)
    journal.note(unbegun, "before the first sitting", 3.0)
    assert history(journal, unbegun).sittings == ()


def test_the_warp_worked_on_last_is_not_the_one_begun_or_noted_last(journal: Journal) -> None:
    old = fill(journal, EVENTS)
    new = journal.begin(Path("blanket.yaml"), "thread", warp(), 5.0)
    journal.note(new, "later", 9_999.0)
    assert journal.worked_on_last() == old
    assert journal.worked_on_last(Path("blanket.yaml")) == new
    assert journal.worked_on_last(Path("nothing.yaml")) is None


def test_a_journal_of_a_later_version_is_left_alone(path: Path) -> None:
    with Journal(path) as journal:
        journal._db.execute("PRAGMA user_version = 99")
    with pytest.raises(JournalError, match="newer heddlecall"):
        Journal(path)


def test_the_history_tells_sittings_groups_and_pace(journal: Journal) -> None:
    evening = [Event(Kind.SIT_DOWN, 0.0, 4), *[Event(Kind.NEXT, 60.0 * n) for n in range(1, 4)]]
    morning = [Event(Kind.SIT_DOWN, 50_000.0), *[Event(Kind.NEXT, 50_000.0 + 60 * n) for n in range(1, 4)]]
    record = fill(journal, [*evening, Event(Kind.LEAVE, 200.0), *morning, Event(Kind.BACK, 50_300.0)])
    told = history(journal, record)
    assert [(sitting.done, sitting.taken_back) for sitting in told.sittings] == [(6, 0), (8, 0)]
    assert [(sitting.ended - sitting.began).total_seconds() for sitting in told.sittings] == [200.0, 300.0]
    assert told.as_json()["groups"] == [
        {"name": "edge", "expected": 6, "counted": 6, "left_over": 0, "state": "even"},
        {"name": "rose 1", "expected": 12, "counted": 8, "left_over": 0, "state": "open"},
        {"name": "rose 2", "expected": 12, "counted": 0, "left_over": 0, "state": "waiting"},
    ]
    assert any("14 of 30 ends" in line for line in log(told, Printed(load("en"))))


def sitting(began: float, *kinds: Kind, short: int | None = None) -> list[Event]:
    """A sitting with calls of four, an event a minute."""
    numbers = {Kind.SIT_DOWN: 4, Kind.SHORT: short}
    return [Event(kind, began + 60 * n, numbers.get(kind)) for n, kind in enumerate((Kind.SIT_DOWN, *kinds))]


def test_a_sitting_that_went_back_is_told_as_that(journal: Journal) -> None:
    """The edge, closed even, is opened again and left one short; four ends of the next are done, and taken back."""
    evening = sitting(0.0, Kind.NEXT, Kind.NEXT, Kind.NEXT, Kind.LEAVE)
    opened = sitting(50_000.0, Kind.BACK, Kind.SHORT, short=1)
    told = history(journal, fill(journal, [*evening, *opened]))
    assert [(each.done, each.taken_back) for each in told.sittings] == [(6, 0), (0, 1)]
    assert log(told, Printed(load("en")))[-1].endswith("     0 ends, 1 end taken back")
    assert told.sittings[1].as_json("ends") | {"began": 0, "ended": 0} == {
        "began": 0, "ended": 0, "ends": 0, "taken_back": 1, "clock_set": 0
    }  # fmt: skip
    onwards = [Event(kind, 50_300.0) for kind in (Kind.RESUME, Kind.NEXT, Kind.LEAVE)]
    undone = sitting(90_000.0, Kind.BACK, Kind.BACK, Kind.BACK)
    told = history(journal, fill(journal, [*evening, *opened, *onwards, *undone]))
    assert [(each.done, each.taken_back) for each in told.sittings] == [(6, 0), (4, 1), (0, 5)]
    assert log(told, Printed(load("en")))[-1].endswith("     0 ends, 5 ends taken back")
    assert told.counted == 4


@pytest.mark.parametrize(("seconds", "told"), [(-3600, "back by 1 h"), (3600, "forward by 1 h")])
def test_the_log_tells_where_the_clock_was_set_and_dates_by_it(journal: Journal, seconds: int, told: str) -> None:
    evening = sitting(0.0, Kind.NEXT, Kind.NEXT)
    set_then = [Event(Kind.CLOCK_SET, 150.0, seconds, "clock"), Event(Kind.NEXT, 180.0), Event(Kind.LEAVE, 240.0)]
    record = fill(journal, [*evening, *set_then])
    (came_to,) = history(journal, record).sittings
    assert (came_to.began, came_to.ended) == (local(seconds), local(seconds + 240))
    assert (came_to.done, came_to.clock_set) == (6, seconds)
    lines = log(history(journal, record), Printed(load("en")))
    assert any(f"the clock was set {told} in this sitting" in line for line in lines)
    assert replayed(journal, record).place.busy == 240


def test_a_machine_that_wakes_in_1970_and_asks_the_time_is_dated_by_what_it_was_told(journal: Journal) -> None:
    now = 1_767_384_000
    woken = [Event(Kind.SIT_DOWN, 30.0, 4), Event(Kind.CLOCK_SET, 40.0, now, "clock"), Event(Kind.NEXT, 60.0)]
    (came_to,) = history(journal, record := fill(journal, woken)).sittings
    assert (came_to.began, came_to.ended) == (local(now + 30), local(now + 60))
    told = story(record, journal.events(record), load("en"))
    assert (told.seconds, local(told.stretches[0][0][0])) == (30, came_to.began)


def test_a_sitting_that_seems_to_begin_before_the_last_one_ended_is_told_and_costs_no_time(journal: Journal) -> None:
    evening = sitting(50_000.0, Kind.NEXT, Kind.NEXT, Kind.NEXT, Kind.LEAVE)
    set_back = sitting(0.0, Kind.UNEVEN, Kind.OVER, Kind.LEAVE)
    record = fill(journal, [*evening, *set_back])
    lines = log(history(journal, record), Printed(load("en")))
    before = next(n for n, line in enumerate(lines) if "the clock was set back before this sitting" in line)
    assert local(0.0).strftime("%Y-%m-%d %H:%M") in lines[before + 1]
    assert replayed(journal, record).place.busy == 240 + 180
    forward = fill(journal, [*set_back, *evening])
    assert not any("the clock" in line for line in log(history(journal, forward), Printed(load("en"))))


def test_a_note_from_another_window_keeps_its_own_date(journal: Journal) -> None:
    noted = Event(Kind.NOTE, 5_000.0, source="written", text="new cone")
    events = [*sitting(0.0, Kind.NEXT), noted, Event(Kind.CLOCK_SET, 90.0, 4_900), Event(Kind.LEAVE, 120.0)]
    record = fill(journal, events)
    assert [note.at for note in story(record, journal.events(record), load("en")).notes] == [5_000.0]


def test_mode_survives_the_night(journal: Journal) -> None:
    record = fill(journal, [*EVENTS[:3], Event(Kind.OVER, 30.0, 2), Event(Kind.LEAVE, 31.0)])
    assert replayed(journal, record).mode is ModeName.OFF
