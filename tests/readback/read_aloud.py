"""A weaver who reads a threading aloud, and a recogniser that mishears: for the tests of reading back."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from random import Random

from assistant.readback.alignment import read_out
from assistant.readback.hearing import Hearing
from assistant.readback.reading import AskAgain, Difference, Good, Reading
from assistant.warp.notation import Ends

MOST_AT_A_TIME = 12  # ends in an utterance
PATIENCE = 60  # utterances for each end of a group before a test gives up


@dataclass
class Recogniser:
    """Hears numbers as `hearing` has it, but for what is set otherwise."""

    hearing: Hearing
    random: Random
    missed: float = 0.0
    spurious: float = 0.0
    numbers: int = field(default=0, init=False)  # said
    wrong: int = field(default=0, init=False)

    def hear(self, said: list[int]) -> Iterator[int]:
        """What is heard of these numbers."""
        everything = range(1, self.hearing.most + 1)
        for number in said:
            self.numbers += 1
            if self.random.random() < self.spurious:
                yield self.random.choice(everything)
            if self.random.random() >= self.missed:
                (heard,) = self.random.choices(everything, self.hearing.confusion[number - 1])
                self.wrong += heard != number
                yield heard


@dataclass(frozen=True)
class ReadAloud:
    """How the reading of a group went."""

    checked: bool
    difference: Difference | None
    read: int  # ends, those read again included
    asked: int  # times


def read_aloud(
    real: Ends,
    reading: Reading,
    hear: Callable[[list[int]], Iterable[int]] = list,
    at_a_time: Callable[[], int] = lambda: MOST_AT_A_TIME,
) -> ReadAloud:
    """Read a group as it really is, and again what is asked for, until it is checked or a difference is reported."""
    here, furthest, stop, read, asked = 0, 0, None, 0, 0
    for _ in range(PATIENCE * len(reading.expected)):
        ends = real[here : stop or here + at_a_time()]
        here += len(ends)
        furthest = max(furthest, here)
        read += len(ends)
        reading, outcome = reading.hear(list(hear(read_out(ends)))) if ends else reading.finish()
        match outcome:
            case Difference():
                return ReadAloud(False, outcome, read, asked)
            case AskAgain(first, last):
                here, stop, asked = first - 1, last, asked + 1
            case Good() if reading.checked:
                return ReadAloud(True, None, read, asked)
            case Good():
                here, stop = (furthest if stop else here), None
    raise AssertionError(f"no end of reading: {reading}")
