"""What is told of one job on one warp: what became of each group, by whom, when, how long it took, what was heard."""

from dataclasses import dataclass, field
from enum import StrEnum

from assistant.session.events import Kind
from assistant.session.history import History
from assistant.session.view import UNCLOSED, GroupLine, GroupState
from assistant.warp.model import Warp

AT_ONCE_S = 8.0  # seconds within which a word is taken back, or said again


@dataclass(frozen=True, slots=True)
class WordHeard:
    """A command heard: how often it was taken as right, and how often taken back at once, perhaps never said."""

    kind: Kind
    right: int
    wrong: int


@dataclass(frozen=True, slots=True)
class WordsHeard:
    """An estimate from what the weaver did next."""

    words: tuple[WordHeard, ...]  # the most frequent first
    missed: int  # not understood, and a command followed at once: probably a word said again
    other: int  # not understood, and nothing followed: talk, a cough, a thing let fall

    @property
    def right(self) -> int:
        """Words taken as right."""
        return sum(word.right for word in self.words)

    @property
    def wrong(self) -> int:
        """Words taken back at once."""
        return sum(word.wrong for word in self.words)

    def as_json(self) -> dict[str, object]:
        """The counts, in all and for each command."""
        return {
            "right": self.right,
            "wrong": self.wrong,
            "missed": self.missed,
            "other": self.other,
            "words": [{"command": word.kind.value, "right": word.right, "wrong": word.wrong} for word in self.words],
        }


class Deed(StrEnum):
    """What was done about a group, beside closing it. The values are the names used in JSON and language files."""

    FOUND = "mistake found"
    SET_RIGHT = "set right"  # opened as the search for the mistake said
    ANEW = "begun anew"
    OPENED = "opened again"  # in any other way


TROUBLES = (GroupState.OFF, Deed.FOUND)
ENDINGS = (Deed.SET_RIGHT, Deed.ANEW, Deed.OPENED, GroupState.SETTLED)


@dataclass(frozen=True, slots=True)
class Moment:
    """Something that happened to a group: it stood so from then on, or this was done about it."""

    at: float  # seconds since the epoch
    what: GroupState | Deed
    by: str  # the Origin of the event, or ""
    counted: int
    words: str = ""  # what was wrong
    step: int = 0  # of the session: tells what was first, also where the clock was set back

    def as_json(self, group: str) -> dict[str, object]:
        """The moment, with the name of its group."""
        return {"at": self.at, "group": group, "what": self.what, "by": self.by, "words": self.words}


@dataclass(frozen=True, slots=True)
class MarkedPlace:
    """A place marked, with what was written, if anything."""

    at: float
    group: str
    counted: int
    by: str
    text: str

    def as_json(self) -> dict[str, object]:
        """When, where, by whom, and the text."""
        return {"at": self.at, "group": self.group, "counted": self.counted, "by": self.by, "text": self.text}


@dataclass(slots=True)
class GroupStory:
    """What became of a group. Seconds are those spent in it, breaks left out; units those called, also anew."""

    line: GroupLine
    moments: list[Moment]
    seconds: float = 0.0
    units: int = 0
    steps_back: int = 0
    weavers: dict[str, int] = field(default_factory=dict)  # units called, also anew, by who sat; "" where not told

    @property
    def by(self) -> tuple[str, ...]:
        """The weavers who are named, who did most first."""
        return tuple(sorted(filter(None, self.weavers), key=lambda weaver: -self.weavers[weaver]))

    @property
    def closed(self) -> Moment | None:
        """How it was closed as it stands; None where it is not."""
        state = self.line.state
        return next((m for m in reversed(self.moments) if m.what is state), None) if state not in UNCLOSED else None

    @property
    def past(self) -> list[Moment]:
        """What it went through before it stood as it does."""
        return [moment for moment in self.moments if moment is not self.closed]

    @property
    def pace(self) -> float | None:
        """Seconds a unit."""
        return self.seconds / self.units if self.units and self.seconds else None

    def ending(self, trouble: Moment) -> Moment | None:
        """How the group came right after it was off; None where it did not, and after a mistake was found."""
        later = self.moments[self.moments.index(trouble) + 1 :]
        return next((m for m in later if m.what in ENDINGS), None) if trouble.what is GroupState.OFF else None

    def count(self, *what: GroupState | Deed) -> int:
        """How many moments there were of these."""
        return sum(moment.what in what for moment in self.moments)


@dataclass(frozen=True, slots=True)
class Trouble:
    """A group that was off, or the mistake found in it, and how the group came right."""

    group: str
    moment: Moment
    ended: Moment | None


@dataclass(frozen=True, slots=True)
class Step:
    """Units done in one go, and the seconds that took."""

    seconds: float
    units: int


@dataclass(frozen=True, slots=True)
class Story:
    """One job. Times are seconds since the epoch; a stretch is worked without a break."""

    history: History
    warp: Warp  # as the record has it now
    compares: bool
    began: float
    groups: tuple[GroupStory, ...]
    stretches: tuple[tuple[tuple[float, float], ...], ...]  # of each sitting, in order
    steps: tuple[tuple[Step, ...], ...]  # of each sitting, in order
    notes: tuple[MarkedPlace, ...]
    heard: WordsHeard

    @property
    def title(self) -> str:
        """Of the warp."""
        return self.history.title

    @property
    def job(self) -> str:
        """The name of the job."""
        return self.history.job

    @property
    def unit(self) -> str:
        """What is counted: "end", "heddle" or "knot"."""
        return self.history.unit

    @property
    def seconds(self) -> float:
        """Worked in all, breaks left out."""
        return sum(until - since for stretches in self.stretches for since, until in stretches)

    @property
    def pace(self) -> float | None:
        """Seconds a unit, over the whole job."""
        units = sum(group.units for group in self.groups)
        return sum(group.seconds for group in self.groups) / units if units else None

    @property
    def troubles(self) -> list[Trouble]:
        """What went wrong, in order."""
        return [
            Trouble(group.line.name, moment, group.ending(moment))
            for group, moment in self._in_order()
            if moment.what in TROUBLES
        ]

    def _in_order(self) -> list[tuple[GroupStory, Moment]]:
        moments = [(group, moment) for group in self.groups for moment in group.moments]
        return sorted(moments, key=lambda each: each[1].step)

    def as_json(self) -> dict[str, object]:
        """The history; when it began, the time and the pace, what happened to the groups, notes, and words heard."""
        return {
            **self.history.as_json(),
            "began": self.began,
            "seconds": self.seconds,
            "pace": self.pace,
            "group_times": [
                {
                    "name": group.line.name,
                    "seconds": group.seconds,
                    "pace": group.pace,
                    "steps_back": group.steps_back,
                    **({"weavers": list(group.by)} if group.by else {}),
                }
                for group in self.groups
            ],
            "moments": [moment.as_json(group.line.name) for group, moment in self._in_order()],
            "notes": [note.as_json() for note in self.notes],
            "heard": self.heard.as_json(),
        }
