"""How a recogniser hears spoken numbers: how often it is right, and what it hears when it is wrong.

Which numbers sound alike depends on the language, and the language files say it.
"""

from dataclasses import dataclass
from functools import lru_cache
from itertools import chain
from math import fsum, isclose

RIGHT = 0.97  # of the numbers heard at all: assumption, no source
SOUNDS_ALIKE = 0.5  # of the numbers misheard, those taken for one that sounds alike: assumption, no source
SLIP = 0.001  # of the keys pressed, those beside the one that was meant: assumption, no source
NO_HEDDLE = 0  # in place of a shaft, of an end that is in no heddle
OUT_OF_STEP = 1e-6  # an end typed twice or not at all, or two the wrong way round: it is told which end is next

Alike = tuple[tuple[int, int], ...]

ALIKE_UNLESS_TOLD: Alike = (
    (1, 9), (5, 9), (4, 5), (6, 7), (7, 11), (4, 14), (6, 16), (7, 17), (8, 18), (9, 19),
    (13, 30), (14, 40), (15, 50), (16, 60), (17, 70), (18, 80), (19, 90),
)  # fmt: skip
"""The English pairs: records that do not say which numbers sound alike were made when all were heard by these."""


class TypedShaft(int):
    """A shaft that was typed: whatever it sounds like, it is what it says. NO_HEDDLE: the end is in none."""


@dataclass(frozen=True, slots=True)
class Hearing:
    """What becomes of a number said, as probabilities; of the numbers 1 to `most`."""

    confusion: tuple[tuple[float, ...], ...]  # [said - 1][heard - 1]; every row adds up to 1
    missed: float = 0.005  # said, and nothing heard
    spurious: float = 0.005  # before each number said: one heard that nobody said
    turned: float = 0.0005  # two numbers in a row heard, or read out, the wrong way round

    def __post_init__(self) -> None:
        for row in self.confusion:
            if len(row) != self.most or min(row) <= 0 or not isclose(fsum(row), 1):
                raise ValueError("every row of the confusion table has a probability above 0 for each number; sum 1")

    @property
    def most(self) -> int:
        """The largest number there is to hear."""
        return len(self.confusion)


@lru_cache(maxsize=8)
def assumed(most: int, alike: Alike = ALIKE_UNLESS_TOLD, right: float = RIGHT) -> Hearing:
    """The table for the numbers 1 to `most`: right so often, else mostly one that is alike.

    Pairs in which a number is larger than `most` are passed over.
    """
    numbers = range(1, most + 1)
    return Hearing(tuple(_row(said, numbers, alike, right) for said in numbers))


def _row(said: int, numbers: range, pairs: Alike, right: float) -> tuple[float, ...]:
    others = len(numbers) - 1
    if not others:
        return (1.0,)
    alike = set(chain.from_iterable(pair for pair in pairs if said in pair)) & set(numbers) - {said}
    wrong = 1 - right
    near = wrong * SOUNDS_ALIKE / len(alike) if alike else 0.0
    far = (wrong - near * len(alike)) / others
    return tuple(right if heard == said else far + near * (heard in alike) for heard in numbers)
