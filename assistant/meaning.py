"""What is told, before any language words it: a phrase by its key, with its places. Imports nothing of ours."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, init=False)
class Tell:
    """A phrase of the language files by its key, and what its places hold.

    A place holds a text that no language changes (a group's name), a number, several of either as a tuple, or another
    Tell. `count` chooses between the forms of a phrase. A phrase on the beat is spoken at an even distance from its
    neighbours on the beat.
    """

    phrase: str
    places: dict[str, Any]
    beat: bool

    def __init__(self, phrase: str, /, *, beat: bool = False, **places: Any):
        object.__setattr__(self, "phrase", phrase)
        object.__setattr__(self, "places", places)
        object.__setattr__(self, "beat", beat)
