"""Threadings that are taken down, by a program that is killed at any moment; and fingers that slip, heard or not.

    python tests/attack/taken_down.py --tries 200

In every eighth try the program is killed by SIGKILL while lines are typed at it, and gone on with. In the others a row
as it stands on a paper is typed with a slip: another shaft, one left out, one twice, two swapped.

What has to hold: every line that was read back is kept, in order, and at most one more; what is kept comes to the same
sequence file as without a kill; no row that is not the one on the paper is read back by its words; no traceback.
"""

import random
import signal
import time
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

from frame.forked import Window, warm_up
from frame.trying import Tally, Wish, run

from assistant.errors import SequenceError
from assistant.words.language import codes, load
from assistant.writing.moves import Move
from assistant.writing.rules import follow
from assistant.writing.sequence_file import sequence_file
from assistant.writing.slip import PaperSlip
from assistant.writing.typing import Typing, commands
from assistant.writing.view import WritingWords

KILLED_EVERY = 8
LONGEST_S = 60.0
LINES = (
    *("1432", "12", "8..1", "3(1 2)", "1/3 2", "", "+3", "-", "*", "name rose", "colour 112"),
    *("A = 1 3", "2A A", "99"),
)


def attack(wish: Wish, tally: Tally) -> None:
    """As told above."""
    warm_up()
    for number, chance in zip(count(), wish.chances(tally), strict=False):
        began = time.monotonic()
        tally.found += _killed(chance) if number % KILLED_EVERY == 0 else _slipped(chance)
        tally.took(time.monotonic() - began)


def _after(lines: list[str]) -> PaperSlip:
    """The slip that these lines come to."""
    slip, typing, words = PaperSlip(), Typing(commands(load("en"))), WritingWords(load("en"))
    for line in lines:
        for move in typing.line(line):
            try:
                slip, _ = follow(slip, move, words.text)
            except SequenceError:
                continue
    return slip


def _killed(chance: random.Random) -> Iterator[str]:
    lines = ["8", "1", "1234", *(chance.choice(LINES) for _ in range(chance.randrange(12)))]
    with TemporaryDirectory() as named:
        folder = Path(named)
        file = folder / "rug.yaml"
        command = ["write", str(file), "--plain", "--mute", "--deaf"]
        answered, window = 0, Window(command, folder / "data")
        window.until(lambda: bool(window.lines), LONGEST_S)
        for line in lines:
            before = len(window.lines)
            window.type(f"{line}\n")
            if answered > 2 and chance.random() < 0.2:
                break
            if not window.until(lambda before=before: len(window.lines) > before, LONGEST_S):  # type: ignore[misc]
                yield f"{lines}: nothing was told of {line!r}: {window.err}"
                return
            answered += 1
        window.kill(signal.SIGKILL)
        window.bury()
        again = Window(command, folder / "data")
        again.type("/7\n")
        again.close_input()
        if not again.ends_within(LONGEST_S) or again.code:
            yield f"{lines} after {answered}: {again.code} {again.err} {again.lines[-3:]}"
        again.bury()
        wanted = [_after(lines[:n]) for n in (answered, answered + 1)]
        made = file.read_text() if file.exists() else ""
        if made not in [sequence_file(slip, "rug") for slip in wanted if slip.whole] and wanted[0].whole:
            yield f"{lines} after {answered}: {made!r}"
        if "Traceback" in window.err + again.err:
            yield f"{lines}: {window.err}{again.err}"


def _slipped(chance: random.Random) -> Iterator[str]:
    shafts = chance.randint(2, 24)
    unit = [chance.randint(1, shafts) for _ in range(chance.randint(1, 12))]
    row = [str(end) for end in (unit * chance.choice((1, 1, 2, 3)) + unit[: chance.randrange(3)])]
    at, other = chance.randrange(len(row)), [*row]
    match chance.randrange(4):
        case 0:
            other[at] = str(chance.randint(1, shafts))
        case 1:
            other[at : at + 1] = []
        case 2:
            other[at:at] = [row[at]]
        case _:
            other[at : at + 2] = reversed(other[at : at + 2])
    if other and other != row:
        words = WritingWords(load(chance.choice(codes())))
        slip, _ = follow(follow(PaperSlip(), _entered(str(shafts)))[0], _entered("1"))
        right, wrong = (words.say(follow(slip, _entered(" ".join(each)))[1]).text for each in (row, other))
        if right == wrong:
            yield f"{row} and {other} are told alike: {right}"


def _entered(text: str) -> Move:
    (move,) = Typing({}).line(text)
    return move


if __name__ == "__main__":
    run(__doc__, attack, tries=1600, seconds=300)
