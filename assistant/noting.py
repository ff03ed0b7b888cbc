"""A note beside a sitting, or long after it."""

from pathlib import Path

from assistant.errors import RecordError
from assistant.session.history import kept
from assistant.session.journal import Journal
from assistant.session.resume import replayed

LONGEST = 500  # characters


def note(journal: Journal, text: str, file: Path | None, job: str | None, at: float) -> str:
    """Keep a note to the warp worked on last, of a file and a job or of all, at the place it has come to.

    Tells where. Raises RecordError for a text that is none, JournalError without a record.
    """
    plain = plainly(text)
    record = journal.worked_on_last(file, job) or kept(journal, file, job)[0]
    journal.note(record, plain, at)
    session = replayed(journal, record)
    here = session.group
    return f"noted: {session.warp.title}, {record.job}, {here.name} at {here.counted} of {here.expected}"


def plainly(text: str) -> str:
    """A note on one line. Raises RecordError where there is nothing to keep, too much of it, or what is no text."""
    plain = " ".join(text.split())
    if not plain:
        raise RecordError('there is nothing to note; write: heddlecall note "what to remember"')
    if len(plain) > LONGEST:
        raise RecordError(f"a note has up to {LONGEST} characters, this one {len(plain):,}; write the rest in another")
    if not plain.isprintable():
        raise RecordError("a note is plain text; leave out what cannot be printed")
    return plain
