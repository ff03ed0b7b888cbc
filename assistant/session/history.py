"""A record read back: groups and their states, sittings, pace."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import NoReturn

from assistant.errors import HeddlecallError, JournalError, SequenceError
from assistant.session.elsewhere import known_as
from assistant.session.events import Event, Kind, Origin
from assistant.session.journal import Record, Records, lies_at
from assistant.session.machine import Session
from assistant.session.view import GroupLine
from assistant.warp.examples import find
from assistant.warp.passes import PASSES, THREAD

BESIDE = (Kind.NOTE, Kind.THREADED_BEFORE, Kind.HEDDLES_COUNTED, Kind.EDITED)  # events that may come beside any sitting


@dataclass(frozen=True, slots=True)
class Sitting:
    """From sitting down to leaving, or to the last thing that happened.

    A group that has more units at the end than at the beginning adds to `done`, one that has fewer, since it was opened
    again or begun anew, to `taken_back`. Both times are by the clock as it stood at the end.
    """

    began: datetime
    ended: datetime
    done: int
    taken_back: int = 0
    clock_set: int = 0  # seconds, forward, by which the wall clock was set meanwhile
    weaver: str = ""  # who sat, "" where that is not told

    def as_json(self, units: str) -> dict[str, object]:
        """When, in ISO 8601; how many of these units were done and taken back; and the clock."""
        who = {"weaver": self.weaver} if self.weaver else {}
        times = {"began": self.began.isoformat(), "ended": self.ended.isoformat()}
        return {**times, units: self.done, "taken_back": self.taken_back, "clock_set": self.clock_set, **who}


@dataclass(frozen=True, slots=True)
class History:
    """What a record tells of one job on one warp."""

    title: str
    job: str
    unit: str  # what is counted: "end", "heddle" or "knot"
    total: int
    groups: tuple[GroupLine, ...]
    sittings: tuple[Sitting, ...]
    pace: float | None  # seconds a unit of who sat last, None until enough was done
    left: int  # units not yet called
    paces: Mapping[str, float] = field(default_factory=dict, hash=False)  # of each weaver of whom enough was done

    @property
    def weavers(self) -> dict[str, int]:
        """Units that each weaver did, where any is named; those taken back are counted off."""
        done: dict[str, int] = {}
        for sitting in self.sittings:
            done[sitting.weaver] = done.get(sitting.weaver, 0) + sitting.done - sitting.taken_back
        return done if any(done) else {}

    @property
    def counted(self) -> int:
        """Units counted over the whole warp."""
        return sum(group.counted for group in self.groups)

    def as_json(self) -> dict[str, object]:
        """Title, job, ends (or heddles, or knots), groups and sittings, with times in ISO 8601."""
        units = f"{self.unit}s"
        return {
            "title": self.title,
            "job": self.job,
            units: self.total,
            "groups": [group.as_json() for group in self.groups],
            "sittings": [sitting.as_json(units) for sitting in self.sittings],
        }


class Retelling:
    """Follows a record event by event: the session it comes to, and the sittings it was done in."""

    def __init__(self, record: Record):
        self.session = Session(record.warp_begun, PASSES[record.job])
        self._sittings: list[Sitting] = []
        self._before: list[int] = []  # counted in each group when the sitting under way began
        self._began = self._ended = 0.0
        self._set = 0
        self._weaver = ""

    def take(self, event: Event) -> None:
        """One event further. A sitting begins by sitting down; a note, which may come beside any, is no part of it."""
        if event.kind is Kind.SIT_DOWN or not (self._before or event.kind in BESIDE):
            self._sittings = self._so_far()
            self._before, self._began, self._set, self._weaver = self._counted(), event.at, 0, event.text
        if event.kind is Kind.EDITED:  # which comes between sittings
            self._sittings, self._before = self._so_far(), []
        if event.kind is Kind.CLOCK_SET:
            self._set += event.number or 0
        self.session.replay([event])
        if event.kind not in BESIDE:
            self._ended = event.at

    def _counted(self) -> list[int]:
        return [line.counted for line in self.session.summary()]

    def _so_far(self) -> list[Sitting]:
        """The sittings that are over, and the one under way."""
        if not self._before:
            return self._sittings
        more = [now - before for before, now in zip(self._before, self._counted(), strict=True)]
        done, back = sum(n for n in more if n > 0), -sum(n for n in more if n < 0)
        return [*self._sittings, Sitting(local(self._began), local(self._ended), done, back, self._set, self._weaver)]

    def history(self) -> History:
        """What the events so far come to."""
        session, job = self.session, self.session.job
        sittings = tuple(self._so_far())
        place, summary = session.place, session.summary()
        counts = (place.pace, place.left, place.own_paces)
        return History(
            session.warp.title, job.name, session.place.course.unit, session.total, summary, sittings, *counts
        )


def dated(events: Sequence[Event]) -> Iterator[Event]:
    """The same, those of each sitting dated by the wall clock as it stood at its end, however it was set meanwhile."""
    begins = [0, *(n for n, event in enumerate(events) if n and event.kind is Kind.SIT_DOWN), len(events)]
    for sitting in (events[begin:end] for begin, end in pairwise(begins)):
        ahead = sum(event.number or 0 for event in sitting if event.kind is Kind.CLOCK_SET)
        for event in sitting:
            yield event if event.by == Origin.WRITTEN else replace(event, at=event.at + ahead)


def history(journal: Records, record: Record) -> History:
    """Replay a record's events and look at what they come to. Raises JournalError where that cannot be done."""
    events = journal.events(record)
    try:
        retelling = Retelling(record)
        for event in dated(events):
            retelling.take(event)
    except JournalError:
        raise
    except HeddlecallError as error:  # the warp lacks what the job takes, or an event tells of what cannot be
        raise record.unreadable(error.tell) from error
    return retelling.history()


def local(at: float) -> datetime:
    """The time at the loom, from seconds since the epoch."""
    return datetime.fromtimestamp(at).astimezone()


def told(journal: Records, file: Path | None, job: str | None) -> list[tuple[Record, History]]:
    """The records of a file and a job, or of all, each with its history, the latest begun first.

    Raises JournalError where there is none that can be read.
    """
    found = list(journal.readable(kept(journal, file, job), lambda record: history(journal, record)))
    return found or _none_readable(journal)


def _none_readable(journal: Records) -> NoReturn:
    """Tell why."""
    raise JournalError(next(iter(journal.passed_over.values())))


def kept(journal: Records, file: Path | None, job: str | None) -> list[Record]:
    """The records of a file and a job, or of all, the latest begun first. Raises JournalError where there is none."""
    records = journal.records(file, job)
    if not records and journal.passed_over:
        _none_readable(journal)
    if not records:
        command = PASSES[job or THREAD.name].command or job or THREAD.name
        raise JournalError(
            "{file}: no sitting yet; begin with: heddlecall {command} FILE",
            file=file or journal.path,
            command=command,
        )
    return records


def of_one_warp(journal: Records, file: Path | None, job: str | None) -> list[tuple[Record, History]]:
    """As `told`, of one file, without one of that begun last, in the order they were begun. Raises JournalError."""
    latest, _ = told(journal, file, job)[0]
    return told(journal, Path(latest.file), job)[::-1]


def asked_for(journal: Records, name: str | None) -> Path | None:
    """The file that a weaver means: one that lies there, an example, or of a record one that is gone, by name or title.

    None where she names none. Raises SequenceError where there is nothing of that name, JournalError where several are.
    """
    if name is None:
        return None
    try:
        return known_as(journal, find(name))
    except SequenceError:
        records = journal.records()
        gone = Path(lies_at(name))
        if any(record.file == str(gone) for record in records):
            return gone
        titles = journal.readable(records, lambda record: record.warp.title)
        files = list(dict.fromkeys(record.file for record, title in titles if title.casefold() == name.casefold()))
        if len(files) > 1:
            what = "several warps are called {title}; name one by its file: {files}"
            raise JournalError(what, title=name, files=", ".join(files)) from None
        if not files:
            raise
        return Path(files[0])


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


def own_paces(journal: Records, weaver: str = "") -> list[OwnPace]:
    """The weaver's own pace in each job, from the warp begun last that tells."""
    paces = (_own_pace(journal, job, weaver) for job in PASSES)
    return [pace for pace in paces if pace]


def own_pace(journal: Records, job: str, weaver: str = "") -> float | None:
    """The weaver's seconds a unit in the record of a job begun last that tells; None where none does."""
    found = _own_pace(journal, job, weaver)
    return found.seconds if found else None


def _own_pace(journal: Records, job: str, weaver: str) -> OwnPace | None:
    """Of a weaver who is named and was not yet, that of nobody named; of nobody named, that of whoever sat last."""
    nobodys = None
    for _, told in journal.readable(journal.records(job=job), lambda record: history(journal, record)):
        if pace := told.paces.get(weaver) if weaver else told.pace:
            return OwnPace(job, pace, told)
        if nobodys is None and (pace := told.paces.get("")):
            nobodys = OwnPace(job, pace, told)
    return nobodys
