"""What a page sends -> what was done. Pure; whatever a stranger sends gives None."""

import json
from dataclasses import dataclass

from assistant.session.events import Kind

LONGEST = 512  # characters of a message
LARGEST_STEP = 2**53 - 1  # what a page counts exactly
LARGEST_NUMBER = 999_999
NOT_BY_HAND = (Kind.SIT_DOWN, Kind.READ, Kind.UNCLEAR)
BY_HAND = {kind.value: kind for kind in Kind if kind not in NOT_BY_HAND}


@dataclass(frozen=True, slots=True)
class Done:
    """Something was touched, or a key pressed, in answer to a step; a number only where the kind is NUMBER."""

    step: int
    kind: Kind
    number: int | None = None


@dataclass(frozen=True, slots=True)
class Switched:
    """A key that is a switch of a pedal went down, or up, while a step was shown."""

    step: int
    key: str
    down: bool


def parse(text: str) -> Done | Switched | None:
    """What a message says; None for one that is none of ours."""
    if len(text) > LONGEST:
        return None
    try:
        told = json.loads(text)
    except (ValueError, RecursionError):
        return None
    match told:
        case {"step": step, "switch": str(key), "down": bool(down), **rest} if not rest and _within(step, LARGEST_STEP):
            return Switched(step, key, down)
        case {"step": step, "do": "number", "number": number, **rest} if not rest and _within(step, LARGEST_STEP):
            return Done(step, Kind.NUMBER, number) if _within(number, LARGEST_NUMBER) else None
        case {"step": step, "do": str(do), **rest} if not rest and _within(step, LARGEST_STEP):
            kind = BY_HAND.get(do)
            return Done(step, kind) if kind and kind is not Kind.NUMBER else None
    return None


def _within(number: object, largest: int) -> bool:
    return type(number) is int and 0 <= number <= largest
