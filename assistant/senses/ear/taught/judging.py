"""Which examples are of no use, and how far an example may be from the others of its word."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.taught.templates import Example, Templates, noise_around

FEWEST = 2  # examples of a word
APART = 0.85  # part of the distance to another word within which an example has to be of its own
UNLIKE = 2.2  # times the usual distance within a word at which an example does not agree with the others
MOST_SHARE = 90  # percentile of the distances within words that is taken for their reach


@dataclass(frozen=True, slots=True)
class Judged:
    """What examples are worth."""

    good: tuple[int, ...]  # their places
    faults: dict[int, str]  # what is wrong with each of the others, by its place
    reach: float  # how far one example of a word usually is, at most, from the nearest other


def judge(examples: Sequence[Example]) -> Judged:
    """Leave out the worst example, and judge anew, until none is at fault."""
    table = _table(examples)
    words = np.array([example.word for example in examples])
    left, faults = list(range(len(examples))), {}
    while left and (found := _worst(table, words, left)):
        worst, why = found
        faults[worst] = why
        left.remove(worst)
    within = [_nearest(table, words, left, place)[0] for place in left]
    return Judged(tuple(left), faults, float(np.percentile(within, MOST_SHARE)) if within else 0.0)


def _table(examples: Sequence[Example]) -> NDArray[np.float32]:
    """How far each example is from each."""
    templates = Templates(examples)
    each = [templates.distances(one.energies, noise_around(one.energies)) for one in examples]
    table = np.array(each, np.float32)
    np.fill_diagonal(table, np.inf)
    return table


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


def _worst(table: NDArray[np.float32], words: NDArray[np.str_], left: list[int]) -> tuple[int, str] | None:
    """The example most at fault, and why."""
    nearest = {place: _nearest(table, words, left, place) for place in left}
    usual = float(np.median([own for own, _, _ in nearest.values()]))
    faults: list[tuple[float, int, str]] = []
    for place, (own, other, name) in nearest.items():
        word = words[place]
        if (words[left] == word).sum() < FEWEST:
            faults.append((np.inf, place, f"there is no other good example of {word}; give at least {FEWEST}"))
        elif own > APART * other:
            faults.append((own / other, place, f"it sounds like {name}; say it anew, or choose another word for it"))
        elif own > UNLIKE * usual:
            faults.append((own / usual / 1000, place, f"it does not sound like the other examples of {word}"))
    if not faults:
        return None
    _, place, why = max(faults)
    return place, why
