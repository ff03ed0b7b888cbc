"""Numbers that are heard as they are said: what an ear makes of a clip, and how else a number may be rendered.

The ear is one that knows the words of the voice's language. What is kept of a proof lies within the clip.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Protocol, Self

from assistant.senses.mouth.player import Samples

FORM = 1  # to be raised when an ear hears otherwise, or there are other ways
MOST = 99  # the largest number that an ear knows


class Understood(StrEnum):
    """What an ear makes of a number that a voice says."""

    RIGHT = "right"  # it is understood
    UNSURE = "unsure"  # it is taken for no other number, but not surely enough for this one to be acted on
    OTHER = "other"  # another number is likelier


class NumberEar(Protocol):
    """Hears which number a clip is."""

    enough: float  # how likely a number has to be to be acted on

    def hear(self, clip: Samples) -> Mapping[int, float]:
        """How likely each number from 0 to MOST is; at most 1 together."""


@dataclass(frozen=True, slots=True)
class Rendering:
    """How a number may be rendered: in the words of the language or in figures, and at what share of the speed."""

    pace: float = 1.0
    in_words: bool = True


RENDERINGS = (
    Rendering(),
    *(Rendering(pace) for pace in (0.9, 0.8, 0.7, 1.1, 1.2, 1.4)),
    Rendering(in_words=False),
    Rendering(0.8, in_words=False),
)


@dataclass(frozen=True, slots=True)
class Proof:
    """What was heard of a number as it was rendered."""

    number: int
    way: int  # which of RENDERINGS
    likeliest: int
    sure: float  # how likely that is
    verdict: Understood
    lead: float  # by how much likelier the number is than any other; below 0 where another is

    @classmethod
    def of(cls, number: int, way: int, clip: Samples, ear: NumberEar) -> Self:
        """By this ear."""
        heard = ear.hear(clip)
        likeliest = max(heard, key=heard.__getitem__)
        sure = heard[likeliest]
        lead = heard[number] - max(share for other, share in heard.items() if other != number)
        right = Understood.RIGHT if sure >= ear.enough else Understood.UNSURE
        return cls(number, way, likeliest, sure, right if likeliest == number else Understood.OTHER, lead)

    def text(self) -> str:
        """As it is kept."""
        return json.dumps({"form": FORM, **asdict(self)})

    @classmethod
    def read(cls, text: str) -> Self | None:
        """What was kept, None where it was nothing, or is of another form."""
        try:
            kept = json.loads(text)
            return cls(**{**kept, "verdict": Understood(kept["verdict"])}) if kept.pop("form") == FORM else None
        except (ValueError, TypeError, KeyError, AttributeError):
            return None
