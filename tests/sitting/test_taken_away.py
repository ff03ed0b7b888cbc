"""The journal is taken away under a sitting, held by another program, or lost in part."""

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from waiting import wait

from assistant.cli import main
from assistant.errors import JournalError
from assistant.meaning import Tell
from assistant.session.events import Event, Kind
from assistant.session.history import BESIDE
from assistant.session.journal import Journal, Record, Records
from assistant.session.keeping import EVERY
from assistant.warp.sequence import loads

FILE = Path("runner.yaml")
WARP = loads(b"{title: Runner, shafts: 4, groups: [{name: body, thread: 25(1 2 3 4)}]}", "runner.yaml")
EVENTS = [Event(Kind.SIT_DOWN, 1.0), *[Event(Kind.NEXT, 10.0 * n, source="pedal") for n in range(1, 30)]]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / "journal.sqlite3"


def delete_folder(path: Path) -> None:
    shutil.rmtree(path.parent)


def move_folder(path: Path) -> None:
    path.parent.rename(path.parent.with_name("moved"))


def delete_file(path: Path) -> None:
    path.unlink()


def delete_all_of_it(path: Path) -> None:
    for file in path.parent.glob("journal.sqlite3*"):
        file.unlink()


def move_file(path: Path) -> None:
    path.rename(path.with_name("old.sqlite3"))


def delete_log(path: Path) -> None:
    path.with_name(f"{path.name}-wal").unlink()


def replace(path: Path) -> None:
    with Journal(path.with_name("other.sqlite3")) as other:
        other.begin(Path("towels.yaml"), "thread", WARP, 5.0)
    path.with_name("other.sqlite3").replace(path)


def put_a_backup_there(path: Path) -> None:
    """As it was before the last steps."""
    delete_all_of_it(path)
    with Journal(path) as journal:
        keep = journal.keep(journal.begin(FILE, "thread", WARP, 0.0))
        keep(EVENTS[0])


@pytest.mark.parametrize(
    "take_away",
    [
        delete_folder,
        move_folder,
        delete_file,
        delete_all_of_it,
        move_file,
        delete_log,
        replace,
        put_a_backup_there,
    ],
)
@pytest.mark.parametrize("after", [1, 3, EVERY + 1])
def test_a_journal_that_was_taken_away_is_written_anew_with_all_it_held(
    path: Path, take_away: Callable[[Path], None], after: int
) -> None:
    told: list[Tell] = []
    with Journal(path, told.append) as journal:
        other = journal.begin(Path("blanket.yaml"), "sley", WARP, 0.0)
        journal.keep(other)(EVENTS[0])
        with journal.hold(FILE, "thread", "here"):
            keep = journal.keep(journal.begin(FILE, "thread", WARP, 0.0))
            for event in EVENTS[:after]:
                keep(event)
            assert told == []
            take_away(path)
            for event in EVENTS[after:]:
                keep(event)
            assert told == [Tell("journal anew")]
            with Records.read(path) as there:
                (record,) = there.records(FILE)
                assert there.events(record) == EVENTS
            with (
                Journal(path) as there,
                pytest.raises(JournalError, match=r"another window has this warp \(here\)"),
                there.hold(FILE, "thread", "there"),
            ):
                pass
        keep(Event(Kind.LEAVE, 999.0))
    with Records.read(path) as there:
        assert len(there.events(record)) == len(EVENTS) + 1
        others = [each.file for each in there.records() if each.id != record.id]
        assert bool(others) == (take_away is not put_a_backup_there)
        assert not any(each.cut_off for each in there.records())


def test_a_journal_overwritten_in_its_place_ends_the_sitting(path: Path) -> None:
    with Journal(path) as journal:
        keep = journal.keep(journal.begin(FILE, "thread", WARP, 0.0))
        keep(EVENTS[0])
        path.write_bytes(b"something else" * 1000)
        with pytest.raises(JournalError, match="the journal is damaged"):
            keep(EVENTS[1])


def test_where_it_cannot_be_written_anew_the_sitting_ends(path: Path) -> None:
    with Journal(path) as journal:
        keep = journal.keep(journal.begin(FILE, "thread", WARP, 0.0))
        keep(EVENTS[0])
        shutil.rmtree(path.parent)
        path.parent.write_text("a file where the folder was")
        with pytest.raises(JournalError, match="see to the folder's rights"):
            keep(EVENTS[1])


HOLD = """
import sqlite3, sys, time
db = sqlite3.connect(sys.argv[1], isolation_level=None)
db.execute("BEGIN EXCLUSIVE")
print("held", flush=True)
sys.stdin.readline()
"""


def test_a_journal_that_another_program_holds_is_waited_for_and_that_is_said(path: Path) -> None:
    told: list[Tell] = []
    with Journal(path) as journal:
        record = journal.begin(FILE, "thread", WARP, 0.0)
        keep = journal.keep(record)
        keep(EVENTS[0])
        holder = subprocess.Popen(
            [sys.executable, "-c", HOLD, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        assert holder.stdin
        assert holder.stdout
        holder.stdout.readline()

        def tell(what: Tell) -> None:
            told.append(what)
            if what == Tell("journal held"):
                holder.communicate("go on\n")

        journal.speak_by(tell)
        keep(EVENTS[1])
        assert told == [Tell("journal held"), Tell("journal free")]
        assert journal.events(record) == EVENTS[:2]


def killed(path: Path, events: int) -> None:
    """A sitting in a process of its own that is killed once so many events were kept."""
    child = os.fork()
    if not child:
        try:
            journal = Journal(path)
            keep = journal.keep(journal.begin(FILE, "thread", WARP, 0.0))
            for event in EVENTS[:events]:
                keep(event)
            os.kill(os.getpid(), signal.SIGKILL)
        finally:
            os._exit(1)
    _, status = os.waitpid(child, 0)
    assert os.WTERMSIG(status) == signal.SIGKILL


def left(path: Path) -> tuple[Record, list[Event]]:
    """The record, and its events, as a command that reads finds them and as one that writes does."""
    with Records.read(path) as there:
        (record,) = there.records(FILE)
        events = there.events(record)
    with Journal(path) as journal:
        assert (journal.records(FILE), journal.events(record)) == ([record], events)
    return record, events


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork on this system")
@pytest.mark.parametrize("events", [1, 2, EVERY, EVERY + 1, EVERY + 2, 2 * EVERY + 3])
@pytest.mark.parametrize("deleted", [False, True])
def test_what_a_deleted_log_held_is_missed_and_nothing_else(path: Path, events: int, deleted: bool) -> None:
    killed(path, events)
    if deleted:
        for name in ("-wal", "-shm"):
            path.with_name(f"{path.name}{name}").unlink(missing_ok=True)
    record, there = left(path)
    lost = events - len(there)
    assert there == EVENTS[: len(there)]
    assert (lost <= EVERY) if deleted else (lost == 0)
    assert record.cut_off == deleted
    with Journal(path) as journal:
        keep = journal.keep(record)
        keep(Event(Kind.SIT_DOWN, 999.0))
        assert not journal.records(FILE)[0].cut_off
        keep(Event(Kind.LEAVE, 1000.0))
    record, _ = left(path)
    assert not record.cut_off


def test_a_press_waits_for_one_statement_and_the_file_for_the_answer(path: Path) -> None:
    with Journal(path) as journal:
        keep = journal.keep(journal.begin(FILE, "thread", WARP, 0.0))
        keep(EVENTS[0])
        done: list[str] = []
        journal._db.set_trace_callback(done.append)
        checkpoints = 0
        for n in range(3 * EVERY):
            done.clear()
            keep(Event(Kind.NEXT, 100.0 + n))
            assert [statement.split()[0] for statement in done] == ["INSERT"]
            done.clear()
            keep.tidy()
            checkpoints += sum("wal_checkpoint" in statement for statement in done)
        assert checkpoints == 3
        journal._db.set_trace_callback(None)


def test_only_a_log_that_is_lost_is_told_of(path: Path) -> None:
    """Two sittings at once, notes, and a sitting that ends without leaving."""
    with Journal(path) as here, Journal(path) as there:
        one, other = here.begin(FILE, "thread", WARP, 0.0), there.begin(FILE, "sley", WARP, 0.0)
        keep, keep_there = here.keep(one), there.keep(other)
        for event in EVENTS:
            keep(event)
            keep_there(event)
            with Records.read(path) as reading:
                assert not any(record.cut_off for record in reading.records())
        keep(Event(Kind.LEAVE, 999.0))
    with Journal(path) as journal:
        journal.note(one, "a knot", 1000.0)
        assert not any(record.cut_off for record in journal.records())


def test_of_two_sittings_each_misses_what_the_log_held(path: Path, tmp_path: Path) -> None:
    with Journal(path) as here, Journal(path) as there:
        one, other = here.begin(FILE, "thread", WARP, 0.0), there.begin(FILE, "sley", WARP, 0.0)
        keep, keep_there = here.keep(one), there.keep(other)
        for event in EVENTS[:3]:
            keep(event)
            keep_there(event)
        keep(Event(Kind.LEAVE, 999.0))
        alone = tmp_path / "alone.sqlite3"
        shutil.copyfile(path, alone)
    with Records.read(alone) as reading:
        assert {record.job: record.cut_off for record in reading.records()} == {"thread": False, "sley": True}


def kept(path: Path, events: int) -> bool:
    """Whether the only record holds so many events of a sitting."""
    with Records.read(path) as there:
        return any(sum(e.kind not in BESIDE for e in there.events(one)) == events for one in there.records())


@pytest.fixture
def window(tmp_path: Path, path: Path) -> Iterator[Callable[[], subprocess.Popen[str]]]:
    """Opens a window at a warp of 100 ends."""
    file = tmp_path / "runner.yaml"
    file.write_text("{title: Runner, shafts: 4, groups: [{name: body, thread: 25(1 2 3 4)}]}")
    command = [sys.executable, "-m", "assistant", "thread", str(file), "--mute", "--deaf", "--plain"]
    env = os.environ | {"HEDDLECALL_DATA": str(path.parent)}
    windows = []

    def opened() -> subprocess.Popen[str]:
        windows.append(subprocess.Popen(command, env=env, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE))
        return windows[-1]

    yield opened
    for each in windows:
        each.kill()
        each.communicate()


def press_twice(window: subprocess.Popen[str], path: Path) -> None:
    assert wait(lambda: kept(path, 1), 60)
    assert window.stdin
    window.stdin.write("\n\n")
    window.stdin.flush()
    assert wait(lambda: kept(path, 3), 60)


def test_under_a_real_sitting_the_data_folder_is_deleted(
    path: Path, window: Callable[[], subprocess.Popen[str]]
) -> None:
    sitting = window()
    press_twice(sitting, path)
    shutil.rmtree(path.parent)
    told, _ = sitting.communicate("\n\nq\n", timeout=60)
    assert sitting.returncode == 0
    assert "note: The journal was taken away. I have written it anew; nothing is lost." in told
    assert "body, ends 17 to 20 of 100: " in told
    assert kept(path, 6)


def test_a_sitting_whose_last_steps_were_lost_is_told_of_in_the_next_and_in_the_log(
    path: Path,
    window: Callable[[], subprocess.Popen[str]],
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sitting = window()
    press_twice(sitting, path)
    sitting.kill()
    sitting.communicate()
    for name in ("-wal", "-shm"):
        path.with_name(f"{path.name}{name}").unlink()
    told = "The last sitting broke off, and its last steps may be missing. Look at the loom before you go on."
    monkeypatch.setenv("HEDDLECALL_DATA", str(path.parent))
    assert main(["log"]) == 0
    assert capsys.readouterr().err == f"caution: {told}\n"
    shown, _ = window().communicate("q\n", timeout=60)
    assert f"note: {told}" in shown
    assert main(["log"]) == 0
    assert capsys.readouterr().err == ""


def test_a_backup_that_was_copied_over_a_journal_under_a_sitting_ends_it(path: Path, tmp_path: Path) -> None:
    """In place, so that the file is the same, and its log no longer fits it."""
    with Journal(path) as journal:
        keep = journal.keep(journal.begin(FILE, "thread", WARP, 0.0))
        for event in EVENTS[:3]:
            keep(event)
        with Journal(tmp_path / "backup.sqlite3") as backup:
            for number in range(50):
                backup.begin(Path(f"{number}.yaml"), "wind", WARP, 0.0)
        shutil.copyfile(tmp_path / "backup.sqlite3", path)
        with pytest.raises(JournalError, match="damaged"):
            keep(EVENTS[3])


def test_nothing_is_left_open(path: Path) -> None:
    """Neither by reading, nor by writing anew."""
    before = len(os.listdir("/proc/self/fd")) if Path("/proc/self/fd").exists() else 0
    with Journal(path) as journal:
        keep = journal.keep(journal.begin(FILE, "thread", WARP, 0.0))
        for event in EVENTS:
            keep(event)
            shutil.rmtree(path.parent)
        keep(EVENTS[0])
        with Records.read(path) as there:
            assert len(there.records()) == 1
    assert not before or len(os.listdir("/proc/self/fd")) == before


def test_where_another_window_took_the_warp_after_that_both_records_are_kept_and_the_others_is_resumed(
    path: Path,
) -> None:
    told: list[Tell] = []
    with Journal(path, told.append) as journal, journal.hold(FILE, "thread", "here"):
        keep = journal.keep(journal.begin(FILE, "thread", WARP, 0.0))
        for event in EVENTS[:5]:
            keep(event)
        delete_folder(path)
        with Journal(path) as other, other.hold(FILE, "thread", "there"):
            theirs = other.begin(FILE, "thread", WARP, 7.0)
            other.keep(theirs)(EVENTS[0])
            for _ in range(2):
                with pytest.raises(JournalError, match=r"another window has this warp \(there\)"):
                    keep(EVENTS[5])
            other.keep(theirs)(EVENTS[1])
    assert told == [Tell("journal anew")]
    with Records.read(path) as there:
        assert [there.events(each) for each in there.records(FILE)] == [EVENTS[:2], EVENTS[:5]]
        assert there.under_way(FILE, "thread") == there.records(FILE)[0]
