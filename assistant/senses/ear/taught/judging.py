"""Which examples are of no use, how far an example may be from the others of its word, and which are told apart."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.segmenter import MARGIN
from assistant.senses.ear.taught.comparing import Comparison, noise_around
from assistant.senses.ear.taught.templates import Example, Templates

FEWEST = 2  # examples of a word
APART = 0.85  # part of the distance to another word within which an example has to be of its own
UNLIKE = 2.2  # times the usual distance within a word at which an example does not agree with the others
SAME = 1.05  # times the usual distance within a word, up to which a word left out is the same as another
CLOSE = 0.75  # part of the distance to another word from which on the two are close to each other


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with an example; as a text, for the weaver to read."""

    word: str  # for which it stands
    like: str = ""  # the other word that it sounds like
    alone: bool = False  # there is no other good example

    def __str__(self) -> str:
        if self.alone:
            return f"there is no other good example of {self.word}; give at least {FEWEST}"
        if self.like:
            return f"it sounds like {self.like}; say it anew, or choose another word for it"
        return f"it does not sound like the other examples of {self.word}"


@dataclass(frozen=True, slots=True)
class Judged:
    """What examples are worth."""

    good: tuple[int, ...]  # their places
    faults: dict[int, Fault]  # what is wrong with each of the others, by its place
    close: tuple[tuple[str, str], ...]  # pairs of words that may be taken for one another now and then
    usual: float  # the distance within a word


def judge(examples: Sequence[Example], settled: int = 0) -> Judged:
    """Leave out the worst example, and judge anew, until none is at fault; the first `settled` are not in question."""
    table = _table(examples)
    words = np.array([example.word for example in examples])
    left, faults = list(range(len(examples))), {}
    while left and (found := _worst(table, words, left, settled)):
        worst, why = found
        faults[worst] = why
        left.remove(worst)
    nearest = [_nearest(table, words, left, place) for place in left]
    close = _close([str(words[place]) for place in left], nearest)
    return Judged(tuple(left), faults, close, _usual(nearest))


def told_apart(left_out: Sequence[Example], good: Sequence[Example], usual: float) -> list[Example]:
    """Those of words that are left out but differ from the good ones.

    One that is the same, said for two commands, would only keep the other from being heard.
    """
    if not (left_out and good):
        return []
    templates = Templates(good)
    far = [float(_from(one, templates).min()) for one in left_out]
    words = np.array([one.word for one in left_out])
    return [one for one in left_out if np.median(np.array(far)[words == one.word]) > SAME * usual]


def _table(examples: Sequence[Example]) -> NDArray[np.float32]:
    """How far each example is from each."""
    templates = Templates(examples)
    table = np.array([_from(one, templates) for one in examples], np.float32)
    np.fill_diagonal(table, np.inf)
    return table


def _from(example: Example, templates: Templates) -> NDArray[np.float32]:
    """How far it is from each."""
    return Comparison(templates, example.energies, noise_around(example.energies), MARGIN, leeway=0).distances


def _usual(nearest: Iterable[tuple[float, float, str]]) -> float:
    """How far an example is from its own word."""
    return float(np.median([own for own, _, _ in nearest] or [np.inf]))


def _nearest(
    table: NDArray[np.float32], words: NDArray[np.str_], left: list[int], place: int
) -> tuple[float, float, str]:
    """How far an example is from its own word and from the nearest other; and which that is."""
    far, others = table[place, left], words[left]
    own = others == words[place]
    if own.all():
        return float(far[own].min()), np.inf, ""
    other = np.flatnonzero(~own)[far[~own].argmin()]
    return float(far[own].min()), float(far[other]), str(others[other])


def _close(words: list[str], nearest: list[tuple[float, float, str]]) -> tuple[tuple[str, str], ...]:
    """The pairs of words of which an example is nearly as near to the other as to its own."""
    pairs = {
        (min(word, name), max(word, name))
        for word, (own, other, name) in zip(words, nearest, strict=True)
        if own > CLOSE * other
    }
    return tuple(sorted(pairs))


def _worst(
    table: NDArray[np.float32], words: NDArray[np.str_], left: list[int], settled: int
) -> tuple[int, Fault] | None:
    """The example most at fault, and why."""
    nearest = {place: _nearest(table, words, left, place) for place in left}
    usual = _usual(nearest.values())
    faults: list[tuple[float, int, Fault]] = []
    for place in (place for place in left if place >= settled):
        own, other, name = nearest[place]
        word = str(words[place])
        if (words[left] == word).sum() < FEWEST:
            faults.append((np.inf, place, Fault(word, alone=True)))
        elif own > APART * other:
            faults.append((own / other, place, Fault(word, name)))
        elif own > UNLIKE * usual:
            faults.append((own / usual / 1000, place, Fault(word)))
    if not faults:
        return None
    _, place, why = max(faults, key=lambda fault: fault[:2])
    return place, why
