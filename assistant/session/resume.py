"""Take a warp up where the journal left it, or begin it."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.errors import WarpChanged
from assistant.session.changes import changes, touches_done
from assistant.session.journal import Journal, Record
from assistant.session.machine import Session
from assistant.warp.model import Warp
from assistant.warp.passes import PASSES, Pass
from assistant.words.language import Language


@dataclass(frozen=True, slots=True)
class Wish:
    """How the weaver wants to go on: anew, keeping the old record, or with the edited file."""

    fresh: bool = False
    edited: bool = False


def replayed(journal: Journal, record: Record, language: Language) -> Session:
    """The session as a record leaves it."""
    session = Session(record.warp, language, PASSES[record.job])
    session.replay(journal.events(record))
    return session


def choose(
    journal: Journal, file: Path, job: Pass[Any], warp: Warp, language: Language, wish: Wish, at: float
) -> Record:
    """The record to go on with. Raises WarpChanged where the file was edited since and nothing was said about it.

    Raises PlanError, and begins nothing, where the warp lacks what the job takes.
    """
    units = job.by_group(warp)
    record = None if wish.fresh else journal.under_way(file, job.name)
    if record is None:
        return journal.begin(file, job.name, warp, at)
    begun = record.warp
    if begun == warp:
        return record
    said = "; ".join(changes(begun, warp))
    if touches_done(job.by_group(begun), units, replayed(journal, record, language).summary()):
        raise WarpChanged(
            f"{file}: edited since it was begun, in groups already done: {said}. "
            "Put the file back as it was, or start anew with --fresh; the old record is kept"
        )
    if not wish.edited:
        raise WarpChanged(
            f"{file}: edited since it was begun: {said}. "
            "Nothing done is touched: go on with --edited, or start anew with --fresh; the old record is kept"
        )
    return journal.revise(record, warp)
