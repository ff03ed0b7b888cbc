"""The modes of a session: each is a value that carries what belongs to it alone."""

from dataclasses import dataclass, field
from enum import StrEnum
from typing import ClassVar

from assistant.finder import Look
from assistant.finder.reed_look import ReedLook
from assistant.readback import AskAgain, Difference, Reading
from assistant.session.events import Kind

AnyLook = Look | ReedLook  # a search in what is threaded, or in the reed


class ModeName(StrEnum):
    """The name of each mode, for those who look at a session from outside."""

    CALLING = "calling"
    CLOSING = "closing"
    WHICH = "short or over"
    COUNTING = "how many"
    PARTWAY = "how far"
    LAST_CALL = "how far in the last call"
    OFF = "off"
    HEDDLES = "which heddle"
    PASSING = "all or fewer"
    GOING = "which group"
    THERE = "looking on"
    ASKING = "asking"
    FOUND = "found"
    SURE = "sure"
    PAUSED = "paused"
    COMPLETE = "complete"


@dataclass(frozen=True, slots=True)
class Calling:
    """A call is out, the weaver is threading it; or reads back, and then what was read and is not settled."""

    name: ClassVar = ModeName.CALLING
    reading: Reading | None = None
    asked: int = 0  # times the same ends were asked for again
    again: AskAgain | None = None  # what the weaver was just asked to read again


@dataclass(frozen=True, slots=True)
class Closing:
    """All ends of the group are called: did they come out even? Or all are read: is there a further one?"""

    name: ClassVar = ModeName.CLOSING
    reading: Reading | None = None
    asked: int = 0
    again: AskAgain | None = None


@dataclass(frozen=True, slots=True)
class Which:
    """They did not come out: short or over?"""

    name: ClassVar = ModeName.WHICH


@dataclass(frozen=True, slots=True)
class Counting:
    """By how many ends?"""

    name: ClassVar = ModeName.COUNTING
    missing: bool  # short; else over


@dataclass(frozen=True, slots=True)
class Partway:
    """The ends ran out inside a call: how many of its ends are threaded?"""

    name: ClassVar = ModeName.PARTWAY


@dataclass(frozen=True, slots=True)
class LastCall:
    """The ends ran out inside the last call of the group: how many of its ends are threaded? Nothing is off yet."""

    name: ClassVar = ModeName.LAST_CALL


@dataclass(frozen=True, slots=True)
class Off:
    """A count is off: look for the mistake, redo, settle, or go on with the group marked."""

    name: ClassVar = ModeName.OFF
    difference: Difference | AskAgain | None = None  # what was read otherwise, or could not be made out
    searched: bool = False  # and that led to nothing


@dataclass(frozen=True, slots=True)
class Heddles:
    """Heddles are left, or were missing: on which shaft, and how many?"""

    name: ClassVar = ModeName.HEDDLES
    missing: bool  # else left
    back: "Mode"
    shaft: int = 0  # 0 until it is told
    count: int = 0  # 0 until it is told


@dataclass(frozen=True, slots=True)
class Passing:
    """What is left over goes to the next group: are all ends of this one threaded, or fewer?"""

    name: ClassVar = ModeName.PASSING


@dataclass(frozen=True, slots=True)
class Going:
    """To which group?"""

    name: ClassVar = ModeName.GOING
    back: "Mode"


@dataclass(frozen=True, slots=True)
class There:
    """Another group than the one in hand is looked at, call by call; nothing of it is counted."""

    name: ClassVar = ModeName.THERE
    at: int = 0  # the units before the call that is out


@dataclass(frozen=True, slots=True)
class Asking:
    """The mistake is looked for: what is on the loom?"""

    name: ClassVar = ModeName.ASKING
    look: AnyLook
    back: "Mode" = field(default_factory=Off)  # where the search was begun


@dataclass(frozen=True, slots=True)
class Looking:
    """A search is begun, or was told something; what comes of it is not worked out yet. No event finds this mode."""

    name: ClassVar = ModeName.ASKING
    look: AnyLook
    back: "Mode" = field(default_factory=Off)


@dataclass(frozen=True, slots=True)
class Found:
    """The mistake is found, and is to be set right."""

    name: ClassVar = ModeName.FOUND
    look: AnyLook
    back: "Mode" = field(default_factory=Off)  # where the search was begun
    chosen: int | None = None  # which of the choices, from 0; None while all are told


@dataclass(frozen=True, slots=True)
class Sure:
    """Something was said that would undo or pass over much: is it meant?"""

    name: ClassVar = ModeName.SURE
    kind: Kind
    back: "Mode"  # where the session stood before it
    group: int  # the group in hand then


@dataclass(frozen=True, slots=True)
class Paused:
    """The weaver rests."""

    name: ClassVar = ModeName.PAUSED
    back: "Mode"


@dataclass(frozen=True, slots=True)
class Complete:
    """Every group is closed."""

    name: ClassVar = ModeName.COMPLETE


Mode = (
    Calling | Closing | Which | Counting | Partway | LastCall | Off
    | Heddles | Passing | Going | There | Asking | Looking | Found | Sure | Paused | Complete
)  # fmt: skip

MODES: tuple[type[Mode], ...] = (
    *(Calling, Closing, Which, Counting, Partway, LastCall, Off),
    *(Heddles, Passing, Going, There, Asking, Found, Sure, Paused, Complete),
)
ALARM = (ModeName.PARTWAY, ModeName.OFF)  # the modes in which a count is off and not yet dealt with


def search(mode: Mode) -> AnyLook | None:
    """The search for a mistake that is under way or has come out, also while the session is paused in it."""
    match mode:
        case Asking(look) | Found(look, _):
            return look
        case Sure(back=back) | Paused(back):
            return search(back)
        case _:
            return None
