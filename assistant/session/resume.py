"""Take a warp up where the journal left it: the session as a record leaves it, and what an edited file means for it."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from assistant.errors import HeddlecallError, JournalError, WarpChanged
from assistant.meaning import Tell, listed
from assistant.session.journal import Record, Records
from assistant.session.machine import Session
from assistant.session.view import GroupLine, GroupState
from assistant.warp.model import Group, Warp
from assistant.warp.passes import PASSES


@dataclass(frozen=True, slots=True)
class Resumption:
    """How the weaver wants to go on: anew, keeping the old record, or with the edited file; or how to begin."""

    fresh: bool = False
    edited: bool = False
    threaded_to: str | None = None  # the last group that was threaded before, where a record begins now
    same_warp: bool = False  # what is kept of another file that holds the same goes on in this one


def replayed(journal: Records, record: Record) -> Session:
    """The session as a record leaves it. Raises JournalError where the record cannot be read."""
    events = journal.events(record)
    try:
        session = Session(record.warp_begun, PASSES[record.job])
        session.replay(events)
    except JournalError:
        raise
    except HeddlecallError as error:  # the warp lacks what the job takes, or an event tells of what cannot be
        raise record.unreadable(error.tell) from error
    return session


def to_revise(file: Path, left: Session, warp: Warp, edited: bool) -> bool:
    """Whether a record that was left so is to be revised, where its file now holds this warp; `edited`: it may be.

    Raises WarpChanged where the file was edited since and it may not, or in groups already done; PlanError where the
    warp lacks what the job takes.
    """
    if left.warp == warp:
        return False
    said = listed(changes(left.warp, warp))
    if touches_done(left.job.by_group(left.warp), left.job.by_group(warp), left.summary()):
        raise WarpChanged(
            "{file}: edited since it was begun, in groups already done: {said}. Put the file back "
            "as it was, or start anew with --fresh; the old record is kept",
            file=file,
            said=said,
        )
    if not edited:
        raise WarpChanged(
            "{file}: edited since it was begun: {said}. Nothing done is touched: go on with "
            "--edited, or start anew with --fresh; the old record is kept",
            file=file,
            said=said,
        )
    return True


def changes(begun: Warp, edited: Warp) -> list[Tell]:
    """A sentence for each group that is not the same, then for whatever else differs."""
    lines = [
        _group_change(number, old, new)
        for number, (old, new) in enumerate(zip(begun.groups, edited.groups, strict=False), 1)
        if old != new
    ]
    before, now = len(begun.groups), len(edited.groups)
    if before != now:
        lines.append(Tell("there were {before} groups, now there are {now}", before=before, now=now))
    if not lines:
        lines.append(Tell("the groups are the same; other entries of the file changed"))
    return lines


def _group_change(number: int, old: Group, new: Group) -> Tell:
    if old.name != new.name:
        return Tell("group {number}, {name}: is now called {new}", number=number, name=old.name, new=new.name)
    if len(old.ends) != len(new.ends):
        return Tell(
            "group {number}, {name}: had {before} ends, now has {now}",
            number=number,
            name=old.name,
            before=len(old.ends),
            now=len(new.ends),
        )
    end = next(end for end, (a, b) in enumerate(zip(old.ends, new.ends, strict=True), 1) if a != b)
    return Tell("group {number}, {name}: differs from end {end} on", number=number, name=old.name, end=end)


def touches_done(
    begun: Sequence[Sequence[object]], edited: Sequence[Sequence[object]], summary: Sequence[GroupLine]
) -> bool:
    """A group already begun no longer has the same units, so that its count would no longer hold."""
    return any(
        line.state is not GroupState.WAITING and edited[index : index + 1] != [units]
        for index, (line, units) in enumerate(zip(summary, begun, strict=True))
    )
