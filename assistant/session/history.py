"""A record read back: groups and their states, sittings, pace."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from assistant.errors import JournalError
from assistant.languages import Language
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal, Record
from assistant.session.machine import Session
from assistant.session.view import GroupLine, group_lines
from assistant.warp.model import Warp


@dataclass(frozen=True, slots=True)
class Sitting:
    """From sitting down to leaving, or to the last thing that happened; ends counted in it."""

    began: datetime
    ended: datetime
    ends: int


@dataclass(frozen=True, slots=True)
class History:
    """What a record tells of one warp."""

    title: str
    ends: int
    groups: tuple[GroupLine, ...]
    sittings: tuple[Sitting, ...]
    pace: float | None  # seconds an end, None until enough was threaded

    def as_json(self) -> dict[str, object]:
        """Title, ends, groups and sittings, with times in ISO 8601."""
        return {
            "title": self.title,
            "ends": self.ends,
            "groups": [group.as_json() for group in self.groups],
            "sittings": [
                {"began": s.began.isoformat(), "ended": s.ended.isoformat(), "ends": s.ends} for s in self.sittings
            ],
        }

    def lines(self) -> list[str]:
        """The same for reading, one line a group and a sitting."""
        counted = sum(g.counted for g in self.groups)
        lines = [f"{self.title}: {counted} of {self.ends} ends"]
        lines += group_lines(self.groups)
        lines.append("sittings:" if self.sittings else "no sitting yet")
        lines += [f"  {s.began:%Y-%m-%d %H:%M} to {_until(s)}  {s.ends:4} ends" for s in self.sittings]
        return [*lines, f"pace: {self.pace:.0f} s an end"] if self.pace else lines


def _until(sitting: Sitting) -> str:
    same_day = sitting.began.date() == sitting.ended.date()
    return f"{sitting.ended:%H:%M}" if same_day else f"{sitting.ended:%Y-%m-%d %H:%M}"


def history(warp: Warp, events: Sequence[Event], language: Language) -> History:
    """Replay a record's events and look at what they come to."""
    session = Session(warp, language)
    sittings = []
    for sitting in _sittings(events):
        before = session.threaded
        session.replay(sitting)
        sittings.append(Sitting(_local(sitting[0].at), _local(sitting[-1].at), session.threaded - before))
    return History(warp.title, warp.ends, session.summary(), tuple(sittings), session.pace)


def _sittings(events: Sequence[Event]) -> list[list[Event]]:
    """The events of each sitting; every sitting begins by sitting down."""
    sittings: list[list[Event]] = []
    for event in events:
        if event.kind is Kind.SIT_DOWN:
            sittings.append([])
        sittings[-1].append(event)
    return sittings


def _local(at: float) -> datetime:
    return datetime.fromtimestamp(at).astimezone()


def told(journal: Journal, file: Path | None, language: Language) -> tuple[History, list[str]]:
    """The history of the record begun last, of a file or of all, and a line for every other one.

    Raises JournalError where there is none.
    """
    records = journal.records(file)
    if not records:
        raise JournalError(f"{file or journal.path}: no sitting yet; begin with: heddlecall thread FILE")
    latest, *others = ((record, history(record.warp, journal.events(record), language)) for record in records)
    return latest[1], [_other(record, history) for record, history in others]


def own_pace(path: Path, language: Language) -> float | None:
    """The weaver's seconds an end in the warp begun last that tells; None without a journal or enough threaded."""
    if not path.exists():
        return None
    with Journal(path) as journal:
        paces = (history(record.warp, journal.events(record), language).pace for record in journal.records())
        return next(filter(None, paces), None)


def _other(record: Record, history: History) -> str:
    return (
        f"also kept: {record.file}, begun {_local(record.began):%Y-%m-%d %H:%M}: "
        f"{sum(group.counted for group in history.groups)} of {history.ends} ends"
    )
