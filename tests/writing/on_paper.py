"""Threadings on paper, and a simulated weaver who writes one in with a numeric keypad, row by row."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assistant.words.language import load
from assistant.writing.moves import Move
from assistant.writing.rules import follow
from assistant.writing.slip import Asked, PaperSlip
from assistant.writing.typing import Typing, commands
from assistant.writing.view import WritingWords

Keys = tuple[str, ...]


@dataclass(frozen=True)
class Paper:
    """A draft: groups of rows; each row and each group with how often it stands, a mark where it is mirrored."""

    shafts: int
    groups: tuple[tuple[tuple[tuple[str, str], ...], int], ...]  # rows with "", "x3" or "mirror"; times

    @property
    def ends(self) -> list[int]:
        """Every end, as whoever wrote the paper counts them."""
        found: list[int] = []
        for rows, times in self.groups:
            group: list[int] = []
            for row, mark in rows:
                ends = [int(digit) for digit in row]
                group += ends * int(mark[1:]) if mark.startswith("x") else ends
                group += ends[-2::-1] if mark == "mirror" else []
            found += group * times
        return found


# Made up for this; a point twill with a rosette border, as a runner may have it. From memory, no source.
RUNNER = Paper(
    8,
    (
        ((("1212", "x3"),), 1),
        ((("12345678", "mirror"), ("24", "")), 4),
        ((("1357", "x2"), ("8642", "x2"), ("13", "")), 5),
        ((("12345678", "mirror"), ("24", "")), 7),
        ((("1212", "x2"), ("121", "")), 1),
    ),
)


def presses(paper: Paper) -> Iterator[str]:
    """The keys of a keypad that write it in, one after the other."""
    yield from (str(paper.shafts), "enter", "1", "enter")
    for number, (rows, times) in enumerate(paper.groups):
        for row, mark in rows:
            yield from row
            if mark.startswith("x"):
                yield from ("+", *mark[1:], "enter")
            elif mark == "mirror":
                yield "-"
            else:
                yield "enter"
        if times > 1:
            yield from ("enter", "+", *str(times), "enter")
        elif number + 1 < len(paper.groups):
            yield "enter"
    yield from ("/", "7")


class AtTheTable:
    """Keys, the slip they make, and what is heard of it; an error is heard as its line."""

    def __init__(self, code: str = "en") -> None:
        self.slip, self.heard = PaperSlip(), list[str]()
        self._typing, self._words = Typing(commands(load(code))), WritingWords(load(code))

    def press(self, keys: Sequence[str]) -> str:
        """Press these; what is told last."""
        for key in keys:
            for move in self._typing.press(key, self.slip.asked is Asked.NAME):
                self.do(move)
        return self.heard[-1] if self.heard else ""

    def line(self, text: str) -> str:
        """A whole line; what is told."""
        for move in self._typing.line(text, self.slip.asked is Asked.NAME):
            self.do(move)
        return self.heard[-1]

    def do(self, move: Move) -> None:
        self.slip, told = follow(self.slip, move, self._words.text)
        self.heard.append(self._words.say(told).text)
