"""One word of a lesson: its examples are asked for until they agree, beside all words that are known already. Pure."""

from collections.abc import Sequence
from enum import Enum, auto

import numpy as np

from assistant.senses.ear.taught.features import Frames
from assistant.senses.ear.taught.judging import FEWEST, judge
from assistant.senses.ear.taught.templates import Example

EXAMPLES = 3  # of each word
ROUNDS = 3  # times that they may fail to agree: then two will do, or the word is left out
SEVERAL = 2  # examples that sound like another word: then it is the word, not a slip of the tongue
WORD_SHARE = 75  # percentile of the levels, margins and all, that is taken for the level of a word


class Answer(Enum):
    """What comes of an example."""

    MORE = auto()  # one more is wanted
    WHOLE = auto()  # the word is taught
    UNLIKE = auto()  # one did not sound like the others; again
    LIKE = auto()  # one sounded like another word; again
    CLASH = auto()  # the word itself is too near another; all of it again, with a better one
    NONE = auto()  # the word is left out


class Turn:
    """The word that is being taught, a command's kind or a number in digits."""

    def __init__(self, word: str) -> None:
        self.word = word
        self.examples: list[Example] = []  # those that are good so far
        self.compared: list[Example] = []  # good or not, the last time
        self.like = ""  # another word that an example sounded like, the last time they were compared
        self.clashes = 0  # words tried that were too near another
        self._failed = 0

    def said(self, energies: Frames, known: Sequence[Example]) -> Answer:
        """One more example; what is known already is not in question."""
        self.examples.append(Example(self.word, energies))
        if len(self.examples) < EXAMPLES:
            return Answer.MORE
        clash = self._compare(known)
        if len(self.examples) == EXAMPLES and not clash:
            return Answer.WHOLE
        self._failed += 1
        if self._failed == ROUNDS:
            return Answer.WHOLE if len(self.examples) >= FEWEST and not clash else Answer.NONE
        if clash:
            self.examples, self.clashes = [], self.clashes + 1
            return Answer.CLASH
        return Answer.LIKE if self.like else Answer.UNLIKE

    def level(self) -> float:
        """Of the faintest example, in dB."""
        return min(decibels(example.energies, WORD_SHARE) for example in self.examples)

    def _compare(self, known: Sequence[Example]) -> bool:
        """Keep the examples that are good; whether the word itself is too near another."""
        self.compared = self.examples
        judged = judge([*known, *self.examples], settled=len(known))
        like = [fault.like for fault in judged.faults.values() if fault.like]
        self.examples = [self.examples[place - len(known)] for place in judged.good if place >= len(known)]
        self.like = like[0] if like else ""
        return len(like) >= SEVERAL


def decibels(energies: Frames, share: float) -> float:
    """The level that so many percent of the frames do not exceed."""
    return float(10 * np.log10(np.percentile(energies.sum(axis=1), share)))
