"""Keys typed in a terminal -> events. Pure: keys come in by name, with the time in seconds.

A printable key is named by its character, in lower case; any other by its plain name: "space", "enter", "pageup".
"""

from collections.abc import Mapping

from assistant.senses.pedal.gestures import Change, Gestures, Role, earliest
from assistant.senses.pedal.typed import HOLD, Typed
from assistant.session.events import Event, Kind

SOURCE = "key"
BETWEEN_DIGITS = 1.2  # seconds: digits sooner than this after each other make one number
LONGEST_NUMBER = 6  # digits

KEYS = {
    "space": Kind.NEXT,
    "enter": Kind.NEXT,
    "n": Kind.NEXT,
    "r": Kind.REPEAT,
    "b": Kind.BACK,
    "backspace": Kind.BACK,
    "d": Kind.DONE,
    "u": Kind.UNEVEN,
    "s": Kind.SHORT,
    "o": Kind.OVER,
    "a": Kind.REDO,
    "f": Kind.FIND,
    "?": Kind.UNSURE,
    "t": Kind.SETTLE,
    "p": Kind.PAUSE,
    "g": Kind.RESUME,
    "w": Kind.WHERE,
    "m": Kind.NOTE,
    "+": Kind.LOUDER,
    "-": Kind.QUIETER,
    ">": Kind.FASTER,
    "<": Kind.SLOWER,
    "q": Kind.LEAVE,
    "ctrl+c": Kind.LEAVE,
}


class TypedSwitch:
    """A switch of a pedal that types a key: the gestures of `Gestures`, a long press being a held key."""

    def __init__(self, role: Role) -> None:
        self._typed, self._gestures = Typed(), Gestures(role, HOLD)

    def counting(self, on: bool) -> None:
        """Whether a number is being counted out."""
        self._gestures.counting(on)

    @property
    def due(self) -> float | None:
        """When `at` has something to say, if nothing else happens."""
        return earliest(self._typed.due, self._gestures.due)

    def arrival(self, at: float) -> list[Event]:
        """The switch's key arrived."""
        changes = self._typed.arrival(at)
        return [event for change in changes for event in self._gestures.change(change.at, change.down)]

    def at(self, now: float) -> list[Event]:
        """What can be decided by now."""
        changes = self._typed.at(now)
        events = [event for change in changes for event in self._gestures.change(change.at, change.down)]
        return events + self._gestures.at(now)


class Keyboard:
    """All keys: those in `switches` belong to a pedal, the others mean what KEYS says, digits a number.

    A held key counts once; with `held` False every arrival counts, as where keys come on lines of their own.
    """

    def __init__(self, switches: Mapping[str, Role] | None = None, held: bool = True) -> None:
        self._switches = {key: TypedSwitch(role) for key, role in (switches or {}).items()}
        self._held = held
        self._key, self._typed = "", Typed()  # the last key that is not a switch
        self._digits, self._digit_at = "", 0.0

    def counting(self, on: bool) -> None:
        """Whether a number is being counted out with the pedal."""
        for switch in self._switches.values():
            switch.counting(on)

    @property
    def due(self) -> float | None:
        """When `at` has something to say, if nothing else happens."""
        number_due = self._digit_at + BETWEEN_DIGITS if self._digits else None
        return earliest(number_due, self._typed.due, *(switch.due for switch in self._switches.values()))

    def press(self, key: str, at: float) -> list[Event]:
        """A key arrived; a whole number may arrive as one key."""
        events = self.at(at)
        if key in self._switches:
            return events + self._switches[key].arrival(at)
        if not self._held:
            return events + self._take(key, at)
        if key != self._key:
            events += self._pressed(self._typed.settle())
            self._key, self._typed = key, Typed()
        return events + self._pressed(self._typed.arrival(at))

    def at(self, now: float) -> list[Event]:
        """What can be decided by now."""
        events = self._pressed(self._typed.at(now))
        if self._digits and now >= self._digit_at + BETWEEN_DIGITS:
            events += self._number(self._digit_at + BETWEEN_DIGITS)
        return events + [event for switch in self._switches.values() for event in switch.at(now)]

    def _pressed(self, changes: list[Change]) -> list[Event]:
        return [event for change in changes if change.down for event in self._take(self._key, change.at)]

    def _take(self, key: str, at: float) -> list[Event]:
        if key.isdecimal():
            self._digits, self._digit_at = (self._digits + key)[:LONGEST_NUMBER], at
            return self._number(at) if len(key) > 1 else []
        if self._digits and key == "enter":
            return self._number(at)
        if self._digits and key == "backspace":
            self._digits = self._digits[:-1]
            return []
        return [*self._number(at), *([Event(KEYS[key], at, source=SOURCE)] if key in KEYS else [])]

    def _number(self, at: float) -> list[Event]:
        digits, self._digits = self._digits, ""
        return [Event(Kind.NUMBER, at, int(digits), SOURCE)] if digits else []
