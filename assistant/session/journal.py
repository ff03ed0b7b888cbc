"""Every event of every warp, durable in SQLite before anything is said about it; resume is by replay."""

import os
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from typing import Any, Self, TypeVar

from assistant import folders
from assistant.alone import Alone, Taken, this_window
from assistant.errors import JournalError, SequenceError
from assistant.files import open_plain
from assistant.meaning import Tell
from assistant.session.database import (
    GONE,
    LEFT,
    WARP_COLUMNS,
    Copy,
    Database,
    Excerpt,
    Speak,
    excerpt,
    plainly,
    transaction,
)
from assistant.session.edit import Revision
from assistant.session.events import Event, Kind, Origin
from assistant.session.keeping import Keeper
from assistant.session.rows import COLUMNS, from_row, moment, to_row
from assistant.warp.model import Warp
from assistant.warp.passes import PASSES
from assistant.warp.sequence import dump, loads

AFTER_ALL = (  # put an event after all that is kept of a record
    f"INSERT INTO events (warp, step, {COLUMNS}) "
    "SELECT ?1, coalesce(max(step) + 1, 0), ?2, ?3, ?4, ?5, ?6, ?7, ?8 FROM events WHERE warp = ?1"
)
_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class Record:
    """One job on one warp in the journal: its file, and the sequence as it is by now."""

    id: int
    file: str
    sequence: str
    began: float
    job: str
    cut_off: bool = False  # its last sitting ended without leaving, and some of its last events may be gone
    begun: str = ""  # the sequence as it was begun, where an event tells that it was edited

    @property
    def warp(self) -> Warp:
        """The warp as it is by now. Raises JournalError where what is kept is none."""
        return self._read(self.sequence)

    @property
    def warp_begun(self) -> Warp:
        """The warp that its events are replayed on, from the first. Raises JournalError where what is kept is none."""
        return self._read(self.begun or self.sequence)

    def _read(self, sequence: str) -> Warp:
        try:
            return loads(sequence.encode(), self.file, ours=True)
        except SequenceError as error:
            raise self.unreadable(error.tell) from error

    def unreadable(self, why: Tell) -> JournalError:
        """What to do with a record that cannot be gone on with."""
        return _unreadable(self.file, self.job, why)


@dataclass(frozen=True, slots=True)
class Coming:
    """A record of another journal, with all its events."""

    record: Record
    events: tuple[Event, ...]
    here: Record | None = None  # which holds the first of these events, or all
    behind: bool = False  # a later one of its job is here, which stays the one that is gone on with


def _unreadable(file: object, job: object, why: Tell) -> JournalError:
    return JournalError(
        "{file}: what is kept of its job {job} cannot be read: {why}; it is left as it is: begin anew with --fresh",
        file=str(file),
        job=str(job),
        why=why,
    )


def _record(row: Sequence[Any]) -> Record:
    """The record a row holds. Raises JournalError for a row that no version wrote."""
    number, place, sequence, began, job, log, begun = row
    file = os.fsdecode(place) if isinstance(place, bytes) else place
    try:
        texts = (file, sequence, begun or "")
        sound = all(isinstance(each, str) and "\0" not in each for each in texts) and job in PASSES
        if not sound:
            raise ValueError(row)
        return Record(number, file, sequence, moment(began), job, log == GONE, begun or "")
    except ValueError as error:
        raise _unreadable(file, job, Tell("it does not begin as a record does")) from error


def lies_at(file: Path | str) -> str:
    """Where a file lies, by its whole name; where a link leads to itself, the name of the link."""
    return os.path.realpath(file)


def _kept_as(place: str) -> str | bytes:
    """The name of a file as the journal has it: text, where it is some, else as the system does."""
    try:
        place.encode()
    except UnicodeEncodeError:
        return os.fsencode(place)
    return place


def default_path() -> Path:
    """Where the journal lies."""
    return folders.data() / "journal.sqlite3"


def _silently(_: Tell) -> None:
    pass


class Records:
    """What the journal holds: each job begun on each warp, and its events. Use as a context.

    A record that cannot be read is passed over where others are meant too; `passed_over` tells of each.
    """

    def __init__(self, path: Path, file: Database | Copy | Excerpt):
        self.path = path
        self.passed_over: dict[int, Tell] = {}  # by the number of the record
        self._file: Database | Copy | Excerpt = file

    @property
    def _db(self) -> sqlite3.Connection:
        return self._file.db

    @staticmethod
    def read(path: Path, speak: Speak = _silently) -> "Records":
        """As they are at this moment; nothing is written, and nothing need be writable. Raises JournalError.

        `speak` tells the weaver that another program is waited for, and of what may be missing.
        """
        copy = Copy(path, speak)
        if not copy.whole:
            speak(Tell("log unread", file=path))
        return Records(path, copy)

    @staticmethod
    def given(content: bytes, path: Path) -> "Records":
        """Those in bytes that `excerpt` made, or that claim so; `path` is what to call it. Raises JournalError."""
        return Records(path, Excerpt(content, path))

    def excerpt(self, records: Sequence[Record], name: str) -> bytes:
        """These records as a journal of their own, in which `name` is their file's."""
        with plainly(self.path):
            return excerpt(self._db, sorted(record.id for record in records), name)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._db.close()

    def records(self, file: Path | None = None, job: str | None = None) -> list[Record]:
        """What was begun, of this file or of all, this job or every one, the latest begun first."""
        found = []
        for row in self._rows(file, job):
            try:
                found.append(_record(row))
            except JournalError as error:
                self.passed_over[row[0]] = error.tell
        return found

    def knows(self, file: Path) -> bool:
        """Whether anything was begun in this file, also what can no longer be read."""
        return bool(self._rows(file, None))

    def _rows(self, file: Path | None, job: str | None) -> list[Sequence[Any]]:
        with plainly(self.path):
            return self._db.execute(
                f"SELECT {WARP_COLUMNS} FROM warps "
                "WHERE (?1 IS NULL OR file = ?1) AND (?2 IS NULL OR job = ?2) ORDER BY id DESC",
                (_kept_as(lies_at(file)) if file else None, job),
            ).fetchall()

    def readable(self, records: Iterable[Record], read: Callable[[Record], _T]) -> Iterator[tuple[Record, _T]]:
        """Each record with what is read of it; those that cannot be read are passed over."""
        for record in records:
            try:
                yield record, read(record)
            except JournalError as error:
                self.passed_over[record.id] = error.tell

    def under_way(self, file: Path, job: str) -> Record | None:
        """The record to resume for this job of this file: the latest begun. Raises JournalError where it is none."""
        return next(map(_record, self._rows(file, job)), None)

    def events(self, record: Record) -> list[Event]:
        """All events of a warp, in order. Raises JournalError where one is missing, or cannot be read."""
        found = []
        with plainly(self.path):
            rows = self._db.execute(
                f"SELECT step, {COLUMNS} FROM events WHERE warp = ? ORDER BY step", (record.id,)
            ).fetchall()
        for number, (step, *row) in enumerate(rows):
            if step != number:
                raise record.unreadable(Tell("step {step} is missing", step=number + 1))
            try:
                found.append(from_row(row))
            except ValueError as error:
                raise record.unreadable(Tell("step {step} is damaged", step=number + 1)) from error
        return found

    def worked_on_last(self, file: Path | None = None, job: str | None = None) -> Record | None:
        """The record, of this file or of all, this job or every one, in which something happened last."""
        return max(self.records(file, job), key=self._last, default=None)

    def last(self, records: Iterable[Record]) -> float:
        """When something happened last in these."""
        return max(map(self._last, records))

    def _last(self, record: Record) -> float:
        query = "SELECT max(at) FROM events WHERE warp = ? AND source != ? AND typeof(at) IN ('real', 'integer')"
        with plainly(self.path):
            last: float | None = self._db.execute(query, (record.id, Origin.WRITTEN)).fetchone()[0]
        return record.began if last is None else last


class Journal(Records):
    """The journal file, to write to. Use as a context; every failure is a JournalError and leaves the file as it was.

    Where another program holds the file it is waited for, and `speak` tells the weaver so.
    """

    def __init__(self, path: Path, speak: Speak = _silently):
        self._held: list[Alone] = []
        self._lasting = Database(path, speak)
        super().__init__(path, self._lasting)

    def speak_by(self, speak: Speak) -> None:
        """From now on the weaver is told so."""
        self._lasting.speak = speak

    def begin(self, file: Path, job: str, warp: Warp, at: float) -> Record:
        """A new record for this job; an older one of the same file is kept, and no longer resumed."""
        place, sequence = lies_at(file), dump(warp)
        number = self._lasting.write(
            "INSERT INTO warps (file, sequence, began, job) VALUES (?, ?, ?, ?)", (_kept_as(place), sequence, at, job)
        )
        return Record(number, place, sequence, at, job)

    def revise(self, record: Record, edit: Revision, at: float) -> Record:
        """The record goes on with an edited sequence; its events are kept, and those to come follow the edit."""
        sequence, begun = dump(edit.warp), record.begun or record.sequence
        row = to_row(Event(Kind.EDITED, at, source=Origin.CLOCK, about=edit))

        def follow() -> None:
            with transaction(self._db):
                self._db.execute("UPDATE warps SET sequence = ?, begun = ? WHERE id = ?", (sequence, begun, record.id))
                self._db.execute(AFTER_ALL, (record.id, *row))

        with plainly(self.path):
            self._lasting.waiting(follow)
        return replace(record, sequence=sequence, begun=begun)

    def carry(self, records: Sequence[Record], file: Path) -> None:
        """These records go on in another file. Raises JournalError where another window is at one of them."""
        with self.left_alone((record.file, record.job) for record in records):
            for record in records:
                moving = "UPDATE warps SET file = ? WHERE id = ? AND file = ?"
                self._lasting.write(moving, (_kept_as(lies_at(file)), record.id, _kept_as(record.file)))

    @contextmanager
    def left_alone(self, sittings: Iterable[tuple[str, str]]) -> Iterator[None]:
        """Keep these jobs, each with the name of its file, from other windows meanwhile.

        Raises JournalError where another has one.
        """
        with ExitStack() as stack:
            for place, job in dict.fromkeys(sittings):
                stack.enter_context(self._alone(place, job, this_window()))
            yield

    def take_up(self, coming: Sequence[Coming], file: Path) -> None:
        """Records of another journal go on in this file, all or none; they come in their order, the oldest first."""
        place = _kept_as(lies_at(file))
        behind = [each for each in coming if each.behind]

        def put() -> None:
            with transaction(self._db):
                for each in (*reversed(behind), *(each for each in coming if not each.behind)):
                    self._take_up(each, place)

        with plainly(self.path):
            self._lasting.waiting(put)

    def _take_up(self, coming: Coming, place: str | bytes) -> None:
        record, here = coming.record, coming.here
        log, begun = GONE if record.cut_off else LEFT, record.begun or None
        if here:
            number, held = here.id, len(self.events(here))
            putting = "UPDATE warps SET file = ?, sequence = ?, log = ?, begun = ? WHERE id = ?"
            self._db.execute(putting, (place, record.sequence, log, begun, number))
        else:
            row, held = (place, record.sequence, record.began, record.job, log, begun), 0
            least = self._db.execute("SELECT min(id) - 1 FROM warps").fetchone()[0] if coming.behind else None
            putting = f"INSERT INTO warps ({WARP_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?)"
            number = self._db.execute(putting, (least, *row)).lastrowid or 0
        rows = [(number, step, *to_row(event)) for step, event in enumerate(coming.events)]
        putting = f"INSERT INTO events (warp, step, {COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)"
        self._db.executemany(putting, rows[held:])

    def delete(self, records: Sequence[Record]) -> None:
        """Forget these, all or none. Raises JournalError where another window is at one of them."""
        numbers = [(record.id,) for record in records]

        def forget() -> None:
            with transaction(self._db):
                self._db.executemany("DELETE FROM events WHERE warp = ?", numbers)
                self._db.executemany("DELETE FROM warps WHERE id = ?", numbers)

        with self.left_alone((record.file, record.job) for record in records), plainly(self.path):
            self._lasting.waiting(forget)

    def go_on_with(self, record: Record) -> Record:
        """From now on this is the one of its job that its file goes on with, as if it had been begun last.

        Raises JournalError where another window is at one of them.
        """

        def renumber() -> int:
            with transaction(self._db):
                number: int = self._db.execute("SELECT max(id) + 1 FROM warps").fetchone()[0]
                self._db.execute("UPDATE warps SET id = ? WHERE id = ?", (number, record.id))
                self._db.execute("UPDATE events SET warp = ? WHERE warp = ?", (number, record.id))
            return number

        with self.left_alone([(record.file, record.job)]), plainly(self.path):
            return replace(record, id=self._lasting.waiting(renumber))

    def note(self, record: Record, text: str, at: float) -> None:
        """Put a note after all that is kept of a warp; a sitting in another window goes on undisturbed."""
        event = Event(Kind.NOTE, at, source=Origin.WRITTEN, text=text)
        self._lasting.write(AFTER_ALL, (record.id, *to_row(event)))

    @contextmanager
    def hold(self, file: Path, job: str, window: str) -> Iterator[None]:
        """Keep this job of this file to ourselves for a sitting; `window` says to others which one has it.

        Before this nothing is read that is acted on, so that one window has one record. Raises JournalError where
        another window has it, by this name of the file or another, or no lock can be made there.
        """
        with ExitStack() as stack:
            names = [lies_at(file)]
            with suppress(OSError, ValueError):  # what cannot be opened has no other name
                names.append("{0.st_dev} {0.st_ino}".format(os.fstat(stack.enter_context(open_plain(file)).fileno())))
            for name in names:
                self._held.append(stack.enter_context(self._alone(name, job, window, lies_at(file))))
            stack.callback(self._held.clear)
            yield

    @contextmanager
    def _alone(self, name: str, job: str, window: str, told: str = "") -> Iterator[Alone]:
        """Keep a job of what has this name to ourselves."""
        of = sha256(f"{name}\n{job}".encode(errors="surrogateescape")).hexdigest()[:16]
        held = Alone(self.path.with_name(f"sitting-{of}.lock"), window)
        self._take(held, Path(told or name))
        try:
            yield held
        finally:
            self._give_back(held)

    def _give_back(self, held: Alone) -> None:
        with plainly(self.path):
            held.give_back()

    def _take(self, held: Alone, file: Path) -> None:
        with plainly(self.path):
            try:
                held.take()
            except Taken as error:
                raise JournalError(
                    "{file}: another window has this warp ({window}); go on there"
                    if error.window
                    else "{file}: another window has this warp; go on there",
                    file=lies_at(file),
                    window=error.window,
                ) from error

    def keep(self, record: Record) -> Keeper:
        """What makes each further event of a warp durable before it returns; notes may come in between.

        Where the journal was taken away meanwhile, it is written anew, with all that it held.
        """

        def secured() -> None:
            for held in self._held:
                if held.lost:
                    held.give_back()
                    with plainly(self.path):
                        folders.own(self.path.parent)
                    self._take(held, Path(record.file))

        return Keeper(self._lasting, record.id, secured)
