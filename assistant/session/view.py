"""What a screen needs to know, and nothing more."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from assistant.session.events import Event, Kind
from assistant.warp.passes.colours import Band as Band  # noqa: PLC0414 - for the senses, which know the view and not the warp


class Mode(StrEnum):
    """Where the session stands."""

    CALLING = "calling"  # a call is out, the weaver is threading it
    CLOSING = "closing"  # all ends of the group are called: did they come out even?
    WHICH = "short or over"  # it did not: short or over?
    COUNTING = "how many"  # by how many ends?
    PARTWAY = "how far"  # the ends ran out inside a call: how many of its ends are threaded?
    OFF = "off"  # a count is off: look for the mistake, redo, settle, or go on with the group marked
    ASKING = "asking"  # the mistake is looked for: what is on the loom?
    SURE = "sure"  # something was said that would undo or pass over much: is it meant?
    FOUND = "found"  # the mistake is found, and is to be set right
    PAUSED = "paused"
    FINISHED = "finished"  # every group is closed


ALARM = (Mode.PARTWAY, Mode.OFF)  # the modes in which a count is off and not yet dealt with


class GroupState(StrEnum):
    """How a group stands."""

    WAITING = "waiting"
    OPEN = "open"
    EVEN = "even"
    OFF = "off"
    SETTLED = "settled"


@dataclass(frozen=True, slots=True)
class GroupLine:
    """A group in a summary: units expected and units counted."""

    name: str
    expected: int
    counted: int
    state: GroupState

    def as_json(self) -> dict[str, object]:
        """Name, expected, counted and state."""
        return {"name": self.name, "expected": self.expected, "counted": self.counted, "state": self.state.value}


def state_name(state: GroupState, compares: bool) -> str:
    """How a group stands, in a word; one that was read back to its end is checked."""
    return "checked" if compares and state is GroupState.EVEN else state.value


def group_lines(groups: Sequence[GroupLine], compares: bool = False) -> list[str]:
    """One line a group: its name, ends counted of those expected, and how it stands."""
    width = max(len(group.name) for group in groups)
    return [f"  {g.name:{width}}  {g.counted:4} of {g.expected:4}  {state_name(g.state, compares)}" for g in groups]


@dataclass(frozen=True, slots=True)
class Lettering:
    """A figure in words: what is to be read across the room, and the small text under it; "" for none."""

    text: str
    caption: str = ""


@dataclass(frozen=True, slots=True)
class View:
    """The session at one moment, ready to show."""

    title: str
    job: str  # wind, thread, ...
    unit: str  # what is counted: "end", "heddle" or "knot"
    compares: bool  # the threading is read back: a group that is off differs after the units counted
    mode: Mode
    figures: tuple[Lettering, ...]  # the call, or the end asked about, to be read across the room; else empty
    called: str  # the call in one line; "" when none is out
    aside: str  # what of it no figure shows
    first: int  # the first unit called, counted from 1 over the whole warp; 0 when none is out
    calling: int  # units called
    prompt: str  # one sentence: what the helper is waiting for, or what went wrong
    group: str
    group_number: int  # from 1
    groups: int
    counted: int  # units counted in this group
    expected: int  # units in this group
    done: int  # units counted in the whole warp
    total: int  # units in the whole warp
    seconds_left: float | None  # None where no pace is known
    pace_known: bool  # False: seconds_left rests on common practice, not on the weaver's own pace
    summary: tuple[GroupLine, ...]  # every group, in order
    step: int = field(default=0, compare=False)  # events the session has taken: tells one moment from the next
    following: str = ""  # the call after this one, if all goes well, in one line
    yarns: tuple[Band, ...] = ()  # those of the call, as they lie
    bands: tuple[tuple[Band, ...], ...] = ()  # those of every group, as they lie
    offers: tuple[Kind, ...] = ()  # what means something now
    largest: int = 0  # the largest number that answers; 0 where none does
    reads: bool = False  # rows of shafts are being read aloud


@dataclass(frozen=True, slots=True)
class Status:
    """How the senses are doing; each text is "" when there is nothing to say."""

    hears: bool
    speaks: bool
    heard: str | Event = ""  # the last word heard, or what a key or a touch meant
    notice: str = ""  # what the weaver should know: no loudspeaker, pedal unplugged, ...
