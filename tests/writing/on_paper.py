"""Threadings on paper, and a simulated weaver who writes one in with a numeric keypad, row by row."""

import random
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assistant.errors import SequenceError
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


def many_rows(seed: int, ends: int = 300) -> Paper:
    """A draft of about so many ends, in which hardly anything comes twice: groups of rows of two to eight ends."""
    chance, groups, written = random.Random(seed), [], 0
    while written < ends:
        group = []
        for _ in range(chance.randrange(2, 6)):
            row = "".join(map(str, chance.choices(range(1, 9), k=chance.randrange(2, 9))))
            group.append((row, chance.choice(("", "", "", "x2", "mirror"))))
        groups.append((tuple(group), chance.choice((1, 1, 2))))
        written = len(Paper(8, tuple(groups)).ends)
    return Paper(8, tuple(groups))


def presses(paper: Paper) -> Iterator[str]:
    """The keys of a keypad that write it in, one after the other."""
    yield from (str(paper.shafts), "enter", "1", "enter")
    for step in steps(paper):
        yield from step.keys
    yield from ("/", "7")


@dataclass(frozen=True)
class Step:
    """What is pressed for a line of the paper, or where a group ends, and what then has to be heard, by the paper."""

    keys: Keys
    heard: tuple[int, ...]  # the numbers, in order; how many ends there are in all may follow
    group: int  # in hand after it
    here: int  # ends of that group
    written: int  # ends in all
    last: tuple[int, ...]  # the last row of the group in hand, all of it; its number again where it has none


def steps(paper: Paper) -> list[Step]:
    """The paper line by line, each group closed; at the end she asks what there is in all."""
    found: list[Step] = []
    number, before = 1, 0
    for rows, times in paper.groups:
        here = 0
        for row, mark in rows:
            line = tuple(map(int, row))
            times_here = int(mark[1:]) if mark.startswith("x") else 1
            back = line[-2::-1] if mark == "mirror" else ()
            keys = {"": ("enter",), "mirror": ("-",)}.get(mark, ("+", *mark[1:], "enter"))
            heard = (*line, *back, *((times_here,) if times_here > 1 else ()))
            last = line * times_here + back
            here += len(last)
            found.append(Step((*row, *keys), heard, number, here, before + here, last))
        before += here
        found.append(Step(("enter",), (number, here, number + 1), number + 1, 0, before, (number + 1,)))
        if times > 1:
            number, before = number + times - 1, before + (times - 1) * here
            found.append(Step(("+", *str(times), "enter"), (times,), number + 1, 0, before, (number + 1,)))
        number += 1
    return [*found, Step(("/", "5"), (number, 0, before), number, 0, before, (number,))]


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


class Comparing(AtTheTable):
    """A weaver who compares all that she hears with the paper, and goes back where it is something else."""

    def __init__(self, paper: Paper) -> None:
        super().__init__()
        self._steps = steps(paper)
        self.press((str(paper.shafts), "enter", "1", "enter"))
        self.right = [self.slip]  # what stands before each step where no hand slips, and at the end
        for step in self._steps:
            assert self._is_heard(step.keys, step)
            self.right.append(self.slip)

    def mends(self, at: int, keys: Keys, looking: bool) -> bool:
        """At this step other keys are pressed once; whether all that stands is right again, sooner or later.

        Not `looking`: her eyes slipped as well, so she finds nothing wrong with that step, and goes on with the next.
        """
        self.slip = self.right[at]
        if self._is_heard(keys, self._steps[at]) or not looking:
            at += 1
        else:
            at = self._back_to_what_is_right()
        for _ in range(2 * len(self._steps)):
            if self.slip == self.right[at]:
                return True
            if at == len(self._steps):
                return False
            at = at + 1 if self._is_heard(self._steps[at].keys, self._steps[at]) else self._back_to_what_is_right()
        return False

    def _is_heard(self, keys: Keys, step: Step) -> bool:
        """Whether these keys have told what has to be heard at a step."""
        told = self._hears(keys)
        return told[: len(step.heard)] == step.heard and len(told) <= len(step.heard) + 1

    def _hears(self, keys: Keys) -> tuple[int, ...]:
        """The numbers that are told."""
        before = len(self.heard)
        try:
            self.press(keys)
        except SequenceError as error:
            self.heard.append(str(error))
            self._typing.press("escape")
        return tuple(int(number) for text in self.heard[before:] for number in re.findall(r"\d+", text))

    def _back_to_what_is_right(self) -> int:
        """The step to go on with, once what stands is what stands on the paper up to there."""
        there = {(step.group, step.here, step.written, *step.last): at for at, step in enumerate(self._steps, 1)}
        while self.slip.count:
            self._hears(("*",))
            stands = self._hears(("/", "5"))
            if stands in there:
                return there[stands]
        return 0
