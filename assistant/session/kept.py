"""Every record that is kept, and how it stands: to be looked through, gone on with again, or deleted."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from assistant.errors import JournalError
from assistant.session.history import History, asked_for, history, local
from assistant.session.journal import Record, Records
from assistant.session.upcoming import COME_RIGHT


@dataclass(frozen=True, slots=True)
class KeptRecord:
    """A record; `told` is None where it can no longer be read."""

    record: Record
    told: History | None
    last: float  # when something happened in it last, in seconds since the epoch
    current: bool  # its file goes on with it, and not with one that was begun later
    there: bool  # its file still is

    @property
    def done(self) -> bool:
        """Every group is closed, and none is off."""
        return self.told is not None and all(group.state in COME_RIGHT for group in self.told.groups)

    def as_json(self) -> dict[str, object]:
        """Its number, of what it is, how far it has come, and when, in ISO 8601."""
        units = {self.told.unit + "s": self.told.total, "counted": self.told.counted} if self.told else {}
        return {
            "number": self.record.id,
            "title": self.told.title if self.told else None,
            "job": self.record.job,
            "file": self.record.file,
            "file_there": self.there,
            **units,
            "began": local(self.record.began).isoformat(),
            "last": local(self.last).isoformat(),
            "done": self.done,
            "current": self.current,
        }


def standing(journal: Records, records: Sequence[Record] | None = None) -> Iterator[KeptRecord]:
    """These, or all, the one worked on last first; what cannot be read is passed over, and listed without its story."""
    every = journal.records()
    asked = every if records is None else records
    last = {record.id: journal.last([record]) for record in asked}
    current = {(record.file, record.job): record.id for record in reversed(every)}
    for record in sorted(asked, key=lambda record: last[record.id], reverse=True):
        told = next((told for _, told in journal.readable([record], lambda record: history(journal, record))), None)
        is_current = current[record.file, record.job] == record.id
        yield KeptRecord(record, told, last[record.id], is_current, Path(record.file).exists())


def of_number(journal: Records, number: int) -> Record:
    """Raises JournalError where there is none."""
    for record in journal.records():
        if record.id == number:
            return record
    raise JournalError("there is no record {number}; heddlecall records lists them", number=number)


def named(journal: Records, which: str, job: str | None) -> list[Record]:
    """The records that a weaver means: one by its number, or all of a warp, by its file or title.

    Raises JournalError where there is none, SequenceError.
    """
    if re.fullmatch(r"-?\d{1,9}", which, re.ASCII):
        return [of_number(journal, int(which))]
    found = journal.records(asked_for(journal, which), job)
    if not found:
        raise JournalError("{file}: there is no record of that; heddlecall records lists them", file=which)
    return found
