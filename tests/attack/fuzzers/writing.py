"""Threadings that are written in: lines and keys, one after the other, and what was kept of them.

The second opinion is the sequence file that comes of it, read as any other.
"""

import random
from pathlib import Path

from assistant.errors import SequenceError
from assistant.warp.sequence import loads
from assistant.words.language import load
from assistant.writing.kept import kept_for
from assistant.writing.moves import Move
from assistant.writing.rules import follow
from assistant.writing.sequence_file import sequence_file
from assistant.writing.slip import Asked, PaperSlip
from assistant.writing.typing import Typing, commands
from assistant.writing.view import WritingWords
from fuzzers.engine import Fuzzer, law
from fuzzers.mangled import characters, mangled, number, text

LINES = (
    *("", "", "1432", "12", "1 2 3 4", "8..1", "3(1 2)", "1/3 2/4", "1*2 3", "~ 1 2", "1 3; 2 4", "mirror(1..4)", "0"),
    *("+3", "+2.2", "-", "mirror 2", "name rose", "name 4", "name", "colour 2 flax, 1 rust", "colour 112", "colour -"),
    *("A = 1 3 2 3", "B = 1 4 2 4", "blocks", "A 3B A", "2(A B)", "122", "key", "back", "back", "where", "help", "/7"),
)
KEYS = (
    *"0123456789.*/+-= (~;A",
    "enter",
    "enter",
    "backspace",
    "asterisk",
    "minus",
    "slash",
    "space",
    "escape",
    "home",
)
MOST_ENDS = 2_000  # of which the file is read again
MOST_LINES = 40


class _Slip:
    """A slip that is written on, and what was done."""

    def __init__(self) -> None:
        self.slip, self.moves = PaperSlip(), list[Move]()

    def take(self, moves: list[Move]) -> None:
        """Do these; what cannot be read is refused in one line, and changes nothing."""
        for move in moves:
            before = self.slip
            try:
                self.slip, told = follow(before, move, WORDS.text)
            except SequenceError as error:
                law("\n" not in str(error), str(error))
                law(self.slip is before, "changed")
                return
            law("{" in f"{before}{move}" or "{" not in WORDS.say(told).text, told)
            if self.slip is not before:
                self.moves.append(move)


WORDS = WritingWords(load("en"))
TYPED = commands(load("en"))


def _given(chance: random.Random) -> bytes:
    made = (
        lambda _: chance.choice(LINES),
        lambda _: chance.choice(LINES),
        lambda _: chance.choice(LINES),
        number,
        text,
    )
    lines = ["8", "1"] if chance.random() < 0.9 else []
    lines += [chance.choice(made)(chance) for _ in range(chance.randrange(20))]
    data = "\n".join(lines).encode("utf-8", "surrogateescape")
    return mangled(chance, data) if chance.random() < 0.3 else data


def _tried(data: bytes) -> None:
    written, typing = _Slip(), Typing(TYPED)
    for line in data.decode("utf-8", "replace").splitlines()[:MOST_LINES]:
        written.take(typing.line(line, written.slip.asked is Asked.NAME))
    _held(written)


def _keys_given(chance: random.Random) -> bytes:
    keys = [*"8", "enter", *"1", "enter"]
    keys += [characters(chance)[:1] if chance.random() < 0.03 else chance.choice(KEYS) for _ in range(60)]
    return "\n".join(keys).encode("utf-8", "surrogateescape")


def _keys_tried(data: bytes) -> None:
    written, typing = _Slip(), Typing(TYPED)
    for key in data.decode("utf-8", "replace").split("\n"):
        written.take(typing.press(key, written.slip.asked is Asked.NAME))
        law(len(typing.shown) < 100, typing.shown)
    _held(written)


def _held(written: _Slip) -> None:
    """What is kept comes to the same slip, and its file to the same ends; back leads to the beginning."""
    with kept_for(Path("rug.yaml")) as there:
        for move in written.moves:
            there.add(move)
    with kept_for(Path("rug.yaml")) as there:
        law(there.moves == tuple(written.moves), there.moves)
    slip = written.slip
    if slip.whole and slip.start and slip.count <= MOST_ENDS:
        warp = loads(sequence_file(slip, "rug").encode(), "rug.yaml")
        ends = [end.shafts for end in warp.every_end()]
        law(len(ends) == slip.count, len(ends), "ends, not", slip.count)
    while slip.before:
        slip = slip.before
    law(slip == PaperSlip(), slip)


FUZZERS = (
    Fuzzer("writing in, by lines", 60_000, _given, _tried),
    Fuzzer("writing in, by keys", 40_000, _keys_given, _keys_tried),
)
