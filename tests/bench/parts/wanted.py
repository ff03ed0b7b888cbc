"""The words that are to be heard in the hearing benchmark, and what an ear makes of a sound."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from assistant.words.language import Language, load

ENGLISH, KOREAN = load("en"), load("ko")
KINDS = ("next", "repeat", "back", "where", "finished", "short", "over", "redo", "find", "unsure", "pause", "resume")
MOST = 30  # numbers
NUMBERS = [str(number) for number in range(1, MOST + 1)]
SHAFTS = 8
LARGEST = {"commands": 0, "numbers": MOST, f"numbers to {SHAFTS}": SHAFTS}  # listened for, by mode

Samples = NDArray[np.int16]


class Heard(NamedTuple):
    """A word that an ear heard; seconds since the sound began."""

    label: str  # a command's kind, or a number in digits
    end_s: float
    decided_s: float
    score: float  # how sure, 0 to 1


Hears = Callable[[Samples, int], list[Heard]]  # numbers up to so many, or commands where that is 0


def said_for(label: str, language: Language) -> str:
    """What is said for a command's kind or a number in digits."""
    if label.isdecimal():
        return language.numbers[int(label)]
    return "pause" if (label, language) == ("pause", ENGLISH) else language.commands[label][0]
