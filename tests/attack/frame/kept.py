"""What a journal holds, read without the program: from a copy, so that the program alone mends what a kill left."""

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

JOURNAL = "journal.sqlite3"
WRITTEN = "written"  # the source of a note from another window


@dataclass(frozen=True)
class Row:
    """An event."""

    at: float
    kind: str
    number: object
    source: str
    text: str


@dataclass(frozen=True)
class Begun:
    """A record without its events."""

    id: int
    file: str
    job: str
    sequence: str


@dataclass(frozen=True)
class Kept:
    """All that a journal holds."""

    sound: str  # what integrity_check says of it: "ok"
    records: tuple[Begun, ...]
    events: dict[tuple[int, int], Row]  # by record and step

    def of(self, record: int) -> list[Row]:
        """The events of a record in order, without the notes of other windows."""
        steps = sorted(step for id, step in self.events if id == record)
        return [row for step in steps if (row := self.events[record, step]).source != WRITTEN]

    def notes(self) -> list[str]:
        """What other windows wrote."""
        return [row.text for row in self.events.values() if row.source == WRITTEN]

    def lost_of(self, before: "Kept") -> str:
        """What was kept before and is no longer, or is not as it was; "" where there is nothing of that."""
        ids = {record.id for record in self.records}
        if gone := [record.id for record in before.records if record.id not in ids]:
            return f"records {gone} are gone"
        if other := [place for place, row in before.events.items() if self.events.get(place) != row]:
            return f"{len(other)} events are gone or changed, the first at {other[0]}"
        return ""


@contextmanager
def copied(data: Path) -> Iterator[Path]:
    """The journal as it lies there, in a folder of its own."""
    with TemporaryDirectory() as folder:
        for name in (JOURNAL, f"{JOURNAL}-wal"):
            with suppress(FileNotFoundError):
                shutil.copyfile(data / name, Path(folder, name))
        yield Path(folder, JOURNAL)


def kept(data: Path) -> Kept:
    """What the journal in a folder holds; nothing where it was not yet begun."""
    with copied(data) as journal:
        if not journal.exists():
            return Kept("ok", (), {})
        db = sqlite3.connect(journal)
        try:
            sound = "; ".join(row[0] for row in db.execute("PRAGMA integrity_check"))
            if not db.execute("SELECT 1 FROM sqlite_master WHERE name = 'events'").fetchone():
                return Kept(sound, (), {})
            records = db.execute("SELECT id, file, job, sequence FROM warps ORDER BY id").fetchall()
            events = db.execute("SELECT warp, step, at, kind, number, source, text FROM events").fetchall()
        except sqlite3.DatabaseError as error:
            return Kept(str(error), (), {})
        finally:
            db.close()
    return Kept(sound, tuple(Begun(*row) for row in records), {(row[0], row[1]): Row(*row[2:]) for row in events})
