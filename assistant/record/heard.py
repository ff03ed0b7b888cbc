"""How well words were heard, as far as a journal tells: it keeps what was understood, never the sound."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from assistant.session.events import CLOCK, VOICE, Event, Kind

AT_ONCE = 8.0  # seconds within which a word is taken back, or said again


@dataclass(frozen=True, slots=True)
class Word:
    """A command heard: how often it was taken as right, and how often taken back at once, perhaps never said."""

    kind: Kind
    right: int
    wrong: int


@dataclass(frozen=True, slots=True)
class Heard:
    """An estimate from what the weaver did next."""

    words: tuple[Word, ...]  # the most frequent first
    missed: int  # not understood, and a command followed at once: probably a word said again
    other: int  # not understood, and nothing followed: talk, a cough, a thing let fall

    @property
    def right(self) -> int:
        """Words taken as right."""
        return sum(word.right for word in self.words)

    @property
    def wrong(self) -> int:
        """Words taken back at once."""
        return sum(word.wrong for word in self.words)

    def as_json(self) -> dict[str, object]:
        """The counts, in all and for each command."""
        return {
            "right": self.right,
            "wrong": self.wrong,
            "missed": self.missed,
            "other": self.other,
            "words": [{"command": word.kind.value, "right": word.right, "wrong": word.wrong} for word in self.words],
        }


def heard(events: Sequence[Event]) -> Heard:
    """What the events tell of hearing: a word followed at once by "back" counts as wrong, else as right."""
    acts = [event for event in events if event.source != CLOCK]
    right: Counter[Kind] = Counter()
    wrong: Counter[Kind] = Counter()
    missed = other = 0
    for event, after in pairwise([*acts, None]):
        if event is None or event.source != VOICE:
            continue
        at_once = after is not None and after.at - event.at <= AT_ONCE
        if event.kind is Kind.UNCLEAR:
            said_again = at_once and after is not None and after.kind is not Kind.UNCLEAR
            missed, other = missed + said_again, other + (not said_again)
        elif at_once and after is not None and after.kind is Kind.BACK and event.kind is not Kind.BACK:
            wrong[event.kind] += 1
        else:
            right[event.kind] += 1
    kinds = [kind for kind, _ in (right + wrong).most_common()]
    return Heard(tuple(Word(kind, right[kind], wrong[kind]) for kind in kinds), missed, other)
