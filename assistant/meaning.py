"""What is told, before any language words it: a phrase by its key, with its places. Imports nothing of ours."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, init=False)
class Tell:
    """A phrase of the language files by its key, and what its places hold. The key of an error is its English sentence.

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

    def __str__(self) -> str:
        """The key with its places filled in: the English line, where the key is a sentence."""
        return filled(self.phrase, self.places)


def listed(parts: Iterable[Tell | int], between: str = "; ") -> Tell:
    """Several as one, with semicolons or something else between."""
    places: dict[str, Any] = {f"part {number}": part for number, part in enumerate(parts)}
    return Tell(between.join(f"{{{place}}}" for place in places), **places)


def filled(sentence: str, places: Mapping[str, Any]) -> str:
    """A sentence with {places} filled in, several things with commas between; as it is where it does not go together.

    Braces that are to be read stand doubled in it; those in what a place holds are left alone.
    """
    try:
        return sentence.format(**{name: _filling(value) for name, value in places.items()})
    except (LookupError, ValueError, TypeError, AttributeError):
        return sentence


def _filling(value: object) -> object:
    if isinstance(value, tuple):
        return ", ".join(map(str, value))
    return str(value) if isinstance(value, Tell) else value


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
