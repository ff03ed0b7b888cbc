"""A weaver who says again what was not understood is believed: the first was that word too. Pure.

What she said first may have been another word, a cough or a stranger's remark, and an ear that learns from these hears
worse. So it has to be that word rather than any other by what is known already, and much like what she said next: the
limit is by real speakers and by what is none of theirs (tests/bench/believing.py).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.embedding import Mel
from assistant.senses.ear.judging import Example
from assistant.senses.ear.utterance import Utterance

WITHIN_S = 6.0  # from the end of what was not understood to the beginning of what was said next
LIKE = 0.75  # what was said next it has to be, as a cosine
MOST = 4  # kept for each word; then the oldest goes


@dataclass(frozen=True, slots=True)
class Correction:
    """What was not understood, and what was said next and taken for a word."""

    unheard: Utterance
    accepted: Utterance
    word: str  # a command's kind, or a number in digits
    largest: int  # of the numbers listened for


class Corrections:
    """Follows what is said on its own, and calls `found` with each correction in it."""

    def __init__(self, found: Callable[[Correction], None] = lambda correction: None):
        self._found = found
        self._unheard: Utterance | None = None

    def follow(self, said: Utterance, word: str, largest: int) -> None:
        """Next this was said, and taken for a word as Correction has it; "" where it was not understood."""
        before, self._unheard = self._unheard, None if word else said
        if before and word and 0 <= said.start_s - before.end_s <= WITHIN_S:
            self._found(Correction(before, said, word, largest))


@dataclass(frozen=True, slots=True)
class Weighed:
    """What was said once, and what an ear makes of it."""

    clip: Mel  # as clip.py has it
    place: NDArray[np.float32]  # as likeness.Space has it
    word: str  # the likeliest listened for, as Correction has it; "" for none


def believed(unheard: Weighed, accepted: Weighed, word: str) -> Example | None:
    """The first as an example of the word that the second was taken for; None where it may be anything else."""
    if unheard.word != word or likeness(unheard, accepted) < LIKE:
        return None
    return Example(word, unheard.clip, unheard.place, believed=True)


def likeness(unheard: Weighed, accepted: Weighed) -> float:
    """Of the one to the other, 1 where they are the same."""
    return float(unheard.place @ accepted.place)


def beside(examples: Sequence[Example], one: Example) -> tuple[Example, ...]:
    """Examples, the oldest first, with one more that is believed, and at most MOST of its word that are."""
    of_word = [at for at, each in enumerate(examples) if each.believed and each.word == one.word]
    gone = of_word[: max(0, len(of_word) + 1 - MOST)]
    return *(each for at, each in enumerate(examples) if at not in gone), one
