"""What a screen needs to know, and nothing more."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from assistant.meaning import Tell
from assistant.session.events import Event, Kind
from assistant.session.hints import Hint as Hint  # noqa: PLC0414 - for the senses, which know the view alone
from assistant.session.hints import meaning as meaning  # noqa: PLC0414
from assistant.session.hints import yes_or_no as yes_or_no  # noqa: PLC0414
from assistant.session.modes import ALARM as ALARM  # noqa: PLC0414 - for the senses, which know the view alone
from assistant.session.modes import ModeName as ModeName  # noqa: PLC0414
from assistant.warp.model import Edge as Edge  # noqa: PLC0414
from assistant.warp.model import Side
from assistant.warp.model import Yarn as Yarn  # noqa: PLC0414
from assistant.warp.passes import Dent as Dent  # noqa: PLC0414
from assistant.warp.passes import Figure as Figure  # noqa: PLC0414
from assistant.warp.passes import Item as Item  # noqa: PLC0414
from assistant.warp.passes import Knot as Knot  # noqa: PLC0414
from assistant.warp.passes.colours import Band as Band  # noqa: PLC0414
from assistant.warp.passes.pace import Time as Time  # noqa: PLC0414
from assistant.warp.turned import OTHER


class GroupState(StrEnum):
    """How a group stands."""

    WAITING = "waiting"
    OPEN = "open"
    EVEN = "even"
    OFF = "off"
    SETTLED = "settled"
    BEFORE = "before"  # threaded before the record began, by the weaver's word, and not counted


UNCLOSED = (GroupState.WAITING, GroupState.OPEN)


@dataclass(frozen=True, slots=True)
class GroupLine:
    """A group in a summary: units expected, units done of them, and those left over when it was closed."""

    name: str
    expected: int
    counted: int
    state: GroupState
    over: int = 0
    dents: int = 0  # by which it ended past the dent it should; before it: negative
    passed: int = 0  # units that went to the next group when it was closed
    lacking: int = 0  # ends that lacked then, where heddles are counted
    over_in_ends: bool = False  # what is over are ends, where heddles are counted

    @property
    def off_by(self) -> int:
        """By how many units, or dents, it did not come out: over is positive, short is negative."""
        return self.over or -self.lacking or self.dents or self.counted - self.expected

    def as_json(self) -> dict[str, object]:
        """Name, units expected, counted and left over, and state; passed on and dents over where there are."""
        units = {"expected": self.expected, "counted": self.counted, "left_over": self.over}
        some = {name: count for name, count in (("passed_on", self.passed), ("dents_over", self.dents)) if count}
        return {"name": self.name, **units, **some, "state": self.state.value}


def state_name(state: GroupState, compares: bool) -> str:
    """How a group stands, in a word; one that was read back to its end is checked."""
    return "checked" if compares and state is GroupState.EVEN else state.value


Span = tuple[int, int]  # from the first to the last of them


class Thing(StrEnum):
    """What is counted."""

    ENDS = "ends"  # of the group in hand
    DENTS = "dents"  # from the first in use


@dataclass(frozen=True, slots=True)
class Pointing:
    """Some of what hangs there, as it is counted. What is asked for is no part of it."""

    thing: Thing
    meant: tuple[Span, ...]  # each counted from 1, from `side`
    side: Edge
    of: int  # how many there are, as far as is known
    since: int = 0  # the one from which to count on; 0: from the side
    held: tuple[int, ...] = ()  # DENTS: the ends that each of those meant should hold, where that is told


@dataclass(frozen=True, slots=True)
class View:
    """The session at one moment, ready to show."""

    title: str
    job: str  # wind, thread, ...
    unit: str  # what is counted: "end", "heddle" or "knot"
    compares: bool  # the threading is read back: a group that is off differs after the units counted
    mode: ModeName
    figures: tuple[Figure, ...]  # the call, or the end asked about, to be read across the room; else empty
    called: tuple[Item, ...]  # the call; empty when none is out
    first: int  # the first unit called, counted from 1 over the whole warp; 0 when none is out
    calling: int  # units called
    prompt: tuple[Tell, ...]  # what the helper is waiting for, or what went wrong
    group: str
    group_number: int  # from 1
    groups: int
    counted: int  # units counted in this group
    expected: int  # units in this group
    done: int  # units counted in the whole warp
    total: int  # units in the whole warp
    left: Time  # of the job
    summary: tuple[GroupLine, ...]  # every group, in order
    step: int = field(default=0, compare=False)  # events the session has taken: tells one moment from the next
    following: tuple[Item, ...] = ()  # the call after this one, if all goes well
    following_group: str = ""  # the group that it opens
    yarns: tuple[Band, ...] = ()  # those of the call, as they lie
    bands: tuple[tuple[Band, ...], ...] = ()  # those of every group, as they lie
    offers: tuple[Kind, ...] = ()  # what means something now
    hints: tuple[Hint, ...] = ()  # of these what can be said or pressed, the likeliest first
    answers: tuple[int, ...] = ()  # the numbers that answer; in their place, where rows are read, the shafts
    largest: int = 0  # the largest number that answers, or may be read aloud; 0 where none does
    refused: bool = field(default=False, compare=False)  # the last event was a number that answers nothing
    reads: bool = False  # rows of shafts are being read
    taken: tuple[Tell, ...] = ()  # what was read last
    again: bool = False  # and some of it is asked for again
    moves_on: bool = False  # the clock calls at a steady pace
    over: int = 0  # units left over when this group was closed
    lacking: int = 0  # and these as those of a GroupLine
    over_in_ends: bool = False
    before: int = 0  # units of the group before the call that is out
    home: str = ""  # the group to come back to from this one
    palette: Mapping[str, Yarn] = field(default_factory=dict)  # all yarns of the warp, by their keys
    size_option: str = ""  # by which another size of calls is chosen, when the job is begun or gone on with
    shafts: int = 0  # of the loom
    shaft_1: Side = "front"  # where it hangs
    start: Edge = "right"  # where the first end of the warp lies, as seen from the front
    outward: int = 0  # the groups of the first half, gone along towards there, where it is sleyed from the centre
    pointing: Pointing | None = None  # what the question is about, or the place, among what hangs there
    dents: tuple[Dent, ...] = ()  # of the call, in order, where it goes through the reed
    knots: tuple[Knot, ...] = ()  # of the call, in order

    @property
    def side(self) -> Edge:
        """Where the group in hand begins, as seen from the front."""
        return OTHER[self.start] if self.group_number <= self.outward else self.start


@dataclass(frozen=True, slots=True)
class Status:
    """How the senses are doing."""

    hears: bool
    speaks: bool
    heard: str | Event = ""  # the last word heard, or what a key or a touch meant; "" before either
    notices: tuple[Tell, ...] = ()  # what the weaver should know: no loudspeaker, pedal unplugged, ...
    hears_by_page: bool = False  # in place of the computer
    speaks_by_page: bool = False
