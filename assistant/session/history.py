"""A record read back: groups and their states, sittings, pace."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from assistant.errors import JournalError
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal, Record
from assistant.session.machine import Session
from assistant.session.view import GroupLine, group_lines
from assistant.warp.passes import PASSES, THREAD
from assistant.words.language import Language


@dataclass(frozen=True, slots=True)
class Sitting:
    """From sitting down to leaving, or to the last thing that happened; units counted in it."""

    began: datetime
    ended: datetime
    counted: int


@dataclass(frozen=True, slots=True)
class History:
    """What a record tells of one job on one warp."""

    title: str
    job: str
    unit: str  # what is counted: "end", "heddle" or "knot"
    total: int
    groups: tuple[GroupLine, ...]
    sittings: tuple[Sitting, ...]
    pace: float | None  # seconds a unit, None until enough was done

    @property
    def counted(self) -> int:
        """Units counted over the whole warp."""
        return sum(group.counted for group in self.groups)

    @property
    def count(self) -> str:
        """How much is counted: "96 of 252 ends"."""
        return f"{self.counted:,} of {self.total:,} {self.unit}s"

    def as_json(self) -> dict[str, object]:
        """Title, job, ends (or heddles, or knots), groups and sittings, with times in ISO 8601."""
        units = f"{self.unit}s"
        return {
            "title": self.title,
            "job": self.job,
            units: self.total,
            "groups": [group.as_json() for group in self.groups],
            "sittings": [
                {"began": s.began.isoformat(), "ended": s.ended.isoformat(), units: s.counted} for s in self.sittings
            ],
        }

    def lines(self) -> list[str]:
        """The same for reading, one line a group and a sitting."""
        lines = [
            f"{self.title}, {self.job}: {self.count}",
            *group_lines(self.groups, PASSES[self.job].compares),
        ]
        lines.append("sittings:" if self.sittings else "no sitting yet")
        lines += [f"  {s.began:%Y-%m-%d %H:%M} to {_until(s)}  {s.counted:4} {self.unit}s" for s in self.sittings]
        return [*lines, f"pace: {self.pace:.0f} s {_each(self.unit)}"] if self.pace else lines


def _each(unit: str) -> str:
    return f"an {unit}" if unit[0] in "aeiou" else f"a {unit}"


def _until(sitting: Sitting) -> str:
    same_day = sitting.began.date() == sitting.ended.date()
    return f"{sitting.ended:%H:%M}" if same_day else f"{sitting.ended:%Y-%m-%d %H:%M}"


def history(journal: Journal, record: Record, language: Language) -> History:
    """Replay a record's events and look at what they come to."""
    job = PASSES[record.job]
    session = Session(record.warp, language, job)
    sittings = []
    for sitting in _sittings(journal.events(record)):
        before = session.done
        session.replay(sitting)
        sittings.append(Sitting(local(sitting[0].at), local(sitting[-1].at), session.done - before))
    return History(
        session.warp.title, job.name, job.unit, session.total, session.summary(), tuple(sittings), session.pace
    )


def _sittings(events: Sequence[Event]) -> list[list[Event]]:
    """The events of each sitting; every sitting begins by sitting down, and a note may be written outside of any."""
    sittings: list[list[Event]] = []
    for event in events:
        if event.kind is Kind.NOTE:
            continue
        if event.kind is Kind.SIT_DOWN:
            sittings.append([])
        sittings[-1].append(event)
    return sittings


def local(at: float) -> datetime:
    """The time at the loom, from seconds since the epoch."""
    return datetime.fromtimestamp(at).astimezone()


def told(journal: Journal, file: Path | None, job: str | None, language: Language) -> tuple[History, list[str]]:
    """The history of the record begun last, of a file and a job or of all, and a line for every other one.

    Raises JournalError where there is none.
    """
    latest, *others = ((record, history(journal, record, language)) for record in kept(journal, file, job))
    return latest[1], [_other(record, history) for record, history in others]


def kept(journal: Journal, file: Path | None, job: str | None) -> list[Record]:
    """The records of a file and a job, or of all, the latest begun first. Raises JournalError where there is none."""
    records = journal.records(file, job)
    if not records:
        command = PASSES[job or THREAD.name].command or job or THREAD.name
        raise JournalError(f"{file or journal.path}: no sitting yet; begin with: heddlecall {command} FILE")
    return records


def of_one_warp(journal: Journal, file: Path | None, job: str | None) -> list[Record]:
    """The records of a file, without one of that begun last, in the order they were begun. Raises JournalError."""
    latest = kept(journal, file, job)[0]
    return journal.records(Path(latest.file), job)[::-1]


@dataclass(frozen=True, slots=True)
class OwnPace:
    """The weaver's own pace in a job, and what it rests on."""

    job: str
    seconds: float  # a unit
    told: History

    def as_json(self) -> dict[str, object]:
        """Job, seconds, what is counted, how many of them in how many sittings, and of which warp."""
        return {
            "job": self.job,
            "seconds": self.seconds,
            "unit": self.told.unit,
            "counted": self.told.counted,
            "sittings": len(self.told.sittings),
            "title": self.told.title,
        }

    def line(self) -> str:
        """The same to read."""
        sittings = len(self.told.sittings)
        return (
            f"{self.job:8} {self.seconds:5.1f} s {_each(self.told.unit)}, from {self.told.counted:,} {self.told.unit}s "
            f"in {sittings} {'sitting' if sittings == 1 else 'sittings'} at {self.told.title}"
        )


def own_paces(path: Path, language: Language) -> list[OwnPace]:
    """The weaver's own pace in each job, from the warp begun last that tells; without a journal none."""
    if not path.exists():
        return []
    with Journal(path) as journal:
        paces = [_own_pace(journal, job, language) for job in PASSES]
    return [pace for pace in paces if pace]


def own_pace(journal: Journal, job: str, language: Language) -> float | None:
    """The weaver's seconds a unit in the record of a job begun last that tells; None where none does."""
    found = _own_pace(journal, job, language)
    return found.seconds if found else None


def _own_pace(journal: Journal, job: str, language: Language) -> OwnPace | None:
    histories = (history(journal, record, language) for record in journal.records(job=job))
    return next((OwnPace(job, told.pace, told) for told in histories if told.pace), None)


def _other(record: Record, history: History) -> str:
    return f"also kept: {record.file}, {record.job}, begun {local(record.began):%Y-%m-%d %H:%M}: {history.count}"
