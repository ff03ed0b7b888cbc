"""The order in which yarns, or beams, follow each other over a group, and back: "2 flax, 1 rust".

A yarn without a count stands for one end of it; a hyphen in place of a yarn for ends whose yarn is not given.
n(…) repeats, and mirror(…) turns round: "2(1 flax, 1 rust), 4 flax".
"""

import re
from collections.abc import Iterable, Sequence
from itertools import chain, cycle, groupby, islice, repeat
from typing import Literal

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp.brackets import HEAD, Brackets, error_at, no_count, number
from assistant.warp.model import MOST_ENDS
from assistant.warp.notation import period
from assistant.warp.spelling import did_you_mean, shown

Order = tuple[tuple[int, str], ...]  # so many ends of the yarn with this key; "" where no yarn is given
Kind = Literal["yarn", "beam"]

NOT_GIVEN = "-"

_PIECE = re.compile(
    rf"""
      (?P<space> \s+ )
    | (?P<comma> , )
    | {HEAD}
    | (?P<word>  [^\s,()]+ )
    | (?P<close> \) )
    | (?P<bare>  \( )
    """,
    re.VERBOSE,
)


def parse(text: str, known: Iterable[str], kind: Kind = "yarn") -> Order:
    """The counts and keys written in `text`, each one of those known.

    Raises SequenceError, whose `column` is the place in the text, counted from 1.
    """
    reading = _Order(known, kind)
    for piece in _PIECE.finditer(text):
        reading.take(piece)
    return reading.finish()


def over(order: Order, ends: int) -> Iterable[str]:
    """The key of each end: the order repeats, and is cut at the last end."""
    return islice(cycle(chain.from_iterable(repeat(key, count) for count, key in order)), ends)


def order_text(keys: Sequence[str]) -> str:
    """The shortest order that gives these keys: over(parse(text), len(keys)) are the keys again."""
    runs = [(len(list(run)), key or NOT_GIVEN) for key, run in groupby(keys[: period(keys)])]
    return ", ".join(key if count == 1 else f"{count} {key}" for count, key in runs)


def is_key(text: str) -> bool:
    """Whether a yarn may have this key: letters of any script, digits, underscores, hyphens; a letter first."""
    return not text.startswith("-") and text.replace("-", "_").isidentifier()


class _Order(Brackets[tuple[int, str]]):
    """The counts and keys read so far."""

    def __init__(self, known: Iterable[str], kind: Kind):
        super().__init__(MOST_ENDS)
        self.known, self.kind = known, kind
        self.due = True  # a yarn comes next, not a comma
        self.comma: int | None = None  # the offset of the comma that waits for one
        self.count: tuple[int, int] | None = None  # the number that waits for one, and its offset

    def take(self, piece: re.Match[str]) -> None:
        """Read one piece of the text."""
        at = piece.start()
        match piece.lastgroup:
            case "comma":
                self._none_waits(at)
                self.due, self.comma = True, at
            case "close":
                if self.comma is not None or not self.due:
                    self._none_waits(at)
                self.close(at)
                self.due = False
            case "bare":
                raise no_count(at)
            case "head" | "word":
                if not self.due:
                    what = "a comma is missing before {word}"
                    raise error_at(at, what, self._for_instance(), word=shown(piece[0]))
                self._next(piece, at)

    def finish(self) -> Order:
        """All of them, once nothing is left open."""
        self.all_closed()
        self._none_waits(0)
        return tuple(self.items)

    def _next(self, piece: re.Match[str], at: int) -> None:
        """What may stand after a comma: a bracket, a number, a key."""
        if piece["head"]:
            if self.count:
                raise self._missing_after(self.count[1])
            self.open(piece)
        elif _is_number(piece[0]) and not self.count:
            self.count = number(piece[0], at), at
            if self.count[0] == 0:
                what, todo = "0 ends of a yarn", "write how many, or take the yarn out"
                if self.kind == "beam":
                    what, todo = "0 ends on a beam", "write how many, or take the beam out"
                raise error_at(at, what, todo)
            return
        else:
            self.add([(self.count[0] if self.count else 1, self._key(piece[0], at))], 1, at)
            self.count, self.due = None, False
        self.comma = None

    def _key(self, word: str, at: int) -> str:
        if word == NOT_GIVEN:
            return ""
        if word not in self.known:
            yarn, example = self.kind == "yarn", f"{word}: {{name: {word}}}"
            what = "there is no yarn called {name}" if yarn else "there is no beam called {name}"
            todo = did_you_mean(word, self.known) or "add it under {place}, for instance {example}"
            raise error_at(at, what, todo, name=shown(word), place=f"{self.kind}s", example=example)
        return word

    def _none_waits(self, at: int) -> None:
        """Raise SequenceError where a yarn is due."""
        if self.count:
            raise self._missing_after(self.count[1])
        if self.due:
            what, todo = "a yarn is missing beside this comma", "write the yarn, or take the comma out"
            if self.kind == "beam":
                what, todo = "a beam is missing beside this comma", "write the beam, or take the comma out"
            raise error_at(at if self.comma is None else self.comma, what, todo)

    def _missing_after(self, at: int) -> SequenceError:
        yarn = self.kind == "yarn"
        what = "a yarn is missing after this number" if yarn else "a beam is missing after this number"
        return error_at(at, what, self._for_instance())

    def _for_instance(self) -> Tell:
        example = "2 flax, 1 rust" if self.kind == "yarn" else "2 ground, 1 pile"
        return Tell("write for instance {example}", example=example)


def _is_number(word: str) -> bool:
    return word.isascii() and word.isdecimal()
