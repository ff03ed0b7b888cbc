"""A weaver at the loom who reads a group back, by keys or by voice, as it really hangs."""

import random
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from mending import Group
from slips import Work, slipped

from assistant.readback import AskAgain, Difference, Hearing, Judgement, Reading, TypedShaft, assumed
from assistant.warp.notation import Ends, Shafts

sys.path.insert(0, str(Path(__file__).parents[1] / "readback"))

from read_aloud import PATIENCE, Recogniser, read_aloud

AT_A_TIME = 3  # ends in a breath


@dataclass(frozen=True)
class ReadBack:
    """How a group hung and what came of reading it; ends count from 1."""

    made: tuple[str, ...]
    hangs_right: bool
    first: int  # the first end whose shafts are otherwise; 0 where none is, though something else may be wrong
    named: int = 0  # the end that was named; 0 where none was
    unclear: bool = False  # asked for again and again until the weaver looked
    asked: int = 0  # times that ends were asked for again

    @property
    def missed(self) -> bool:
        """Shafts are wrong, and the group was called right."""
        return bool(self.first) and not self.named and not self.unclear


Reads = Callable[[Reading, Ends, random.Random], tuple[int, bool, int]]  # as `named`, `unclear`, `asked`


def read_back(group: Group, kinds: Sequence[str], rng: random.Random, reads: Reads) -> ReadBack:
    """Thread a group with mistakes of these kinds, and read it to its end or to the first difference."""
    work = Work.of(group.draft, group.calls, group.shafts)
    made = tuple(slipped(work, rng, kinds))
    loom, _ = work.done()
    expected, hanging = tuple(due.shafts for due in group.draft), tuple(hung.shafts for hung in loom.hanging)
    reading = Reading(expected, group.shafts, assumed(group.shafts), max(_calls(group)))
    return ReadBack(made, loom.right, first_otherwise(expected, hanging), *reads(reading, hanging, rng))


def first_otherwise(expected: Ends, hanging: Ends) -> int:
    """The first end that hangs on other shafts, is not there, or is one too many; 0 where none is."""
    most = max(len(expected), len(hanging))
    ends = (at for at in range(most) if hanging[at : at + 1] != expected[at : at + 1])
    return next(ends, -1) + 1


def _calls(group: Group) -> Iterator[int]:
    stops = (*group.calls[1:], len(group.draft))
    return (stop - start for start, stop in zip(group.calls, stops, strict=True))


def by_keys(reading: Reading, hanging: Ends, rng: random.Random) -> tuple[int, bool, int]:
    """End by end, 0 for one in no heddle; what is asked for again is looked at and typed again."""
    outcome: Judgement
    here = asked = in_a_row = 0
    for _ in range(PATIENCE * len(reading.expected)):
        typed = _keys(hanging[here]) if here < len(hanging) else ()
        for shaft in typed:
            reading, outcome = reading.hear([shaft])
        if not typed:
            reading, outcome = reading.finish()
        match outcome:
            case Difference():
                return outcome.end, False, asked
            case AskAgain():
                here, asked, in_a_row = outcome.first - 1, asked + 1, in_a_row + 1
                if in_a_row > 5:
                    return 0, True, asked
            case _ if reading.checked:
                return 0, False, asked
            case _:
                here, in_a_row = here + bool(typed), 0
    raise AssertionError(f"no end of reading: {reading}")


def _keys(shafts: Shafts) -> tuple[TypedShaft, ...]:
    return tuple(map(TypedShaft, shafts or (0,)))


def by_voice(wrong: float) -> Reads:
    """A few ends in a breath, so many of the numbers taken for another; an end in no heddle is passed over."""

    def reads(reading: Reading, hanging: Ends, rng: random.Random) -> tuple[int, bool, int]:
        hear = Recogniser(misheard(reading.shafts, wrong), rng).hear if wrong else list
        read = tuple(end for end in hanging if end)
        told = read_aloud(read, reading, hear, lambda: AT_A_TIME)
        return (told.difference.end if told.difference else 0), False, told.asked

    return reads


def misheard(most: int, wrong: float) -> Hearing:
    """So many wrong, any other as likely as another: not the table that the reading goes by."""
    other = wrong / max(1, most - 1)
    rows = range(most)
    return Hearing(tuple(tuple(1.0 if most == 1 else 1 - wrong if a == b else other for b in rows) for a in rows))
