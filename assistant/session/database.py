"""The journal's file as SQLite has it: made, brought up to date, copied to be read; what it says, in plain words."""

import errno
import os
import sqlite3
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import TypeVar

from assistant import folders
from assistant.alone import identity
from assistant.errors import JournalError, refusal
from assistant.files import numbered, read_whole, sync_folder, write_whole
from assistant.meaning import Tell
from assistant.session.events import AS_BEFORE, CALLED_THEN, NOT_ASKED, NOT_LOOKED_FOR, SHAFTS_ALONE
from assistant.session.rows import COLUMNS

VERSION = 11
SAY_AFTER_S = 1.0  # of waiting for another program, the weaver is told
WAIT_S = 30.0  # for another program, at most
LOOK_AGAIN_S = 0.01

# What the file itself tells of a record's sitting: SQLite's log beside it, the -wal, holds what came last, and may be
# lost without a word. Found without a log, ABOVE says that nothing is gone, and ALONE that something may be.
LEFT, ABOVE, ALONE, GONE = range(4)  # nobody sits; the log has more; the log is to have more; it had, and is gone

SCHEMA = """
CREATE TABLE warps (
    id INTEGER PRIMARY KEY,
    file TEXT NOT NULL,
    sequence TEXT NOT NULL,
    began REAL NOT NULL,
    job TEXT NOT NULL DEFAULT 'thread',
    log INTEGER NOT NULL DEFAULT 0,
    begun TEXT
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
    about TEXT,
    PRIMARY KEY (warp, step)
) WITHOUT ROWID;
"""

BEGINNING = b"SQLite format 3\0"  # of any file of SQLite's
WARP_COLUMNS = "id, file, sequence, began, job, log, begun"

FROM_BEFORE = {  # what each older version needs, to stand where it stood when it is replayed
    1: (
        "ALTER TABLE warps ADD COLUMN job TEXT NOT NULL DEFAULT 'thread'",
        f"UPDATE events SET source = source || '{NOT_LOOKED_FOR}' WHERE kind = 'uneven'",
    ),
    2: (
        f"UPDATE events SET source = source || '{NOT_ASKED}'"
        " WHERE source = 'voice' AND kind IN ('redo', 'settle', 'uneven')",
    ),
    3: ("ALTER TABLE events ADD COLUMN text TEXT NOT NULL DEFAULT ''",),
    4: ("UPDATE events SET kind = 'finished' WHERE kind = 'done'", "ALTER TABLE events ADD COLUMN alike TEXT"),
    5: ("ALTER TABLE warps ADD COLUMN log INTEGER NOT NULL DEFAULT 0",),
    6: (
        f"UPDATE events SET source = source || '{AS_BEFORE}'"
        " WHERE kind IN ('finished', 'next', 'resume', 'back', 'redo', 'find', 'uneven')",
        f"UPDATE events SET source = source || '{AS_BEFORE}' WHERE source NOT LIKE '%{AS_BEFORE}'"
        " AND warp IN (SELECT id FROM warps WHERE job = 'read')",
        f"UPDATE events SET source = source || '{AS_BEFORE}' WHERE kind IN ('short', 'over', 'number')"
        " AND warp IN (SELECT id FROM warps WHERE job = 'sley')",
        "ALTER TABLE events ADD COLUMN about TEXT",
    ),
    7: (
        f"UPDATE events SET source = source || '{SHAFTS_ALONE}' WHERE kind IN ('next', 'finished', 'find', 'uneven')"
        " AND warp IN (SELECT id FROM warps WHERE job = 'read')",
    ),
    8: (
        f"UPDATE events SET source = source || '{NOT_LOOKED_FOR}' WHERE kind IN ('find', 'uneven')"
        f" AND source NOT LIKE '%{NOT_LOOKED_FOR}' AND warp IN (SELECT id FROM warps WHERE job = 'sley')",
    ),
    9: ("ALTER TABLE warps ADD COLUMN begun TEXT",),
    10: (
        f"UPDATE events SET source = source || '{CALLED_THEN}' WHERE kind = 'sit down'"
        " AND warp IN (SELECT id FROM warps WHERE job IN ('sley', 'thread', 'check', 'read'))",
    ),
}

Speak = Callable[[Tell], None]
_T = TypeVar("_T")


class Database:
    """The file to write to, made where there is none, and brought up to date. Every failure is a JournalError."""

    def __init__(self, path: Path, speak: Speak):
        """`speak` tells the weaver that another program is waited for."""
        self.path, self.speak = path, speak
        self.open()

    def open(self) -> None:
        """Take whatever lies there now."""
        with plainly(self.path):
            folders.own(self.path.parent)
            for each in self._files():
                folders.tighten(each)
            gone = _without_log(self.path)
            self.db = sqlite3.connect(self.path, timeout=SAY_AFTER_S, isolation_level=None, check_same_thread=False)
        try:
            with plainly(self.path):
                self.waiting(self._prepare)
                if gone:
                    self.waiting(lambda: _note_what_is_gone(self.db))
        except BaseException:
            self.db.close()
            raise
        self._found, self._seen = self._identities(), _stamp(self.path)

    def _prepare(self) -> None:
        self.db.text_factory = as_text
        _check(self.db, self.path)
        self.db.execute("PRAGMA journal_mode = WAL")
        self.db.execute("PRAGMA synchronous = FULL")
        self.db.execute("PRAGMA wal_autocheckpoint = 0")  # `make_whole` does it
        _bring_up_to_date(self.db, self.path, lambda: _keep_as_it_was(self.path))

    def _files(self) -> tuple[Path, ...]:
        return self.path, log_of(self.path), self.path.with_name(f"{self.path.name}-shm")

    def _identities(self) -> list[tuple[int, int] | None]:
        return [identity(self.path), identity(log_of(self.path))]

    @property
    def taken_away(self) -> bool:
        """The file or its log is no longer where it was opened, or another lies there."""
        return self._identities() != self._found

    def check_whole(self) -> None:
        """Where somebody else wrote to the file itself since it was last looked at, see that it is still a journal."""
        if (stamp := _stamp(self.path)) != self._seen:
            with plainly(self.path), closing(sqlite3.connect(self.path, timeout=SAY_AFTER_S)) as fresh:
                _check(fresh, self.path)
            self._seen = stamp

    def make_whole(self) -> None:
        """Put into the file itself what so far only the log holds, marked there as ALONE.

        The marks need no syncing of their own: the checkpoint syncs those before it, and without those after it a power
        failure would only be told of too carefully.
        """
        self.db.execute("PRAGMA synchronous = NORMAL")
        try:
            self.db.execute("UPDATE warps SET log = ? WHERE log = ?", (ALONE, ABOVE))
            self.db.execute("PRAGMA wal_checkpoint(PASSIVE)")
            self._seen = _stamp(self.path)
            self.db.execute("UPDATE warps SET log = ? WHERE log = ?", (ABOVE, ALONE))
        finally:
            self.db.execute("PRAGMA synchronous = FULL")

    def waiting(self, act: Callable[[], _T]) -> _T:
        """As `waiting`."""
        return waiting(act, self.speak)

    def write(self, statement: str, values: Sequence[object]) -> int:
        """The number of the row that was put in."""
        with plainly(self.path):
            return self.waiting(lambda: self.db.execute(statement, values)).lastrowid or 0


def as_text(content: bytes) -> str | bytes:
    """What lies in the file as text, where it is some."""
    try:
        return content.decode()
    except UnicodeDecodeError:
        return content


def _stamp(path: Path) -> tuple[int, int]:
    try:
        found = path.stat()
    except OSError:
        return 0, 0
    return found.st_mtime_ns, found.st_size


class Copy:
    """What the file holds at this moment, in memory and brought up to date; without a file, a journal of nothing.

    The file is not written to, nor is anything beside it. Raises JournalError.
    """

    def __init__(self, path: Path, speak: Speak):
        self.db = sqlite3.connect(":memory:", isolation_level=None)
        self.db.text_factory = as_text
        self.whole = True  # its log could be read too
        try:
            with plainly(path):
                there, gone = path.exists(), _without_log(path)
                if there:
                    self.whole = waiting(lambda: _copy(path, self.db), speak)
                    _check(self.db, path)
                _bring_up_to_date(self.db, path)
                if gone:
                    _note_what_is_gone(self.db)
        except BaseException:
            self.db.close()
            raise


class Excerpt:
    """A journal out of bytes that may come from anywhere, in memory and brought up to date; `path` is what to call it.

    Raises JournalError.
    """

    def __init__(self, content: bytes, path: Path):
        self.db = sqlite3.connect(":memory:", isolation_level=None)
        self.db.text_factory = as_text
        try:
            with plainly(path):
                if not content.startswith(BEGINNING):
                    raise damaged(path, "schema")
                self.db.execute("PRAGMA trusted_schema = OFF")
                self.db.deserialize(content)
                _check(self.db, path)
                found = {tuple(row) for row in self.db.execute("SELECT type, name FROM sqlite_master")}
                if found != {("table", "warps"), ("table", "events")}:
                    raise damaged(path, "schema")
                _bring_up_to_date(self.db, path)
        except BaseException:
            self.db.close()
            raise


def excerpt(db: sqlite3.Connection, warps: Iterable[int], file: str) -> bytes:
    """A journal of these records alone, as bytes; `file` is what it calls theirs."""
    tables = (("warps", "id", WARP_COLUMNS), ("events", "warp", f"warp, step, {COLUMNS}"))
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as apart:
        _bring_up_to_date(apart, Path(file))
        for number in warps:
            for table, key, columns in tables:
                rows = db.execute(f"SELECT {columns} FROM {table} WHERE {key} = ?", (number,)).fetchall()
                places = ", ".join("?" * len(columns.split(",")))
                apart.executemany(f"INSERT INTO {table} ({columns}) VALUES ({places})", rows)
        apart.execute("UPDATE warps SET file = ?, log = CASE log WHEN ? THEN log ELSE ? END", (file, GONE, LEFT))
        return apart.serialize()


def log_of(path: Path) -> Path:
    """SQLite's write-ahead log of the file."""
    return path.with_name(f"{path.name}-wal")


def _without_log(path: Path) -> bool:
    try:
        return log_of(path).stat().st_size == 0
    except FileNotFoundError:
        return True


def _copy(path: Path, into: sqlite3.Connection) -> bool:
    """Copy the file as it is; False where its log cannot be read, so that what was done last may be missing."""
    while _without_log(path):  # as SQLite reads it, it would make files beside
        before = path.stat()
        _back_up(f"{path.resolve().as_uri()}?immutable=1", into)
        after = path.stat()
        if _without_log(path) and (before.st_mtime_ns, before.st_size) == (after.st_mtime_ns, after.st_size):
            return True
    try:
        _back_up(f"{path.resolve().as_uri()}?mode=ro", into)
    except sqlite3.OperationalError as error:
        if not _code(error).startswith(UNWRITABLE):
            raise
        _back_up(f"{path.resolve().as_uri()}?immutable=1", into)
        return False
    return True


def _back_up(uri: str, into: sqlite3.Connection) -> None:
    with closing(sqlite3.connect(uri, uri=True, timeout=SAY_AFTER_S)) as source:
        source.backup(into)


def _check(db: sqlite3.Connection, path: Path) -> None:
    if (found := db.execute("PRAGMA quick_check(1)").fetchone()) != ("ok",):
        raise damaged(path, found[0])


def _bring_up_to_date(db: sqlite3.Connection, path: Path, keep: Callable[[], None] = lambda: None) -> None:
    """`keep` is done before what an older version wrote is changed."""
    if _version(db) < VERSION:
        with transaction(db):
            version = _version(db)  # another may have been faster
            if 0 < version < VERSION:
                keep()
            for statement in SCHEMA.split(";") if version == 0 else ():
                db.execute(statement)
            for before, statements in FROM_BEFORE.items():
                for statement in statements if 0 < version <= before else ():
                    db.execute(statement)
            db.execute(f"PRAGMA user_version = {max(version, VERSION)}")
    if _version(db) > VERSION:
        raise JournalError("{file}: written by a newer heddlecall; install that one to go on", file=path)


def _keep_as_it_was(path: Path) -> None:
    """Lay a durable copy beside the file, as journal-before-9.sqlite3, never over another, nor the same one twice."""
    with closing(sqlite3.connect(":memory:")) as copy:
        _back_up(f"{path.resolve().as_uri()}?mode=ro", copy)
        content = copy.serialize()
    for name in numbered(path.with_stem(f"{path.stem}-before-{VERSION}")):
        if not os.path.lexists(name):
            write_whole(name, content, private=True, fresh=True)
            sync_folder(name.parent)
            return
        with suppress(OSError):  # larger, or no file
            if read_whole(name, len(content)) == content:
                return


def _version(db: sqlite3.Connection) -> int:
    version: int = db.execute("PRAGMA user_version").fetchone()[0]
    return version


def _note_what_is_gone(db: sqlite3.Connection) -> None:
    if db.execute("SELECT 1 FROM warps WHERE log = ?", (ALONE,)).fetchone():
        db.execute("UPDATE warps SET log = ? WHERE log = ?", (GONE, ALONE))


@contextmanager
def transaction(db: sqlite3.Connection) -> Iterator[None]:
    """All of it or nothing."""
    db.execute("BEGIN IMMEDIATE")
    try:
        yield
        db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:  # a full disk may have ended it
            db.execute("ROLLBACK")
        raise


def waiting(act: Callable[[], _T], speak: Speak) -> _T:
    """Do it as soon as no other program holds the file, and say so where that takes long.

    Each try of `act` waits by itself too. Raises sqlite3.OperationalError after WAIT_S.
    """
    began, said = time.monotonic(), False
    while True:
        try:
            done = act()
        except sqlite3.OperationalError as error:
            waited = time.monotonic() - began
            if not _busy(error) or waited > WAIT_S:
                raise
            if waited >= SAY_AFTER_S and not said:
                speak(Tell("journal held"))
                said = True
            time.sleep(LOOK_AGAIN_S)
        else:
            if said:
                speak(Tell("journal free"))
            return done


def damaged(path: Path, detail: object) -> JournalError:
    """What to do with a file that SQLite cannot read."""
    return JournalError(
        "{file}: the journal is damaged ({detail}); it was left as it is: "
        "copy it to a safe place, then move it away to begin a new one",
        file=path,
        detail=str(detail),
    )


LOCKLESS = (errno.ENOSYS, errno.ENOLCK, errno.EOPNOTSUPP)
NO_LOCK = "{file}: no lock can be made there ({why}); keep the journal on a disk of this machine: set HEDDLECALL_DATA"


@contextmanager
def plainly(path: Path) -> Iterator[None]:
    """Turn what SQLite and the disk can say into one line for the weaver."""
    try:
        yield
    except sqlite3.Error as error:
        raise _told(path, error) from error
    except OSError as error:
        told = NO_LOCK if error.errno in LOCKLESS else "{file}: {why}; see to the folder's rights and room"
        raise JournalError(told, file=path, why=refusal(error)) from error


UNWRITABLE = ("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_IOERR", "SQLITE_FULL")


def _told(path: Path, error: sqlite3.Error) -> JournalError:
    code = _code(error)
    if _busy(error):
        return JournalError("{file}: the journal is in use by another program; close that one and try again", file=path)
    if code.startswith("SQLITE_CONSTRAINT"):
        return JournalError(
            "{file}: this warp has moved on in another window; go on there, or start again here", file=path
        )
    if code.startswith("SQLITE_FULL"):
        return JournalError(
            "{file}: the disk is full; all up to the last step is saved: make room and go on", file=path
        )
    if code.startswith(UNWRITABLE):
        return JournalError(
            "{file}: the journal cannot be written ({why}); see to the folder's rights and room",
            file=path,
            why=str(error),
        )
    return damaged(path, error)


def _code(error: sqlite3.Error) -> str:
    return getattr(error, "sqlite_errorname", "") or ""


def _busy(error: sqlite3.Error) -> bool:
    return _code(error).startswith(("SQLITE_BUSY", "SQLITE_LOCKED"))
