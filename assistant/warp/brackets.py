"""What threadings, profiles and orders of yarns have in common when they are read: n(…), mirror(…) and bounds."""

import re
from collections.abc import Sequence
from typing import Any, Generic, TypeVar

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp.spelling import shown

MOST_NUMBER = 999_999
MOST_BRACKETS = 50

_T = TypeVar("_T")


class Brackets(Generic[_T]):
    """What was read so far. Repeats are unrolled in place, never before their length is known.

    `most` is how many ends it may come to, `size` how many it has come to.
    """

    def __init__(self, most: int):
        self.most = most
        self.items: list[_T] = []
        self.size = 0
        self.opened: list[tuple[int, int, int, int]] = []  # times, 0 to mirror; items and size before; offset

    def add(self, items: Sequence[_T], size: int, at: int) -> None:
        """Take in items that come to so many ends, written at offset `at`."""
        self.room(size, at)
        self.items.extend(items)
        self.size += size

    def room(self, more: int, at: int) -> None:
        """Raise SequenceError where so many ends more are too many."""
        if self.size + more > self.most:
            what = "with this there are more than {most:,} ends"
            raise error_at(at, what, "look for a number that is too large", most=self.most)

    def open(self, head: re.Match[str]) -> None:
        """A bracket opens behind how many times, or `mirror`."""
        at, word = head.start(), head[0].rstrip("(")
        times = 0 if word == MIRROR else number(word, at)
        if times == 0 and word != MIRROR:
            raise error_at(at, "0 times leaves nothing", "write how many times, or take it out")
        if len(self.opened) == MOST_BRACKETS:
            what = "brackets nested more than {most} deep"
            raise error_at(at, what, "name the inner part under blocks", most=MOST_BRACKETS)
        self.opened.append((times, len(self.items), self.size, at))

    def close(self, at: int) -> None:
        """The last bracket that was opened closes: what stands in it is repeated or mirrored."""
        if not self.opened:
            todo = "take it out, or open one before it, as in 3(1 2)"
            raise error_at(at, "this ) has no bracket to close", todo)
        times, before, size, opened_at = self.opened.pop()
        inside = self.items[before:]
        if not inside:
            raise error_at(opened_at, "nothing stands in these brackets", "write the ends to repeat")
        if times:
            more = (self.size - size) * (times - 1)
            self.room(more, opened_at)
            self.items.extend(inside * (times - 1))
            self.size += more
        else:
            self.items[before:] = self.backwards(inside)

    def backwards(self, items: list[_T]) -> list[_T]:
        """What mirror(…) makes of them."""
        return items[::-1]

    def all_closed(self) -> None:
        """Raise SequenceError where a bracket is open."""
        if self.opened:
            what = "this bracket is never closed"
            raise error_at(self.opened[-1][3], what, "put a ) where the repeat ends")


MIRROR = "mirror"
HEAD = rf"(?P<head> (?: [0-9]+ | {MIRROR} ) \( )"  # what opens a bracket, in a verbose expression


class Shorthand(Brackets[_T]):
    """Items separated by spaces, commas or hyphens. `take` is given what an expression finds, piece by piece.

    Its groups are `space`, `mark`, `head`, `close`, `stray`, and those of items.
    """

    def __init__(self, most: int):
        super().__init__(most)
        self.mark: tuple[str, int] | None = None  # the comma or hyphen that waits for an item, and its offset
        self.fresh = True  # at the beginning, or just inside a bracket
        self.apart = True  # something separates the next piece from the last

    def take(self, piece: re.Match[str]) -> None:
        """Read one piece of the text."""
        kind, at = piece.lastgroup, piece.start()
        if kind == "space":
            self.apart = True
        elif kind == "mark":
            self.separate(piece[0], at)
        elif kind == "close":
            self._no_mark_waits()
            self.close(at)
            self.fresh, self.apart = False, False
        elif kind == "stray":
            raise self.stray(piece[0], at)
        else:
            if not self.apart:
                what = "nothing separates this from the piece before"
                raise error_at(at, what, "put a space between; 3(…) repeats")
            inside = kind == "head"
            self.mark, self.fresh, self.apart = None, inside, inside
            if inside:
                self.open(piece)
            else:
                self.item(piece, at)

    def finish(self) -> tuple[_T, ...]:
        """All items, once nothing is left open."""
        self._no_mark_waits()
        self.all_closed()
        return tuple(self.items)

    def separate(self, mark: str, at: int) -> None:
        """A mark stands between two items."""
        if self.fresh or self.mark:
            raise self.missing(mark, at, before=True)
        self.mark, self.apart = (mark, at), True

    def item(self, piece: re.Match[str], at: int) -> None:
        """Take in what an item stands for."""
        raise NotImplementedError

    def missing(self, mark: str, at: int, *, before: bool) -> SequenceError:
        """A complaint about a mark that separates nothing."""
        raise NotImplementedError

    def stray(self, text: str, at: int) -> SequenceError:
        """A complaint about what is no piece at all."""
        raise NotImplementedError

    def _no_mark_waits(self) -> None:
        if self.mark and self.mark[0] in SEPARATORS:
            raise self.missing(*self.mark, before=False)


SEPARATORS = {",": Tell("comma"), "-": Tell("hyphen")}


def number(digits: str, at: int) -> int:
    """The number written at an offset."""
    if len(digits) > len(str(MOST_NUMBER)):
        raise too_large(digits, at)
    return int(digits)


def too_large(digits: str, at: int) -> SequenceError:
    """A complaint about a number at offset `at` that goes beyond MOST_NUMBER."""
    what = "{number} is too large a number"
    return error_at(at, what, "the largest is {most:,}", number=shown(digits), most=MOST_NUMBER)


def no_count(at: int) -> SequenceError:
    """A complaint about a bracket without what it is for."""
    return error_at(at, "this bracket has no count", "put how many times right before it, as in 2(…)")


def error_at(offset: int, what: str, todo: str | Tell, **places: Any) -> SequenceError:
    """A complaint about what stands at an offset in a text."""
    return SequenceError(what, todo, column=offset + 1, **places)
