"""What can be done while a threading is written in."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from assistant.session.events import Kind


class Doing(StrEnum):
    """The values are the names used where acts are kept, and in the language files."""

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
class Act:
    """One thing done; `text` is what was typed or said with it."""

    doing: Doing
    text: str = ""


BY_VOICE: Mapping[Kind, Doing] = {  # words that the ear knows from the loom, by what they mean here
    Kind.NEXT: Doing.NEXT,
    Kind.BACK: Doing.BACK,
    Kind.REPEAT: Doing.AGAIN,
    Kind.GO_TO: Doing.MORE,
    Kind.WHERE: Doing.WHERE,
    Kind.HELP: Doing.HELP,
    Kind.FINISHED: Doing.DONE,
    Kind.LEAVE: Doing.LEAVE,
}
ON_KEYPAD: Mapping[str, Doing] = {  # keys pressed one after the other; what is as at the loom has the same keys
    "enter": Doing.NEXT,
    "+": Doing.AGAIN,
    "-": Doing.MIRROR,
    "*": Doing.BACK,
    "backspace": Doing.BACK,
    ".": Doing.HELP,
    "=": Doing.HELP,
    "/1": Doing.COLOUR,
    "/2": Doing.NAME,
    "/3": Doing.KEY,
    "/4": Doing.BLOCKS,
    "/5": Doing.WHERE,
    "/7": Doing.DONE,
    "/.": Doing.MORE,
    "//enter": Doing.LEAVE,
}
BY_NUMBER = (Doing.MIRROR, Doing.COLOUR, Doing.NAME, Doing.KEY, Doing.BLOCKS)  # in answer to MORE, from 1
