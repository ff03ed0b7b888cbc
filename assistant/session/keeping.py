"""Keeps the events of a sitting, whatever becomes of the journal's file meanwhile."""

import sqlite3
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Any

from assistant.errors import JournalError
from assistant.meaning import Tell
from assistant.session.database import ABOVE, ALONE, LEFT, Database, plainly, transaction
from assistant.session.events import Event, Kind, Origin
from assistant.session.rows import COLUMNS, to_row

EVERY = 8  # events of a sitting that only the log beside the file holds, at most

_Row = Sequence[Any]
_PUT = f"INSERT INTO events (warp, step, {COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)"
_WARP = "file, sequence, began, job, begun"


class Keeper:
    """Makes each further event of a record durable before it returns; notes of other windows may come in between."""

    def __init__(self, file: Database, warp: int, secure: Callable[[], None]):
        """`secure` takes the lock on the record again where it was taken away with the journal."""
        self._file, self._warp, self._secure = file, warp, secure
        with plainly(file.path):
            (self._begun,) = file.db.execute(f"SELECT {_WARP} FROM warps WHERE id = ?", (warp,)).fetchall()
            self._rows = self._kept(warp)
        self._step = len(self._rows)
        self._above = EVERY  # events that only the log holds; the first of a sitting goes into the file itself

    def __call__(self, event: Event) -> None:
        """Raises JournalError where it cannot be kept."""
        try:
            self._secure()
        except JournalError:
            if self._file.taken_away:
                self._write_anew(behind=True)
            raise
        if self._file.taken_away:
            self._write_anew()
        self._file.check_whole()
        row = to_row(event)
        left = event.kind is Kind.LEAVE
        whole = left or self._above >= EVERY
        with plainly(self._file.path):
            while not self._file.waiting(lambda: self._put(row, LEFT if left else ALONE if whole else ABOVE)):
                self._step += 1
        self._rows.append(row)
        self._step += 1
        self._above += 1
        if whole:
            self._make_whole()

    def tidy(self) -> None:
        """Now nobody waits for anything: do what the next event would else be held up by."""
        if self._above >= EVERY:
            self._make_whole()

    def _make_whole(self) -> None:
        with suppress(sqlite3.Error):  # what came is kept; what is wrong is told with the next
            self._file.make_whole()
            self._above = 0

    def _kept(self, warp: int) -> list[_Row]:
        return self._file.db.execute(f"SELECT {COLUMNS} FROM events WHERE warp = ? ORDER BY step", (warp,)).fetchall()

    def _put(self, row: _Row, log: int) -> bool:
        """Keep an event as this step; False where a note that was written meanwhile has taken it."""
        db = self._file.db
        try:
            if log == ABOVE:
                db.execute(_PUT, (self._warp, self._step, *row))
                return True
            with transaction(db):
                db.execute(_PUT, (self._warp, self._step, *row))
                db.execute("UPDATE warps SET log = ? WHERE id = ?", (log, self._warp))
        except sqlite3.IntegrityError:
            query = "SELECT 1 FROM events WHERE warp = ? AND step = ? AND source = ?"
            if db.execute(query, (self._warp, self._step, Origin.WRITTEN)).fetchone():
                return False
            raise
        return True

    def _write_anew(self, behind: bool = False) -> None:
        """Put all that was kept into a journal where this one lay; into another that lies there, this record.

        It goes `behind` the records there, so that it is not the one to be resumed, where another window has one.
        """
        others = [] if self._file.path.exists() else self._others()
        self._file.db.close()
        self._file.open()
        with plainly(self._file.path):
            self._warp, self._rows = self._file.waiting(lambda: self._put_all_back(others, behind))
        self._step, self._above = len(self._rows), EVERY
        self._file.speak(Tell("journal anew"))

    def _put_all_back(self, others: list[tuple[_Row, list[_Row]]], behind: bool) -> tuple[int, list[_Row]]:
        with transaction(self._file.db):
            for begun, rows in others:
                self._put_back(begun, rows)
            return self._put_back(self._begun, self._rows, behind)

    def _others(self) -> list[tuple[_Row, list[_Row]]]:
        """The other records, as far as SQLite still has them."""
        with suppress(sqlite3.Error):
            found = self._file.db.execute(f"SELECT id, {_WARP} FROM warps WHERE id != ? ORDER BY id", (self._warp,))
            return [(begun, self._kept(number)) for number, *begun in found.fetchall()]
        return []

    def _put_back(self, begun: _Row, rows: list[_Row], behind: bool = False) -> tuple[int, list[_Row]]:
        """The number of a record that begins so and holds at least these events, and what it holds."""
        db = self._file.db
        file, _, began, job, _ = begun
        query = "SELECT id FROM warps WHERE file = ? AND began = ? AND job = ? ORDER BY id DESC"
        for (number,) in db.execute(query, (file, began, job)).fetchall():
            there = self._kept(number)
            if there[: len(rows)] == rows[: len(there)]:
                break
        else:
            there = []
            (number,) = db.execute("SELECT min(id) - 1 FROM warps").fetchone() if behind else (None,)
            put = f"INSERT INTO warps (id, {_WARP}) VALUES (?, ?, ?, ?, ?, ?)"
            number = db.execute(put, (number, *begun)).lastrowid
        more = rows[len(there) :]
        db.executemany(_PUT, [(number, step, *row) for step, row in enumerate(more, len(there))])
        return number, [*there, *more]
