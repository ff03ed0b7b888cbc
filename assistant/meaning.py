"""What is told, before any language words it: a phrase by its key, with its places. Imports nothing of ours."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, init=False)
class Tell:
    """A phrase of the language files by its key, and what its places hold.

    A place holds a text that no language changes (a group's name), a number, several of either as a tuple, Runs, or
    another Tell. `count` chooses between the forms of a phrase. A phrase on the beat is spoken at an even distance
    from its neighbours on the beat.
    """

    phrase: str
    places: dict[str, Any]
    beat: bool

    def __init__(self, phrase: str, /, *, beat: bool = False, **places: Any):
        object.__setattr__(self, "phrase", phrase)
        object.__setattr__(self, "places", places)
        object.__setattr__(self, "beat", beat)


@dataclass(frozen=True, slots=True)
class Runs:
    """Whole numbers as the first and last of each stretch that follows on; `more` where others were left out."""

    spans: tuple[tuple[int, int], ...]
    more: bool = False


def runs(numbers: Iterable[int], most: int | None = None) -> Runs:
    """The numbers, in order, in runs; of more than `most` runs only the first ones."""
    spans: list[tuple[int, int]] = []
    for number in numbers:
        if spans and number == spans[-1][1] + 1:
            spans[-1] = (spans[-1][0], number)
        else:
            spans.append((number, number))
    return Runs(tuple(spans[:most]), most is not None and len(spans) > most)
