"""Records that come from another journal: whether they are new here, go on from what is here, or would undo it."""

from collections.abc import Sequence
from pathlib import Path

from assistant.errors import PackError
from assistant.session.events import Event
from assistant.session.journal import Coming, Journal, Record, Records, lies_at


def arriving(journal: Journal, packed: Records, file: Path) -> list[Coming]:
    """The packed records as they go on in this file, the oldest first.

    Raises PackError where one here is further on or has gone another way, lies with another file, or would no longer be
    the one that is gone on with; JournalError where one of the packed cannot be read.
    """
    coming = [_compared(journal, record, packed.events(record)) for record in packed.records()[::-1]]
    if packed.passed_over:
        raise PackError(next(iter(packed.passed_over.values())))
    known = {each.here.id for each in coming if each.here}
    for job in sorted({each.record.job for each in coming}):
        under_way = journal.under_way(file, job)
        if under_way and under_way.id not in known:
            raise PackError(
                "{file}: another warp was begun under this name here, job {job}; unpack into another folder",
                file=lies_at(file),
                job=job,
            )
    for each in coming:
        if each.here and each.here.file != lies_at(file) and Path(each.here.file).exists():
            raise PackError(
                "this warp is here already, as {file}, which differs from what was packed; move that file away",
                file=each.here.file,
            )
    return _in_order(coming)


def lies_here(journal: Records, packed: Records) -> str | None:
    """The file in which one of the packed records is kept here already; None where none is."""
    return next((here.file for record in packed.records() if (here := _same(journal, record))), None)


def _compared(journal: Records, record: Record, events: Sequence[Event]) -> Coming:
    here = _same(journal, record)
    if here is None:
        return Coming(record, tuple(events))
    there = journal.events(here)
    if there != events[: len(there)]:
        further = there[: len(events)] == events
        raise PackError(
            "{file}: what is kept here of its job {job} is further on than what was packed; nothing was changed"
            if further
            else "{file}: what is kept here of its job {job} has gone another way since it was packed; "
            "nothing was changed",
            file=here.file,
            job=record.job,
        )
    return Coming(record, tuple(events), here)


def _same(journal: Records, record: Record) -> Record | None:
    """The record here that began as this one did, in the same moment; whatever its file is called."""
    return next(
        (
            here
            for here in journal.records(job=record.job)
            if here.began == record.began and here.warp_begun == record.warp_begun
        ),
        None,
    )


def _in_order(coming: Sequence[Coming]) -> list[Coming]:
    """Each that is new here, and older than one of its job that is not, goes behind that."""
    latest = {
        job: max((at for at, each in enumerate(coming) if each.here and each.record.job == job), default=-1)
        for job in {each.record.job for each in coming}
    }
    return [
        Coming(each.record, each.events, each.here, behind=not each.here and at < latest[each.record.job])
        for at, each in enumerate(coming)
    ]
