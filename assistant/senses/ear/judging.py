"""What examples of a word are worth beside each other: by how alike they are, where words lie. Pure.

People repeat themselves loosely, and so almost any example is taken. The limits are by four real speakers saying three
times each of ten words: of their examples less than one in a hundred is turned away.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.meaning import Tell
from assistant.senses.ear.embedding import Mel

SLIP = 0.6  # how like another word an example has to be, to be taken for a slip of the tongue
CLEARLY = 0.25  # and by how much more than it is like its own
UNLIKE = 0.45  # how like its own word an example has to be, where others agree
ALIKE = 0.65  # how like each other two words are, example by example, that may be taken for one another


@dataclass(frozen=True, slots=True)
class Example:
    """A word as it was said once."""

    word: str  # a command's kind, or a number in digits
    clip: Mel  # how it sounded, as clip.py has it
    place: NDArray[np.float32]  # where it lies among words, as likeness.Space has it
    believed: bool = False  # whether it was not understood, and the weaver said it again; no part of a lesson
    amid: NDArray[np.float32] | None = None  # noises × numbers: where it lies amid each noise, if known


@dataclass(frozen=True, slots=True)
class ExampleFault:
    """What is wrong with an example."""

    word: str  # for which it stands
    like: str = ""  # the other word that it sounds like

    def tell(self) -> Tell:
        """For the weaver to read, by the phrases of a lesson."""
        return Tell("example like", other=self.like) if self.like else Tell("example unlike", word=self.word)


@dataclass(frozen=True, slots=True)
class Judged:
    """What examples are worth."""

    good: tuple[int, ...]  # their places in the order given
    faults: dict[int, ExampleFault]  # what is wrong with each of the others
    alike: tuple[tuple[str, str], ...]  # pairs of words that may be taken for one another, the later taught first


def judge(examples: Sequence[Example], settled: int = 0) -> Judged:
    """Leave out the worst example, and judge anew, until none is at fault; the first `settled` are not in question.

    Takes at least one example. A word of which all are like another is alike, and not at fault.
    """
    places = np.stack([example.place for example in examples])
    table = places @ places.T
    words = np.array([example.word for example in examples])
    alike = _alike(table, words)
    left, faults = list(range(len(examples))), {}
    while found := _worst(table, words, left, settled, alike):
        worst, why = found
        faults[worst] = why
        left.remove(worst)
    return Judged(tuple(left), faults, alike)


def _alike(table: NDArray[np.float32], words: NDArray[np.str_]) -> tuple[tuple[str, str], ...]:
    order = list(dict.fromkeys(map(str, words)))
    return tuple(
        (word, other)
        for at, word in enumerate(order)
        for other in order[:at]
        if np.median(table[np.ix_(words == word, words == other)]) > ALIKE
    )


def _worst(
    table: NDArray[np.float32],
    words: NDArray[np.str_],
    left: list[int],
    settled: int,
    alike: tuple[tuple[str, str], ...],
) -> tuple[int, ExampleFault] | None:
    """The example most at fault, and why."""
    faults: list[tuple[float, int, ExampleFault]] = []
    for place in (place for place in left if place >= settled):
        word = str(words[place])
        siblings = [other for other in left if words[other] == word and other != place]
        others = [other for other in left if words[other] != word]
        own = max((float(table[place, other]) for other in siblings), default=-np.inf)
        nearest = max(others, key=lambda other: table[place, other], default=place)
        like, name = (float(table[place, nearest]), str(words[nearest])) if others else (-np.inf, "")
        if siblings and like > SLIP and like > own + CLEARLY and not {(word, name), (name, word)} & {*alike}:
            faults.append((like - own, place, ExampleFault(word, name)))
        elif len(siblings) > 1 and own < UNLIKE:
            faults.append((UNLIKE - own, place, ExampleFault(word)))
    if not faults:
        return None
    _, place, why = max(faults, key=lambda fault: fault[:2])
    return place, why
