"""Take a warp up where the journal left it: the session as a record leaves it, and what an edited file means for it."""

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.errors import HeddlecallError, JournalError
from assistant.meaning import Tell
from assistant.session.edit import Revision
from assistant.session.journal import Record, Records
from assistant.session.machine import Session
from assistant.warp.model import CallFrom, End, Group, Hangs, Warp
from assistant.warp.notation import notation
from assistant.warp.passes import PASSES
from assistant.warp.threads import Threaded

TURNED = {
    "right": Tell("the first end lay at the right edge, now at the left"),
    "left": Tell("the first end lay at the left edge, now at the right"),
    "front": Tell("shaft 1 hung at the front, now at the back"),
    "back": Tell("shaft 1 hung at the back, now at the front"),
}
MOST_LINES, MOST_ENDS = 6, 16  # of what is told of an edit


@dataclass(frozen=True, slots=True)
class Resumption:
    """How the weaver wants to go on: anew, keeping the old record, or with the edited file; or how to begin."""

    fresh: bool = False
    edited: bool = False
    threaded_to: str | None = None  # the last group that was threaded before, where a record begins now
    hangs: Hangs | None = None  # how what is done hangs, where the file was edited there; None where that is not said
    same_warp: bool = False  # what is kept of another file that holds the same goes on in this one
    call_from: CallFrom | None = None  # from where to call; None for what the file says, or the record
    usual_call_from: CallFrom | None = None  # where neither of these says


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


def changes(begun: Warp, edited: Warp, edit: Revision) -> list[Tell]:
    """A sentence for each group that is not the same, and for whatever else differs; of many the first few."""
    lines = []
    if begun.title != edited.title:
        lines.append(Tell("it was called {before}, now {now}", before=begun.title, now=edited.title))
    if begun.start != edited.start:
        lines.append(TURNED[begun.start])
    if begun.loom.shaft_1 != edited.loom.shaft_1:
        lines.append(TURNED[begun.loom.shaft_1])
    kept = {follows.group for follows in edit.groups}
    lines += [
        Tell("group {number}, {name}: is gone", number=at + 1, name=group.name)
        for at, group in enumerate(begun.groups)
        if at not in kept
    ]
    for at, (follows, new) in enumerate(zip(edit.groups, edited.groups, strict=True)):
        if follows.group < 0:
            lines.append(
                Tell("group {number}, {name}: is new, {ends} ends", number=at + 1, name=new.name, ends=len(new.ends))
            )
        elif begun.groups[follows.group] != new:
            lines.append(_group_change(at + 1, begun.groups[follows.group], new))
    if not lines:
        return [Tell("the groups are the same; other entries of the file changed")]
    more = len(lines) - MOST_LINES
    return lines if more <= 0 else [*lines[:MOST_LINES], Tell("and so in further places: {count}", count=more)]


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
    pairs = list(zip(old.ends, new.ends, strict=True))
    differ = [end for end, (a, b) in enumerate(pairs, 1) if a != b]
    first, last = differ[0], differ[-1]
    before, now = (_shafts(ends[first - 1 : last]) for ends in (old.ends, new.ends))
    if before == now:
        return Tell("group {number}, {name}: differs from end {end} on", number=number, name=old.name, end=first)
    return Tell(
        "group {number}, {name}, ends {first} to {last}: were {before}, now are {now}",
        number=number,
        name=old.name,
        first=first,
        last=last,
        before=before,
        now=now,
    )


def _shafts(ends: Sequence[End]) -> str:
    """As a sequence file writes them; of many the first few."""
    written = notation(Threaded.of(ends[:MOST_ENDS]))
    return written if len(ends) <= MOST_ENDS else f"{written} …"
