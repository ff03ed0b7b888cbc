"""What can be done while a threading is written in."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from assistant.session.events import Kind


class MoveKind(StrEnum):
    """The values are the names used where moves are kept, and in the language files."""

    ENTER = "enter"  # a row, or what was asked for
    NEXT = "next"  # the group is complete; what was asked is left as it is
    BACK = "back"  # the last thing is taken back
    AGAIN = "again"  # that again: so many times in all
    MIRROR = "mirror"
    COLOUR = "colour"
    NAME = "name"
    KEY = "key"  # of a profile: which ends stand for each block
    BLOCKS = "blocks"  # digits stand for blocks from now on, or for shafts
    MORE = "more"  # what has no word of its own, by number
    WHERE = "where"
    HELP = "help"
    DONE = "done"
    LEAVE = "leave"


@dataclass(frozen=True, slots=True)
class Move:
    """One thing done; `text` is what was typed or said with it."""

    kind: MoveKind
    text: str = ""


HEARD = "heard"  # goes with DONE where it was only heard
BY_VOICE: Mapping[str, MoveKind] = {  # what is said, by its name in the language files
    Kind.NEXT: MoveKind.NEXT,
    Kind.BACK: MoveKind.BACK,
    Kind.REPEAT: MoveKind.AGAIN,
    Kind.GO_TO: MoveKind.MORE,
    Kind.WHERE: MoveKind.WHERE,
    Kind.HELP: MoveKind.HELP,
    Kind.FINISHED: MoveKind.DONE,
    **{kind.value: kind for kind in (MoveKind.MIRROR, MoveKind.NAME, MoveKind.COLOUR)},
}
ON_KEYPAD: Mapping[str, MoveKind] = {  # keys pressed one after the other; what is as at the loom has the same keys
    "enter": MoveKind.NEXT,
    "+": MoveKind.AGAIN,
    "-": MoveKind.MIRROR,
    "*": MoveKind.BACK,
    "backspace": MoveKind.BACK,
    ".": MoveKind.HELP,
    "=": MoveKind.HELP,
    "/1": MoveKind.COLOUR,
    "/2": MoveKind.NAME,
    "/3": MoveKind.KEY,
    "/4": MoveKind.BLOCKS,
    "/5": MoveKind.WHERE,
    "/7": MoveKind.DONE,
    "/.": MoveKind.MORE,
    "//enter": MoveKind.LEAVE,
}
BY_NUMBER = (
    MoveKind.MIRROR,
    MoveKind.COLOUR,
    MoveKind.NAME,
    MoveKind.KEY,
    MoveKind.BLOCKS,
)  # in answer to MORE
