"""The shorthand in which weavers write a threading, and back: "edge, 3(1 2 3 4), 8..1".

1 2 3   ends, separated by spaces, commas or hyphens
a..b    counts up or down, both included: 1..4 is 1 2 3 4
n(…)    repeats: 2(1 2) is 1 2 1 2
name    stands for a block
3/7     one end carried by two shafts
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp.model import MOST_ENDS
from assistant.warp.spelling import did_you_mean, shown

Shafts = tuple[int, ...]  # the shafts of one end
Ends = tuple[Shafts, ...]

MOST_NUMBER = 999_999
MOST_BRACKETS = 50
LONG_RUN = 5  # ends; shorter runs are easier to read one by one
NO_BLOCKS: Mapping[str, Ends] = MappingProxyType({})

_PIECE = re.compile(
    r"""
      (?P<space> \s+ )
    | (?P<mark>  [,-] )
    | (?P<times> [0-9]+ ) \(
    | (?P<first> [0-9]+ ) \s* \.\. \s* (?P<last> [0-9]+ )
    | (?P<end>   [0-9]+ (?: \s* / \s* [0-9]+ )* )
    | (?P<close> \) )
    | (?P<name>  [^\s,\-()./0-9] [^\s,\-()./]* )
    | (?P<stray> . )
    """,
    re.VERBOSE | re.DOTALL,
)
_MARKS = {",": Tell("comma"), "-": Tell("hyphen")}


def parse(text: str, blocks: Mapping[str, Ends] = NO_BLOCKS, shafts: int = MOST_NUMBER, most: int = MOST_ENDS) -> Ends:
    """The ends written in `text`, on shafts 1 to `shafts`, no more than `most`.

    Raises SequenceError, whose `column` is the place in the text, counted from 1.
    """
    reading = _Reading(blocks, shafts, most)
    for piece in _PIECE.finditer(text):
        reading.take(piece)
    return reading.finish()


def names(text: str) -> dict[str, int]:
    """The names of blocks used in the text, each with the offset where it is used first."""
    found: dict[str, int] = {}
    for piece in _PIECE.finditer(text):
        if piece.lastgroup == "name":
            found.setdefault(piece["name"], piece.start())
    return found


def is_name(text: str) -> bool:
    """Whether a block may be called this: letters of any script, digits, underscores; a letter first."""
    return text.isidentifier()


def notation(shafts: Iterable[Shafts]) -> str:
    """The ends in short: parse(notation(ends)) == ends."""
    ends = tuple(shafts)
    part = period(ends)
    times = len(ends) // part if ends else 0
    if 2 <= times <= MOST_NUMBER and times * part == len(ends):
        return f"{times}({' '.join(_runs(ends[:part]))})"
    return " ".join(_runs(ends))


def period(items: Sequence[object]) -> int:
    """The smallest n > 0 with items[i] == items[i + n] throughout (Knuth, Morris and Pratt 1977)."""
    border = [0] * len(items)
    for i in range(1, len(items)):
        n = border[i - 1]
        while n and items[i] != items[n]:
            n = border[n - 1]
        border[i] = n + (items[i] == items[n])
    return max(1, len(items) - border[-1]) if items else 1


def _runs(ends: Ends) -> Iterator[str]:
    """The pieces that write the ends, long counts up or down as a..b."""
    at = 0
    while at < len(ends):
        length = _run(ends, at)
        if length >= LONG_RUN:
            yield f"{ends[at][0]}..{ends[at + length - 1][0]}"
        else:
            length = 1
            yield "/".join(map(str, ends[at]))
        at += length


def _run(ends: Ends, at: int) -> int:
    """How many ends from `at` on count up, or down, by one shaft each."""
    if at + 1 == len(ends) or len(ends[at]) > 1:
        return 1
    first, step = ends[at][0], ends[at + 1][0] - ends[at][0]
    if abs(step) != 1:
        return 1
    length = 1
    while at + length < len(ends) and ends[at + length] == (first + step * length,):
        length += 1
    return length


class _Reading:
    """The ends read so far. Repeats are unrolled in place, never before their length is known."""

    def __init__(self, blocks: Mapping[str, Ends], shafts: int, most: int):
        self.blocks, self.shafts, self.most = blocks, shafts, most
        self.ends: list[Shafts] = []
        self.opened: list[tuple[int, int, int]] = []  # times, number of ends before, offset
        self.known: dict[str, Shafts] = {}
        self.mark: tuple[str, int] | None = None  # the comma or hyphen that waits for an end, and its offset
        self.fresh = True  # at the beginning, or just inside a bracket
        self.apart = True  # something separates the next piece from the last

    def take(self, piece: re.Match[str]) -> None:
        """Read one piece of the text."""
        kind, at = piece.lastgroup, piece.start()
        if kind == "space":
            self.apart = True
        elif kind == "mark":
            self._separate(piece[0], at)
        elif kind == "close":
            self._close(at)
        elif kind == "stray" or (kind == "name" and not is_name(piece[0])):
            raise _stray(piece[0], at)
        else:
            if not self.apart:
                what = "nothing separates this from the piece before"
                raise _error(what, "put a space between; 3(…) repeats", at)
            self._item(piece, at)

    def finish(self) -> Ends:
        """All ends, once nothing is left open."""
        self._no_mark_waits()
        if self.opened:
            what = "this bracket is never closed"
            raise _error(what, "put a ) where the repeat ends", self.opened[-1][2])
        return tuple(self.ends)

    def _item(self, piece: re.Match[str], at: int) -> None:
        self.mark, self.fresh, self.apart = None, False, False
        match piece.lastgroup:
            case "times":
                self._open(piece["times"], at)
            case "last":
                self._count(piece, at)
            case "name":
                self._block(piece[0], at)
            case _:
                self._add([self._end(piece[0], at)], at)

    def _separate(self, mark: str, at: int) -> None:
        if self.fresh or self.mark:
            raise _no_shaft("a shaft is missing before this {mark}", mark, at)
        self.mark, self.apart = (mark, at), True

    def _open(self, digits: str, at: int) -> None:
        times = _number(digits, at)
        if times == 0:
            raise _error("0 times leaves nothing", "write how many times, or take it out", at)
        if len(self.opened) == MOST_BRACKETS:
            what = "brackets nested more than {most} deep"
            raise _error(what, "name the inner part under blocks", at, most=MOST_BRACKETS)
        self.opened.append((times, len(self.ends), at))
        self.fresh, self.apart = True, True

    def _close(self, at: int) -> None:
        self._no_mark_waits()
        if not self.opened:
            todo = "take it out, or open one before it, as in 3(1 2)"
            raise _error("this ) has no bracket to close", todo, at)
        times, before, opened_at = self.opened.pop()
        if self.fresh:
            raise _error("nothing stands in these brackets", "write the ends to repeat", opened_at)
        self._room((len(self.ends) - before) * (times - 1), opened_at)
        self.ends.extend(self.ends[before:] * (times - 1))
        self.apart = False

    def _count(self, piece: re.Match[str], at: int) -> None:
        first, last = self._shaft(piece["first"], at), self._shaft(piece["last"], piece.start("last"))
        step = 1 if first <= last else -1
        self._add([(shaft,) for shaft in range(first, last + step, step)], at)

    def _block(self, name: str, at: int) -> None:
        if name not in self.blocks:
            todo = did_you_mean(name, self.blocks) or "write shafts as numbers, or add the block under blocks"
            raise _error("there is no block called {name}", todo, at, name=shown(name))
        self._add(self.blocks[name], at)

    def _end(self, written: str, at: int) -> Shafts:
        if written not in self.known:
            shafts = tuple(self._shaft(m[0], at + m.start()) for m in re.finditer("[0-9]+", written))
            if len(set(shafts)) < len(shafts):
                what = "this end is on one shaft twice: {end}"
                raise _error(what, "name each shaft once", at, end=shown(written))
            self.known[written] = shafts
        return self.known[written]

    def _shaft(self, digits: str, at: int) -> int:
        shaft = _number(digits, at)
        if not 1 <= shaft <= self.shafts:
            todo = "this loom has shafts 1 to {most}" if shaft else "shafts are numbered from 1"
            raise _error("there is no shaft {shaft}", todo, at, shaft=shaft, most=self.shafts)
        return shaft

    def _add(self, ends: Sequence[Shafts], at: int) -> None:
        self._room(len(ends), at)
        self.ends.extend(ends)

    def _room(self, more: int, at: int) -> None:
        if len(self.ends) + more > self.most:
            what = "with this there are more than {most:,} ends"
            raise _error(what, "look for a number that is too large", at, most=self.most)

    def _no_mark_waits(self) -> None:
        if self.mark:
            raise _no_shaft("a shaft is missing after this {mark}", *self.mark)


def _number(digits: str, at: int) -> int:
    if len(digits) > len(str(MOST_NUMBER)):
        raise too_large(digits, at)
    return int(digits)


def too_large(digits: str, at: int) -> SequenceError:
    """A complaint about a number at offset `at` that goes beyond MOST_NUMBER."""
    what = "{number} is too large a number"
    return _error(what, "the largest is {most:,}", at, number=shown(digits), most=MOST_NUMBER)


def _no_shaft(what: str, mark: str, at: int) -> SequenceError:
    return _error(what, "write the shaft, or take the {mark} out", at, mark=_MARKS[mark])


def _stray(text: str, at: int) -> SequenceError:
    match text[0]:
        case "(":
            todo = "put how many times right before it, as in 2(…)"
            return _error("this bracket has no count", todo, at)
        case ".":
            return _error("these dots do not join two shafts", "write 1..8 to count from 1 to 8", at)
        case "/":
            todo = "write 3/7 for one end on shafts 3 and 7"
            return _error("this / does not join two shafts", todo, at)
        case _:
            todo = "write 1 2 3, 1..8, 3(1 2), 3/7 or the name of a block"
            return _error("{text} cannot be read", todo, at, text=shown(text))


def _error(what: str, todo: str | Tell, offset: int, **places: Any) -> SequenceError:
    return SequenceError(what, todo, column=offset + 1, **places)
