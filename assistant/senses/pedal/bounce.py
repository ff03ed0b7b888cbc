"""Which touches, keys and presses are bounces: the same once more, sooner than anybody means it. Pure."""

from collections.abc import Hashable

from assistant.senses.pedal import BOUNCE_S
from assistant.session.events import TURNS, Event, Kind


class Bounces:
    """Knows the last that was counted of every press; a finger on a page is one press, whatever area it meets."""

    def __init__(self, within: float = BOUNCE_S) -> None:
        """For so many seconds after a press counted, the same is a bounce; 0: none is."""
        self._within = within
        self._counted: dict[Hashable, float] = {}

    def is_one(self, event: Event, finger: bool, rows: bool) -> bool:
        """Whether it is a bounce. While `rows` are read the same number twice is two ends."""
        last = self._counted.get(_press(event, finger))
        return last is not None and abs(event.at - last) < self._within and _can_bounce(event, rows)

    def count(self, event: Event, finger: bool, rows: bool) -> None:
        """It was counted."""
        if _can_bounce(event, rows):
            self._counted[_press(event, finger)] = event.at


def _can_bounce(event: Event, rows: bool) -> bool:
    """A knob is turned fast, and a notch too many does no harm."""
    return event.kind not in TURNS and not (rows and event.kind is Kind.NUMBER)


def _press(event: Event, finger: bool) -> Hashable:
    """What was pressed, as far as one press is told from another."""
    return "finger" if finger else (event.by, event.kind, event.number)
