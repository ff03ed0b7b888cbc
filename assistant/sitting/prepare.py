"""The record of a sitting: found and locked first, then compared with the file, revised, and acted on."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

from assistant.alone import this_window
from assistant.errors import JournalError, SequenceError, WarpChanged
from assistant.meaning import Tell, listed
from assistant.session.edit import Revision
from assistant.session.editing import compared, touched
from assistant.session.elsewhere import elsewhere
from assistant.session.events import Kind
from assistant.session.history import history
from assistant.session.journal import Journal, Record, Records
from assistant.session.machine import Session
from assistant.session.resume import Resumption, changes, replayed
from assistant.session.upcoming import heddles_counted
from assistant.warp.locate import group_named
from assistant.warp.model import Hangs, Warp
from assistant.warp.passes import Pass
from assistant.warp.sequence import load, loads

Agrees = Callable[..., bool]  # asks the weaver a Tell, after lines of others where some are to be read first


@contextmanager
def prepared(
    journal: Journal,
    file: Path,
    job: Pass[Any],
    resumption: Resumption,
    warn: Callable[[Tell], None] = lambda _: None,
    agrees: Agrees | None = None,
) -> Iterator[tuple[Record, Session]]:
    """The record to go on with and the session as it leaves it, kept from other windows meanwhile.

    `agrees` asks the weaver, where she can be asked. Raises JournalError where another window has it, SequenceError,
    and what `taken_along` and `open_record` raise; then the journal is as it was.
    """
    with journal.hold(file, job.name, this_window()):
        warp = _warp_in(file, journal, job, resumption)
        if not resumption.fresh:
            taken_along(journal, file, job, warp, resumption.same_warp, warn, agrees)
        record, session = open_record(journal, file, job, warp, resumption, time.time(), agrees)
        if begun := _sleyed_as_begun(session):
            warn(Tell("sleyed as begun", file=file, **begun))
        yield record, session


def _sleyed_as_begun(session: Session) -> dict[str, Any] | None:
    """The sley by which what was begun goes on, and the one planned for the file now, where they differ."""
    job, legs = session.job, session.place.course.legs
    if not (job.lies and legs):
        return None
    begun, now = (each[0].lying.sley.repeat for each in (legs, job.lies(job.along(session.warp))))
    return None if begun == now else {"sley": begun, "now": now}


def taken_along(
    journal: Journal,
    file: Path,
    job: Pass[Any],
    warp: Warp,
    same_warp: bool,
    warn: Callable[[Tell], None],
    agrees: Agrees | None,
) -> None:
    """Have the records of a warp go on in the file that holds it now, if it has none there; the weaver is told.

    Where the other file still holds it there may be two warps of it: that it is the `same_warp` is hers to say. Raises
    WarpChanged where she has not said and cannot be asked.
    """
    found = elsewhere(journal, file, warp)
    if found is None:
        return
    begun = history(journal, min(found.records, key=lambda record: record.job != job.name))
    places: dict[str, Any] = {"file": file, "other": found.file, "done": begun.counted, "total": begun.total}
    if found.there and not same_warp:
        if agrees is None:
            raise WarpChanged(
                "{file}: the same warp lies in {other}, where {done} of {total} are done. Go on with that in this file "
                "by --same-warp, or begin another with --fresh",
                **places,
            )
        if not agrees(Tell("same warp?", **places)):
            return
    journal.carry(found.records, file)
    warn(Tell("record goes along", **places))


def known_before(journal: Records, session: Session, file: Path, threaded_to: str | None) -> Iterator[tuple[Kind, int]]:
    """What a sitting is to know of before it begins, where the session does not know it yet: events, with numbers."""
    if threaded_to is not None:
        yield Kind.THREADED_BEFORE, group_named(session.place.course.warp, threaded_to) + 1
    if session.place.can_look and (counted := heddles_counted(journal, file)) != session.place.heddles_recorded:
        yield Kind.HEDDLES_COUNTED, int(counted)


def _warp_in(file: Path, journal: Journal, job: Pass[Any], resumption: Resumption) -> Warp:
    """The warp in the file; where an older version began it as it is, it may be longer than one to begin."""
    try:
        return load(file)
    except SequenceError:
        record = None if resumption.fresh else journal.under_way(file, job.name)
        if record and _longer_than_today(record) and (warp := load(file, begun=True)) == record.warp:
            return warp
        raise


def _longer_than_today(record: Record) -> bool:
    """Whether its warp could not be begun now; only then is it worth reading a file that may take a minute."""
    try:
        loads(record.sequence.encode(), record.file)
    except SequenceError:
        return True
    return False


def open_record(
    journal: Journal,
    file: Path,
    job: Pass[Any],
    warp: Warp,
    resumption: Resumption,
    at: float,
    agrees: Agrees | None = None,
) -> tuple[Record, Session]:
    """The record to go on with and the session as it leaves it, where the file holds this warp; the job is held.

    Raises WarpChanged where the file was edited since and nothing was said about it, PlanError where the warp lacks
    what the job takes; FindError where there is no such group up to which it was threaded before, JournalError where
    that is said of a record that has begun.
    """
    record = None if resumption.fresh else journal.under_way(file, job.name)
    warp = _called(file, warp, job, resumption, record)
    job.by_group(warp)
    if resumption.threaded_to is not None:
        group_named(job.along(warp), resumption.threaded_to)
    if record is None:
        record = journal.begin(file, job.name, warp, at)
        return record, replayed(journal, record)
    left = replayed(journal, record)
    if resumption.threaded_to is not None and left.place.sittings:
        raise JournalError(
            "{file}: threading has begun already; --threaded-to is for a new record: add --fresh",
            file=file,
        )
    if left.warp == warp:
        return record, left
    record = journal.revise(record, _how_it_hangs(file, left, warp, resumption, agrees), at)
    return record, replayed(journal, record)


def _called(file: Path, warp: Warp, job: Pass[Any], resumption: Resumption, record: Record | None) -> Warp:
    """The warp called from where it is asked for; where a record is under way, from where it was begun.

    Raises JournalError where something else is asked for: what is done there was counted from the first; PassError
    where the centre is, of a job that is not called from there.
    """
    in_file = None if warp.call_from == "centre" and not job.lies else warp.call_from
    asked = job.from_where(resumption.call_from) or in_file
    if record is None:
        return replace(warp, call_from=asked or resumption.usual_call_from)
    begun = record.warp
    edge = begun.call_from or begun.start
    if asked and asked != edge and begun.start == warp.start:
        raise JournalError(
            "{file}: this job was begun from the right edge; go on from there with --call-from right, "
            "or begin anew with --fresh"
            if edge == "right"
            else "{file}: this job was begun from the left edge; go on from there with --call-from left, "
            "or begin anew with --fresh"
            if edge == "left"
            else "{file}: this job was begun from the centre; go on from there with --call-from centre, "
            "or begin anew with --fresh",
            file=file,
        )
    return replace(warp, call_from=begun.call_from)


def _how_it_hangs(file: Path, left: Session, warp: Warp, resumption: Resumption, agrees: Agrees | None) -> Revision:
    """The edit, with the weaver's word how what is done hangs.

    Raises WarpChanged where she has not said, and cannot be asked.
    """
    edit = compared(left.place, warp)
    lines = changes(left.job.along(left.warp), left.job.along(warp), edit)
    if not touched(left.place, edit):
        if resumption.edited or resumption.hangs or (agrees and agrees(Tell("edited further on?", file=file), *lines)):
            return edit
        raise WarpChanged(
            "{file}: edited since it was begun: {said}. Nothing done is touched: go on with "
            "--edited, or start anew with --fresh; the old record is kept",
            file=file,
            said=listed(lines),
        )
    if resumption.hangs:
        return replace(edit, hangs=resumption.hangs)
    if agrees and agrees(Tell("hangs like the new file?", file=file), *lines):
        return replace(edit, hangs=Hangs.NEW)
    if agrees and agrees(Tell("hangs as before?", file=file)):
        return replace(edit, hangs=Hangs.BEFORE)
    raise WarpChanged(
        "{file}: edited since it was begun, in groups already done: {said}. Say how they hang: --hangs new, like the "
        "file is now, or --hangs before, and what differs is called anew; or put the file back as it was",
        file=file,
        said=listed(lines),
    )
