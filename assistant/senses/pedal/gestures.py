"""The ups and downs of a foot switch -> what the weaver means. Pure: seconds come in, no clock is read."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import inf

from assistant.session.events import Event, Kind, Origin

BOUNCE = 0.03  # seconds a contact is not looked at after it changed
BETWEEN = 0.35  # seconds: a press sooner than this after the last was let go belongs with it
HOLD = 0.6  # seconds: a press this long is a long press
QUIET = 1.8  # seconds without a press that end a number counted out


class Role(StrEnum):
    """What a switch is for."""

    ONE = "one"  # everything, by gestures
    BACK = "back"
    REPEAT = "repeat"
    NEXT = "next"


PRESENTER = {  # keys that presenters and page turners send, by their names in a terminal
    **dict.fromkeys(("pagedown", "right", "down"), Role.NEXT),
    **dict.fromkeys(("pageup", "left", "up"), Role.BACK),
}
BY_ROLE = {Role.BACK: Kind.BACK, Role.REPEAT: Kind.REPEAT, Role.NEXT: Kind.NEXT}
BY_PRESSES = {1: Kind.NEXT, 2: Kind.REPEAT, 3: Kind.UNEVEN}  # more presses: help
ASKING = 3  # presses of the repeat switch, one right after the other, that ask for help


@dataclass(frozen=True, slots=True)
class Change:
    """A switch went down, or up, at `at` seconds."""

    at: float
    down: bool


class Contact:
    """A switch without its bounce: a change counts at once, then nothing is looked at for BOUNCE seconds."""

    def __init__(self) -> None:
        self._seen = Change(-inf, False)
        self._down = False
        self._blind_until = -inf

    @property
    def due(self) -> float | None:
        """When `at` has something to say, if nothing else happens."""
        return None if self._seen.down == self._down else max(self._seen.at, self._blind_until)

    def change(self, at: float, down: bool) -> list[Change]:
        """The switch says that it is down, or up; said twice, it counts once."""
        changes = self.at(at)
        if down != self._seen.down:
            self._seen = Change(at, down)
        return changes + self.at(at)

    def at(self, now: float) -> list[Change]:
        """The change that was made while the contact was not looked at, and stayed."""
        if self.due is None or now < self.due:
            return []
        change = Change(self.due, self._seen.down)
        self._down, self._blind_until = change.down, change.at + BOUNCE
        return [change]


class Gestures:
    """One switch. A press means something at once (back, repeat, next), or by how many follow each other (one).

    Held for `hold` seconds, the one switch means back and the repeat switch uneven, while still held. Four presses of
    the one switch, or three of the repeat switch, ask what can be said. While a number is counted out, presses of the
    one or next switch are counted and a long press means back. While a threading is checked by listening, the one or
    next switch held means that it differs.
    """

    def __init__(self, role: Role = Role.ONE, hold: float = HOLD) -> None:
        self._role, self._hold = role, hold
        self._counting = self._checking = False
        self.forget()

    def forget(self) -> None:
        """Begin anew: the switch was unplugged, and is up."""
        self._contact = Contact()
        self._begin()

    def counting(self, on: bool, checking: bool = False) -> None:
        """Whether a number is being counted out, or a threading checked; what is not yet decided is forgotten."""
        if (on, checking) != (self._counting, self._checking):
            self._counting, self._checking = on, checking
            self._begin()

    @property
    def due(self) -> float | None:
        """When `at` has something to say, if nothing else happens."""
        return earliest(self._contact.due, self._decided_at)

    def change(self, at: float, down: bool) -> list[Event]:
        """The switch went down, or up."""
        events = self.at(at)
        for change in self._contact.change(at, down):
            events += self._take(change)
        return events

    def at(self, now: float) -> list[Event]:
        """What can be decided by now."""
        events: list[Event] = []
        for change in self._contact.at(now):
            events += self._take(change)
        return events + self._decide(now)

    def _begin(self) -> None:
        self._presses = 0  # presses without a meaning yet
        self._since: float | None = None  # down since; None when up, or when the press has had its meaning
        self._let_go = -inf
        self._in_a_row = 0  # presses that each meant something at once, one right after the other

    @property
    def _by_presses(self) -> bool:
        return self._role is Role.ONE or (self._role is Role.NEXT and (self._counting or self._checking))

    @property
    def _decided_at(self) -> float | None:
        """When the presses so far get their meaning: after a while of quiet, or when held long enough."""
        if self._since is not None:
            return self._since + self._hold if self._by_presses or self._role is Role.REPEAT else None
        return self._let_go + (QUIET if self._counting else BETWEEN) if self._presses else None

    def _take(self, change: Change) -> list[Event]:
        events = self._decide(change.at)
        if not change.down:
            self._since, self._let_go = None, change.at
        elif self._by_presses:
            self._since, self._presses = change.at, self._presses + 1
        else:
            self._since = change.at
            self._in_a_row = self._in_a_row + 1 if change.at - self._let_go < BETWEEN else 1
            asks = self._role is Role.REPEAT and self._in_a_row == ASKING
            events.append(Event(Kind.HELP if asks else BY_ROLE[self._role], change.at, source=Origin.PEDAL))
        return events

    def _decide(self, now: float) -> list[Event]:
        at = self._decided_at
        if at is None or now < at:
            return []
        event = self._meaning(at, held=self._since is not None)
        self._begin()
        return [event]

    def _meaning(self, at: float, held: bool) -> Event:
        if self._role is Role.REPEAT:
            return Event(Kind.UNEVEN, at, source=Origin.PEDAL)
        if self._counting and not held:
            return Event(Kind.NUMBER, at, self._presses, Origin.PEDAL)
        if held and self._checking:
            return Event(Kind.FIND, at, source=Origin.PEDAL)
        if held and (self._counting or self._presses == 1):
            return Event(Kind.BACK, at, source=Origin.PEDAL)
        if self._role is Role.NEXT:
            return Event(Kind.NEXT, at, source=Origin.PEDAL)
        return Event(BY_PRESSES.get(self._presses, Kind.HELP), at, source=Origin.PEDAL)


class Switches:
    """All switches of a pedal, by the name of the key that each sends."""

    def __init__(self, roles: Mapping[str, Role]) -> None:
        self._switches = {key: Gestures(role) for key, role in roles.items()}

    def counting(self, on: bool, checking: bool = False) -> None:
        """Whether a number is being counted out, or a threading checked by listening."""
        for switch in self._switches.values():
            switch.counting(on, checking)

    def reading(self, shafts: int) -> None:
        """Ends are being read, or none are: a switch names no shaft."""

    def forget(self) -> None:
        """Begin anew: the pedal was unplugged, and all switches are up."""
        for switch in self._switches.values():
            switch.forget()

    @property
    def due(self) -> float | None:
        """When `at` has something to say, if nothing else happens."""
        return earliest(*(switch.due for switch in self._switches.values()))

    def change(self, key: str, at: float, down: bool) -> list[Event]:
        """The switch that sends this key went down, or up; other keys mean nothing."""
        events = self.at(at)
        return events + self._switches[key].change(at, down) if key in self._switches else events

    def at(self, now: float) -> list[Event]:
        """What can be decided by now, in order of time."""
        events = [event for switch in self._switches.values() for event in switch.at(now)]
        return sorted(events, key=lambda event: event.at)


def earliest(*times: float | None) -> float | None:
    """The first of the times that are set."""
    return min((time for time in times if time is not None), default=None)
