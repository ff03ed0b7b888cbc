"""The numeric keypad as one table: where its keys lie, what every reader calls them, and what they mean.

The card to lay beside it, what is told when the weaver asks, and all that reads keys are made of it. A key is named by
what is written on it: "7", "+", "enter".
"""

from collections.abc import Mapping
from dataclasses import dataclass

from assistant.session.events import Kind

SHIFT = "/"  # the next key has its second meaning; pressed twice, its third
SIGNS = {"+": "plus", "-": "minus", "*": "star", "/": "slash", ".": "point"}  # as phrases name them: "key plus"
GO_ON = "0"  # goes on where no number answers
POINTS = (".", ",")  # one key, by the language of the keyboard


@dataclass(frozen=True, slots=True)
class PadKey:
    """A key, its place from the top left corner and its size, in keys."""

    name: str
    column: int
    row: int
    devices: tuple[str, ...]  # by the kernel's names, with Num Lock or without, also of a keypad that has its own
    unlocked: str = ""  # what a terminal may call it where Num Lock is off
    browser: str = ""  # KeyboardEvent.code
    sequence: str = ""  # what it sends a terminal after ESC O where that tells the keypad apart; DEC's VT220
    unlocked_code: int = 0  # where Num Lock is off, in the keyboard protocol of kitty
    wide: int = 1
    high: int = 1


def _digit(digit: int, unlocked: str, sequence: str, code: int) -> PadKey:
    column, row = ((digit - 1) % 3, 3 - (digit - 1) // 3) if digit else (0, 4)
    device = {"insert": "INSERT", "begin": "CLEAR"}.get(unlocked, unlocked.upper())
    names = (f"KEY_KP{digit}", f"KEY_{digit}", f"KEY_{device}")
    return PadKey(str(digit), column, row, names, unlocked, f"Numpad{digit}", sequence, code, 1 if digit else 2)


PAD: tuple[PadKey, ...] = (
    PadKey("num lock", 0, 0, (), browser="NumLock"),
    PadKey("/", 1, 0, ("KEY_KPSLASH", "KEY_SLASH"), "divide", "NumpadDivide", "o", 57410),
    PadKey("*", 2, 0, ("KEY_KPASTERISK",), "multiply", "NumpadMultiply", "j", 57411),
    PadKey("-", 3, 0, ("KEY_KPMINUS", "KEY_MINUS"), "subtract", "NumpadSubtract", "m", 57412),
    PadKey("+", 3, 1, ("KEY_KPPLUS",), "add", "NumpadAdd", "k", 57413, high=2),
    PadKey("enter", 3, 3, ("KEY_KPENTER", "KEY_ENTER"), "", "NumpadEnter", "M", 57414, high=2),
    _digit(7, "home", "w", 57423),
    _digit(8, "up", "x", 57419),
    _digit(9, "pageup", "y", 57421),
    _digit(4, "left", "t", 57417),
    _digit(5, "begin", "u", 57427),
    _digit(6, "right", "v", 57418),
    _digit(1, "end", "q", 57424),
    _digit(2, "down", "r", 57420),
    _digit(3, "pagedown", "s", 57422),
    _digit(0, "insert", "p", 57425),
    PadKey(".", 2, 4, ("KEY_KPDOT", "KEY_DOT", "KEY_DELETE", "KEY_KPCOMMA"), "delete", "NumpadDecimal", "n", 57426),
    PadKey("=", 4, 0, ("KEY_KPEQUAL", "KEY_EQUAL"), "equal", "NumpadEqual", "X", 57415),  # where there is one
    PadKey("backspace", 4, 1, ("KEY_BACKSPACE",), browser="NumpadBackspace"),  # likewise
)

MEANINGS: Mapping[str, Kind] = {  # keys pressed one after the other
    "enter": Kind.NEXT,
    GO_ON: Kind.NEXT,
    "+": Kind.REPEAT,
    "-": Kind.FIND,
    "*": Kind.BACK,
    "backspace": Kind.BACK,
    ".": Kind.HELP,
    "=": Kind.HELP,
    "/1": Kind.SHORT,
    "/2": Kind.OVER,
    "/3": Kind.UNEVEN,
    "/4": Kind.REDO,
    "/5": Kind.WHERE,
    "/6": Kind.SETTLE,
    "/7": Kind.FINISHED,
    "/8": Kind.PAUSE,
    "/9": Kind.RESUME,
    "/0": Kind.UNSURE,
    "/.": Kind.GO_TO,
    "/*": Kind.NOTE,
    "/+": Kind.LOUDER,
    "/-": Kind.QUIETER,
    "//1": Kind.HEDDLE_MISSING,
    "//2": Kind.HEDDLE_LEFT,
    "//3": Kind.PASS_ON,
    "//+": Kind.FASTER,
    "//-": Kind.SLOWER,
    "//enter": Kind.LEAVE,
}


def keys_for(kind: Kind) -> tuple[str, ...]:
    """The keys for an event, each as `MEANINGS` has them, the one to show first; none for what no key means."""
    return tuple(keys for keys, meant in MEANINGS.items() if meant is kind)


def one_by_one(keys: str) -> tuple[str, ...]:
    """The keys of an entry of `MEANINGS`, in order."""
    shifts = len(keys) - len(keys.lstrip(SHIFT)) if keys != SHIFT else 0
    return (*SHIFT * shifts, keys[shifts:])
