"""One reading without a break, and where it falls on the ends expected."""

from dataclasses import dataclass, replace
from itertools import accumulate

import numpy as np

from assistant.session.readback.alignment import best_pairs
from assistant.session.readback.hearing import Hearing
from assistant.session.readback.steps import weights
from assistant.session.readback.threadings import read_out
from assistant.warp.notation import Ends, Shafts

AHEAD = 4  # numbers that a reading may have gone beyond as many as were heard


@dataclass(frozen=True, slots=True)
class Pass:
    """One reading from end `start` on, counted from 0, and the numbers heard in it."""

    start: int
    heard: tuple[int, ...] = ()
    to_the_end: bool = False  # after it the weaver found no further end in the group

    def more(self, heard: tuple[int, ...]) -> "Pass":
        """The same reading, gone on."""
        return replace(self, heard=self.heard + heard)

    def stop(self, expected: Ends) -> int:
        """The end before which it stopped at the latest."""
        left = len(self.heard) + AHEAD
        for end in range(self.start, len(expected)):
            if left <= 0:
                return end
            left -= len(expected[end])
        return len(expected)


@dataclass(frozen=True, slots=True)
class Traced:
    """A pass laid along the threading expected in its best alignment."""

    heard: dict[int, Shafts]  # the ends wholly read, counted from 0 -> what was heard of them
    reached: int  # the end before which it stopped
    rest: tuple[int, ...]  # the numbers after the last one that belongs to an end wholly read

    def right(self, expected: Ends) -> set[int]:
        """The ends heard as expected."""
        return {end for end, heard in self.heard.items() if heard == expected[end]}


def trace(expected: Ends, one: Pass, hearing: Hearing) -> Traced:
    """The pass laid along the threading expected."""
    ends = range(one.start, one.stop(expected))
    said = np.array(read_out(expected[ends.start : ends.stop]), dtype=np.int64)
    reached, pairs = best_pairs(said, weights(one.heard, hearing))
    heard_at = dict(pairs)
    heard: dict[int, Shafts] = {}
    used = -1
    for end, stop in zip(ends, accumulate(len(expected[end]) for end in ends), strict=True):
        if stop > reached:
            break
        places = [heard_at[number] for number in range(stop - len(expected[end]), stop) if number in heard_at]
        heard[end] = tuple(one.heard[place] for place in places)
        used = max((used, *places))
    return Traced(heard, one.start + len(heard), one.heard[used + 1 :])
