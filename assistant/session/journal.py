"""Every event of every warp, durable in SQLite before anything is said about it; resume is by replay."""

import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from hashlib import sha256
from itertools import count
from pathlib import Path
from typing import Self

from filelock import FileLock, Timeout

from assistant import folders
from assistant.errors import JournalError, refusal
from assistant.files import PRIVATE, write_whole
from assistant.session.events import NOT_LOOKED_FOR, Event, Kind, Origin
from assistant.warp.model import Warp
from assistant.warp.sequence import dump, loads

VERSION = 5
WAIT_FOR_LOCK = 3.0  # seconds
LOOK_AGAIN = 0.01  # seconds

SCHEMA = """
CREATE TABLE warps (
    id INTEGER PRIMARY KEY,
    file TEXT NOT NULL,
    sequence TEXT NOT NULL,
    began REAL NOT NULL,
    job TEXT NOT NULL DEFAULT 'thread'
);
CREATE TABLE events (
    warp INTEGER NOT NULL REFERENCES warps(id),
    step INTEGER NOT NULL,
    at REAL NOT NULL,
    kind TEXT NOT NULL,
    number INTEGER,
    source TEXT NOT NULL,
    text TEXT NOT NULL DEFAULT '',
    alike TEXT,
    PRIMARY KEY (warp, step)
) WITHOUT ROWID;
"""

FROM_BEFORE = {  # what each older version needs, to stand where it stood when it is replayed
    1: (
        "ALTER TABLE warps ADD COLUMN job TEXT NOT NULL DEFAULT 'thread'",
        f"UPDATE events SET source = source || '{NOT_LOOKED_FOR}' WHERE kind = 'uneven'",
    ),
    2: (
        "UPDATE events SET source = 'voice, not asked' WHERE source = 'voice' AND kind IN ('redo', 'settle', 'uneven')",
    ),
    3: ("ALTER TABLE events ADD COLUMN text TEXT NOT NULL DEFAULT ''",),
    4: ("UPDATE events SET kind = 'finished' WHERE kind = 'done'", "ALTER TABLE events ADD COLUMN alike TEXT"),
}
COLUMNS = "at, kind, number, source, text, alike"  # of an event, as `to_row` gives them

EventRow = tuple[float, str, int | str | None, str, str, str | None]


def to_row(event: Event) -> EventRow:
    """An event as the journal keeps it.

    A row of shafts read aloud is kept as "row 3 4 1" in place of the number, numbers that sound alike as "1-9 5-9".
    """
    number = " ".join(("row", *map(str, event.row))) if event.row else event.number
    alike = None if event.alike is None else " ".join(f"{one}-{other}" for one, other in event.alike)
    return event.at, event.kind.value, number, event.source, event.text, alike


def from_row(row: EventRow) -> Event:
    """The event a row holds. Raises ValueError for a kind this version does not know."""
    at, kind, number, source, text, alike = row
    shafts = tuple(map(int, number.split()[1:])) if isinstance(number, str) else ()
    counted = None if isinstance(number, str) else number
    pairs = None if alike is None else tuple(_pair(pair) for pair in alike.split())
    return Event(Kind(kind), at, counted, source, shafts, text, pairs)


def _pair(text: str) -> tuple[int, int]:
    one, other = map(int, text.split("-"))
    return one, other


@dataclass(frozen=True, slots=True)
class Record:
    """One job on one warp in the journal: its file, and the sequence as it was begun, or as `revise` left it."""

    id: int
    file: str
    sequence: str
    began: float
    job: str

    @property
    def warp(self) -> Warp:
        """The warp that its events are replayed on."""
        return loads(self.sequence.encode(), self.file)


def default_path() -> Path:
    """Where the journal lies."""
    return folders.data() / "journal.sqlite3"


class Journal:
    """The journal file. Use as a context; every failure is a JournalError and leaves the file as it was."""

    def __init__(self, path: Path):
        self.path = path
        with self._plainly():
            folders.own(path.parent)
            for each in (path, path.with_name(f"{path.name}-wal"), path.with_name(f"{path.name}-shm")):
                folders.tighten(each)
            self._db = sqlite3.connect(path, timeout=WAIT_FOR_LOCK, isolation_level=None, check_same_thread=False)
        try:
            self._open()
        except JournalError:
            self._db.close()
            raise

    def _open(self) -> None:
        with self._plainly():
            if (found := self._db.execute("PRAGMA quick_check(1)").fetchone()) != ("ok",):
                raise self._damaged(found[0])
            self._write_ahead()
            self._db.execute("PRAGMA synchronous = FULL")
            with self._transaction():
                version = self._db.execute("PRAGMA user_version").fetchone()[0]
                if version == 0:
                    for statement in SCHEMA.split(";"):
                        self._db.execute(statement)
                for before, statements in FROM_BEFORE.items():
                    for statement in statements if 0 < version <= before else ():
                        self._db.execute(statement)
                if version < VERSION:
                    self._db.execute(f"PRAGMA user_version = {VERSION}")
        if version > VERSION:
            raise JournalError(
                "{file}: written by a newer heddlecall; install that one to go on",
                file=self.path,
            )

    def _write_ahead(self) -> None:
        """Switch to a write-ahead log; SQLite itself waits here for nobody who opens the same new file."""
        end = time.monotonic() + WAIT_FOR_LOCK
        while True:
            try:
                self._db.execute("PRAGMA journal_mode = WAL")
                return
            except sqlite3.OperationalError as error:
                if not _busy(error) or time.monotonic() > end:
                    raise
            time.sleep(LOOK_AGAIN)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._db.close()

    def _damaged(self, detail: object) -> JournalError:
        return JournalError(
            "{file}: the journal is damaged ({detail}); it was left as it is: "
            "copy it to a safe place, then move it away to begin a new one",
            file=self.path,
            detail=str(detail),
        )

    @contextmanager
    def _plainly(self) -> Iterator[None]:
        """Turn what SQLite and the disk can say into one line for the weaver."""
        try:
            yield
        except sqlite3.Error as error:
            raise self._told(error) from error
        except OSError as error:
            raise JournalError(
                "{file}: {why}; see to the folder's rights and room",
                file=self.path,
                why=refusal(error),
            ) from error

    def _told(self, error: sqlite3.Error) -> JournalError:
        code = _code(error)
        if _busy(error):
            return JournalError(
                "{file}: the journal is in use by another program; close that one and try again", file=self.path
            )
        if code.startswith("SQLITE_CONSTRAINT"):
            return JournalError(
                "{file}: this warp has moved on in another window; go on there, or start again here", file=self.path
            )
        if code.startswith("SQLITE_FULL"):
            return JournalError(
                "{file}: the disk is full; all up to the last step is saved: make room and go on", file=self.path
            )
        if code.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_IOERR")):
            return JournalError(
                "{file}: the journal cannot be written ({why}); see to the folder's rights and room",
                file=self.path,
                why=str(error),
            )
        return self._damaged(error)

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        self._db.execute("BEGIN IMMEDIATE")
        try:
            yield
        except BaseException:
            self._db.execute("ROLLBACK")
            raise
        self._db.execute("COMMIT")

    def records(self, file: Path | None = None, job: str | None = None) -> list[Record]:
        """What was begun, of this file or of all, this job or every one, the latest begun first."""
        with self._plainly():
            rows = self._db.execute(
                "SELECT id, file, sequence, began, job FROM warps "
                "WHERE (?1 IS NULL OR file = ?1) AND (?2 IS NULL OR job = ?2) ORDER BY id DESC",
                (str(file.resolve()) if file else None, job),
            ).fetchall()
        return [Record(*row) for row in rows]

    def begin(self, file: Path, job: str, warp: Warp, at: float) -> Record:
        """A new record for this job; an older one of the same file is kept, and no longer resumed."""
        place, sequence = str(file.resolve()), dump(warp)
        with self._plainly():
            cursor = self._db.execute(
                "INSERT INTO warps (file, sequence, began, job) VALUES (?, ?, ?, ?)", (place, sequence, at, job)
            )
        return Record(cursor.lastrowid or 0, place, sequence, at, job)

    def under_way(self, file: Path, job: str) -> Record | None:
        """The record to resume for this job of this file: the latest begun."""
        return next(iter(self.records(file, job)), None)

    def revise(self, record: Record, warp: Warp) -> Record:
        """The record goes on with an edited sequence; its events are kept."""
        sequence = dump(warp)
        with self._plainly():
            self._db.execute("UPDATE warps SET sequence = ? WHERE id = ?", (sequence, record.id))
        return replace(record, sequence=sequence)

    @contextmanager
    def hold(self, file: Path, job: str, window: str) -> Iterator[None]:
        """Keep this job of this file to ourselves for a sitting; `window` says to others which one has it.

        Before this nothing is read that is acted on, so that one window has one record. Raises JournalError where
        another window has it.
        """
        place = str(file.resolve())
        name = sha256(f"{place}\n{job}".encode()).hexdigest()[:16]
        told = self.path.with_name(f"sitting-{name}.window")
        with self._plainly(), ExitStack() as held:
            try:
                held.enter_context(FileLock(told.with_suffix(".lock"), timeout=0, mode=PRIVATE))
            except Timeout as error:
                window = _named(told)
                raise JournalError(
                    "{file}: another window has this warp ({window}); go on there"
                    if window
                    else "{file}: another window has this warp; go on there",
                    file=place,
                    window=window,
                ) from error
            write_whole(told, window.encode(), private=True)
            held.callback(told.unlink, missing_ok=True)
            kept = held.pop_all()
        with kept:
            yield

    def events(self, record: Record) -> list[Event]:
        """All events of a warp, in order."""
        with self._plainly():
            rows = self._db.execute(
                f"SELECT {COLUMNS} FROM events WHERE warp = ? ORDER BY step", (record.id,)
            ).fetchall()
        try:
            return [from_row(row) for row in rows]
        except ValueError as error:
            raise self._damaged(error) from error

    def keep(self, record: Record) -> Callable[[Event], None]:
        """A function that makes each further event of a warp durable before it returns; notes may come in between."""
        with self._plainly():
            steps = self._db.execute("SELECT count(*) FROM events WHERE warp = ?", (record.id,)).fetchone()[0]
        step = count(steps)

        def append(event: Event) -> None:
            with self._plainly():
                while not self._kept_at(record, next(step), event):
                    pass

        return append

    def _kept_at(self, record: Record, step: int, event: Event) -> bool:
        """Keep an event as this step; False where a note that was written meanwhile has taken it."""
        try:
            self._db.execute(
                f"INSERT INTO events (warp, step, {COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                (record.id, step, *to_row(event)),
            )
        except sqlite3.IntegrityError:
            query = "SELECT 1 FROM events WHERE warp = ? AND step = ? AND source = ?"
            if self._db.execute(query, (record.id, step, Origin.WRITTEN)).fetchone():
                return False
            raise
        return True

    def note(self, record: Record, text: str, at: float) -> None:
        """Put a note after all that is kept of a warp; a sitting in another window goes on undisturbed."""
        event = Event(Kind.NOTE, at, source=Origin.WRITTEN, text=text)
        with self._plainly():
            self._db.execute(
                f"INSERT INTO events (warp, step, {COLUMNS}) "
                "SELECT ?1, coalesce(max(step) + 1, 0), ?2, ?3, ?4, ?5, ?6, ?7 FROM events WHERE warp = ?1",
                (record.id, *to_row(event)),
            )

    def worked_on_last(self, file: Path | None = None, job: str | None = None) -> Record | None:
        """The record, of this file or of all, this job or every one, in which something happened last."""
        records = self.records(file, job)
        return max(records, key=self._last, default=None)

    def _last(self, record: Record) -> float:
        query = "SELECT max(at) FROM events WHERE warp = ? AND source != ?"
        with self._plainly():
            last: float | None = self._db.execute(query, (record.id, Origin.WRITTEN)).fetchone()[0]
        return record.began if last is None else last


def _code(error: sqlite3.Error) -> str:
    return getattr(error, "sqlite_errorname", "") or ""


def _busy(error: sqlite3.Error) -> bool:
    return _code(error).startswith(("SQLITE_BUSY", "SQLITE_LOCKED"))


def _named(told: Path) -> str:
    """Which window has a job, as far as is known; "" where it has only just taken it."""
    try:
        return told.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return ""
