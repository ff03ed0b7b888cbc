"""What is kept can be read: on a full disk, in a folder that cannot be written; nothing is written by it."""

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from warps import warp

from assistant.errors import JournalError
from assistant.meaning import Tell
from assistant.session.database import log_of
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal, Records
from assistant.session.resume import replayed
from assistant.warp.model import Group, Warp
from assistant.warp.passes import THREAD

SAMPLES = Path(__file__).parent / "journals"
FILE = Path("runner.yaml")
EVENTS = [Event(Kind.SIT_DOWN, 1.0, 4), *[Event(Kind.NEXT, 10.0 * n, source="pedal") for n in range(1, 8)]]
ROOT = os.name == "posix" and os.geteuid() == 0
NO_RIGHT_OF_ROOT = ("setpriv", "--bounding-set=-dac_override,-dac_read_search")  # what is not to be written stays so
READING = (("log",), ("log", "--pace"), ("log", "--json"), ("next", "first-evening"), ("plan", "first-evening"))


@pytest.fixture
def path(tmp_path: Path) -> Iterator[Path]:
    yield tmp_path / "data" / "journal.sqlite3"
    if (tmp_path / "data").exists():
        (tmp_path / "data").chmod(0o700)


def lying(folder: Path) -> dict[str, bytes]:
    return {file.name: file.read_bytes() for file in folder.iterdir()}


def fill(journal: Journal) -> None:
    keep = journal.keep(journal.begin(FILE, "thread", warp(), 1.0))
    for event in EVENTS:
        keep(event)


RUN = """
import sys
from assistant.cli import main
for words in WORDS:
    print(">", main(words), flush=True)
"""


def read_all(path: Path, prelude: str = "") -> None:
    """Run every command that reads, with the rights of the folder's owner; each ends well, and nothing is written."""
    before = lying(path.parent)
    done = subprocess.run(
        [*(NO_RIGHT_OF_ROOT if ROOT else ()), sys.executable, "-c", f"{prelude}\nWORDS = {READING!r}\n{RUN}"],
        env=os.environ | {"HEDDLECALL_DATA": str(path.parent), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stderr == ""
    assert [line for line in done.stdout.splitlines() if line.startswith(">")] == ["> 0"] * len(READING)
    assert "Test runner, thread: 18 of 30 ends" in done.stdout
    assert lying(path.parent) == before


@pytest.mark.skipif(os.name != "posix" or (ROOT and not shutil.which("setpriv")), reason="rights cannot be taken here")
@pytest.mark.parametrize("left", ["as it should be", "killed"])
def test_a_folder_that_cannot_be_written_is_read(path: Path, left: str) -> None:
    journal = Journal(path)
    fill(journal)
    if left == "killed":
        for name in ("", "-wal", "-shm"):
            shutil.copyfile(f"{path}{name}", path.parent.with_name(f"killed{name}"))
    journal.__exit__()
    if left == "killed":
        for name in ("", "-wal", "-shm"):
            shutil.copyfile(path.parent.with_name(f"killed{name}"), f"{path}{name}")
    for each in (*path.parent.iterdir(), path.parent):
        each.chmod(0o500 if each.is_dir() else 0o400)
    read_all(path)


@pytest.mark.skipif(os.name != "posix", reason="Windows has no such limits")
def test_a_full_disk_is_read(path: Path) -> None:
    with Journal(path) as journal:
        fill(journal)
    read_all(path, "import resource\nresource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))")


def test_a_log_that_cannot_be_read_is_told_of(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with Journal(path) as journal:
        fill(journal)
        for name in ("", "-wal"):
            shutil.copyfile(f"{path}{name}", path.parent / f"copy.sqlite3{name}")
    copy, told = path.parent / "copy.sqlite3", list[Tell]()
    log_of(copy).unlink()
    log_of(copy).mkdir()
    with Records.read(copy, told.append) as records:
        (record,) = records.records()
        assert records.events(record) == EVENTS[:1]
    assert told == [Tell("log unread", file=copy)]


@pytest.mark.parametrize("version", range(1, 6))
def test_a_journal_from_before_is_read_and_left_as_it_is(path: Path, version: int) -> None:
    path.parent.mkdir()
    shutil.copyfile(SAMPLES / f"journal-{version}.sqlite3", path)
    before = lying(path.parent)
    with Records.read(path) as records:
        read = {record: replayed(records, record).view() for record in records.records()}
        assert len(read) > 10
    assert lying(path.parent) == before
    with Journal(path) as journal:
        assert {record: replayed(journal, record).view() for record in journal.records()} == read


def test_without_a_journal_nothing_is_made(path: Path) -> None:
    with Records.read(path) as records:
        assert records.records() == []
    assert not path.parent.exists()


def test_a_newer_journal_is_not_read(path: Path) -> None:
    with Journal(path) as journal:
        journal._db.execute("PRAGMA user_version = 99")
    with pytest.raises(JournalError, match="newer heddlecall"):
        Records.read(path)


def test_what_was_begun_can_be_read_however_long_it_is(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A name of as many letters as may be, and a number; more groups than a file has values."""
    for limit, most in (("MOST_FIELDS", 50), ("MOST_BYTES", 5000), ("MOST_CHARACTERS", 199)):
        monkeypatch.setattr(f"assistant.warp.source.{limit}", most)
    ends = warp().groups[0].ends
    begun = Warp("x" * 199, warp().loom, tuple(Group(f"{'n' * 199} {number}", ends) for number in range(200)))
    with Journal(path) as journal:
        record = journal.begin(FILE, "thread", begun, 1.0)
        journal.keep(record)(EVENTS[0])
        again = journal.under_way(FILE, "thread")
        assert again
        assert again.warp == begun
        assert replayed(journal, again).job is THREAD


def test_reading_holds_up_nobody_and_is_held_up_by_nobody(path: Path) -> None:
    with Journal(path) as journal:
        fill(journal)
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN EXCLUSIVE")
        with Records.read(path) as records:
            (record,) = records.records()
            assert records.events(record) == EVENTS
            other.execute("ROLLBACK")
            journal.keep(record)(EVENTS[0])
            assert records.events(record) == EVENTS
        other.close()


@pytest.mark.skipif(sys.platform != "linux", reason="names of files are text here")
def test_a_file_named_in_bytes_that_are_no_text_has_a_record_like_any_other(path: Path) -> None:
    file = path.parent.with_name(os.fsdecode(b"runner-\xff.yaml"))
    with Journal(path) as journal:
        record = journal.begin(file, "thread", warp(), 1.0)
        with journal.hold(file, "thread", "here"):
            journal.keep(record)(EVENTS[0])
        assert journal.under_way(file, "thread") == record
        assert journal.records(file) == [record]
    with Records.read(path) as records:
        assert records.records(file) == [record]
