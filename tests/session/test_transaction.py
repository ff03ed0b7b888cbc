"""A transaction is all or nothing, and may be tried again whatever refused it."""

import sqlite3
from typing import Any

import pytest

from assistant.meaning import Tell
from assistant.session.database import transaction, waiting


class Held(sqlite3.Connection):
    """A file that is held by others whenever a transaction is to end for the first time."""

    refusals = 1

    def execute(self, sql: str, *values: Any) -> sqlite3.Cursor:
        if sql == "COMMIT" and self.refusals:
            self.refusals -= 1
            error = sqlite3.OperationalError("database is locked")
            error.sqlite_errorname = "SQLITE_BUSY"
            raise error
        return super().execute(sql, *values)


def test_one_that_could_not_end_is_tried_again_and_done_once() -> None:
    db = sqlite3.connect(":memory:", isolation_level=None, factory=Held)
    db.execute("CREATE TABLE events (number)")
    told: list[Tell] = []

    def write() -> None:
        with transaction(db):
            db.execute("INSERT INTO events VALUES (1)")

    waiting(write, told.append)
    assert db.execute("SELECT number FROM events").fetchall() == [(1,)]
    assert not db.in_transaction


def test_one_that_the_database_ended_by_itself_tells_why() -> None:
    """As SQLite does where there is no room left (https://www.sqlite.org/lang_transaction.html)."""
    db = sqlite3.connect(":memory:", isolation_level=None)

    def write() -> None:
        with transaction(db):
            db.execute("ROLLBACK")
            raise sqlite3.OperationalError("no room")

    with pytest.raises(sqlite3.OperationalError, match="no room"):
        write()
