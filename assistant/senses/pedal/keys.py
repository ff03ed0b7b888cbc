"""Keys typed in a terminal -> events. Pure, but for LiveKeys: keys come in by name, with the time in seconds.

A printable key is named by its character, in lower case; any other by its plain name: "space", "enter", "pageup". What
several keys mean, pressed one after the other as on a numeric keypad, stands in one text: "/7".
"""

import queue
import re
import threading
from collections.abc import Callable, Mapping
from math import inf

from assistant.clock import Clock
from assistant.senses.pedal.gestures import PRESENTER, Change, Gestures, Role, earliest
from assistant.session.events import Event, Kind, Origin
from assistant.words import glossary
from assistant.words.keypad import GO_ON, PAD, POINTS, SHIFT

REPEAT_GAP = 0.08  # seconds: what arrives sooner than this after the last is auto-repeat or bounce
LONGEST_DELAY = 0.66  # seconds from a press to its first repeat, at most
TAP = 0.15  # seconds that a press lasts when it turns out not to have been held
HOLD = LONGEST_DELAY + 2 * REPEAT_GAP  # seconds: the least that is surely told from a tap


class Typed:
    """The arrivals of one key -> its ups and downs.

    A press is told at once, unless it may be the first repeat of a held key: then REPEAT_GAP later.

    That a key was let go is told late: when its repeats stop, or could no longer begin. A terminal says no key-up and
    repeats a held key: it arrives a second time 0.25 to 0.66 s after it was pressed, and then 25 to 35 times a second
    (the delays and rates that keyboards are delivered with under X11, macOS and Windows; from memory).
    """

    def __init__(self) -> None:
        self._last = -inf  # the last arrival
        self._pressed: float | None = None  # down since
        self._repeats = False
        self._doubt: float | None = None  # the arrival that may be a press or a first repeat

    @property
    def due(self) -> float | None:
        """When `at` has something to say, if nothing else happens."""
        if self._doubt is not None:
            return self._doubt + REPEAT_GAP
        if self._pressed is None:
            return None
        return self._last + REPEAT_GAP if self._repeats else self._pressed + LONGEST_DELAY + REPEAT_GAP

    def arrival(self, at: float) -> list[Change]:
        """The key arrived."""
        changes = self.at(at)
        gap, self._last = at - self._last, at
        if gap >= LONGEST_DELAY + REPEAT_GAP:
            return changes + self._press(at)
        if gap >= REPEAT_GAP:
            self._doubt = at
        elif self._doubt is not None:
            self._doubt, self._repeats = None, True
        return changes

    def at(self, now: float) -> list[Change]:
        """What can be told by now."""
        changes: list[Change] = []
        while self.due is not None and now >= self.due:
            changes += self.settle() if self._doubt is not None else self._let_go(now)
        return changes

    def settle(self) -> list[Change]:
        """Another key arrived, which ends all repeats: what was in doubt was a press."""
        doubt, self._doubt = self._doubt, None
        return [] if doubt is None else self._press(doubt)

    def _press(self, at: float) -> list[Change]:
        changes = self._let_go(at)
        self._pressed, self._repeats = at, False
        return [*changes, Change(at, True)]

    def _let_go(self, now: float) -> list[Change]:
        if self._pressed is None:
            return []
        at = self._last if self._repeats else min(self._pressed + TAP, now)
        self._pressed = None
        return [Change(at, False)]


BETWEEN_DIGITS = 1.2  # seconds: digits sooner than this after each other make one number
LONGEST_NUMBER = 6  # digits
ENTERED = 1.5  # seconds after a number was taken by itself, for the enter that was meant to end it
SHIFTED = 5.0  # seconds for which SHIFT holds
ONE_DIGIT = 9  # the largest number that one digit writes

BY_KEY = {key: event for event, keys in glossary.KEYS.items() for key in keys if event is not Kind.NUMBER}
UNLOCKED = {key.unlocked: key.name for key in PAD if key.unlocked} | dict.fromkeys(POINTS, POINTS[0])
KEYPAD_ALONE = {key.unlocked for key in PAD} - set(PRESENTER)  # no presenter sends these


class TypedSwitch:
    """A switch of a pedal that types a key: the gestures of `Gestures`, a long press being a held key."""

    def __init__(self, role: Role) -> None:
        self._typed, self._gestures = Typed(), Gestures(role, HOLD)

    def counting(self, on: bool, checking: bool = False) -> None:
        """Whether a number is being counted out, or a threading checked by listening."""
        self._gestures.counting(on, checking)

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
    """All keys: those in `switches` belong to a pedal, the others mean what BY_KEY says, digits a number.

    A held key counts once; with `held` False every arrival counts, as where keys come on lines of their own. Where keys
    are held a digit is told at once where no number is asked for, GO_ON as what goes on.

    A terminal that does not tell a keypad without Num Lock from arrows and page keys sends these: where a number is
    asked for they are digits, unless they were a presenter's before, which goes on and back with them.
    """

    def __init__(self, switches: Mapping[str, Role] | None = None, held: bool = True) -> None:
        self._switches = {key: TypedSwitch(role) for key, role in (switches or {}).items()}
        self._presenter = {
            key: TypedSwitch(role) for key, role in PRESENTER.items() if held and key not in self._switches
        }
        self._presents = False  # the keys of a presenter came where no keypad's were meant
        self._held = held
        self._key, self._typed = "", Typed()  # the last key that is not a switch
        self._digits, self._digit_at = "", 0.0
        self._taken_at = -inf  # when a number was taken by itself
        self._shifts, self._shifted_at = "", -inf
        self._asked = True
        self._shafts = 0

    def reading(self, shafts: int) -> None:
        """Ends on shafts up to this one are being read, or none are: 0.

        Up to ONE_DIGIT each digit is a shaft, and beyond any key that is no digit ends one, as a point does.
        """
        self._shafts = shafts

    def counting(self, on: bool, checking: bool = False) -> None:
        """Whether a number is asked for, by a pedal counted out, or a threading checked by listening."""
        self._asked = on
        for switch in self._pressed_ones:
            switch.counting(on, checking)

    @property
    def due(self) -> float | None:
        """When `at` has something to say, if nothing else happens."""
        number_due = self._digit_at + BETWEEN_DIGITS if self._digits and not self._shafts else None
        return earliest(number_due, self._typed.due, *(switch.due for switch in self._pressed_ones))

    def press(self, key: str, at: float) -> list[Event]:
        """A key arrived; a whole number may arrive as one key."""
        events = self.at(at)
        if switch := self._switch(key, at):
            return events + switch.arrival(at)
        if not self._held:
            return events + self._take(key, at)
        if key != self._key:
            events += self._pressed(self._typed.settle())
            self._key, self._typed = key, Typed()
        return events + self._pressed(self._typed.arrival(at))

    def at(self, now: float) -> list[Event]:
        """What can be decided by now."""
        events = self._pressed(self._typed.at(now))
        if self._digits and not self._shafts and now >= self._digit_at + BETWEEN_DIGITS:
            self._taken_at = self._digit_at + BETWEEN_DIGITS
            events += self._number(self._taken_at)
        return events + [event for switch in self._pressed_ones for event in switch.at(now)]

    @property
    def _pressed_ones(self) -> list[TypedSwitch]:
        return [*self._switches.values(), *self._presenter.values()]

    def _switch(self, key: str, at: float) -> TypedSwitch | None:
        """The switch whose key it is; of a presenter's, where it is no digit of a keypad."""
        if key not in self._presenter:
            self._presents = self._presents and key not in KEYPAD_ALONE
            return self._switches.get(key)
        shifted = self._shifts and at - self._shifted_at <= SHIFTED
        if shifted or ((self._asked or self._shafts) and not self._presents):
            return None
        self._presents = True
        return self._presenter[key]

    def _pressed(self, changes: list[Change]) -> list[Event]:
        return [event for change in changes if change.down for event in self._take(self._key, change.at)]

    def _take(self, key: str, at: float) -> list[Event]:
        if self._shafts and len(key) > 1 and key[0] != SHIFT and not re.search(r"[^\d\s.,/]", key):
            row = tuple(map(int, re.findall(r"\d" if self._shafts <= ONE_DIGIT else r"\d{1,6}", key)))
            return [Event(Kind.READ, at, source=Origin.KEY, row=row)] if row else []
        key = UNLOCKED.get(key, key)
        shifts, self._shifts = self._shifts if at - self._shifted_at <= SHIFTED else "", ""
        if key == SHIFT:
            self._shifts, self._shifted_at = shifts if len(shifts) == 2 else shifts + key, at
            return self._number(at)
        if shifts:
            return [Event(BY_KEY.get(shifts + key, Kind.HELP), at, source=Origin.KEY)]
        if key.isdecimal():
            return self._digit(key, at)
        if self._digits and key in ("enter", POINTS[0]):
            return self._number(at)
        if key == "enter" and at - self._taken_at <= ENTERED:
            self._taken_at = -inf
            return []
        if self._digits and key == "backspace":
            self._digits = self._digits[:-1]
            return []
        return [*self._number(at), *([Event(BY_KEY[key], at, source=Origin.KEY)] if key in BY_KEY else [])]

    def _digit(self, key: str, at: float) -> list[Event]:
        if self._held and not (self._asked or self._shafts or self._digits):
            goes_on = key == GO_ON
            return [Event(Kind.NEXT if goes_on else Kind.NUMBER, at, None if goes_on else int(key), Origin.KEY)]
        self._digits, self._digit_at = (self._digits + key)[:LONGEST_NUMBER], at
        return self._number(at) if len(key) > 1 or 0 < self._shafts <= ONE_DIGIT else []

    def _number(self, at: float) -> list[Event]:
        digits, self._digits = self._digits, ""
        return [Event(Kind.NUMBER, at, int(digits), Origin.KEY)] if digits else []


class LiveKeys:
    """Feeds a Keyboard with keys from any thread; its events go to `post`."""

    def __init__(self, keyboard: Keyboard, post: Callable[[Event], None], clock: Clock | None = None) -> None:
        self._keyboard, self._post, self._clock = keyboard, post, clock or Clock()
        self._work: queue.SimpleQueue[Callable[[], list[Event]] | None] = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._run, name="keys", daemon=True)

    def start(self) -> None:
        """Begin to take keys."""
        self._thread.start()

    def press(self, key: str, ago: float) -> None:
        """A key arrived so many seconds ago; what a screen calls."""
        at = self._clock.now() - ago
        self._work.put(lambda: self._keyboard.press(key, at))

    def counting(self, on: bool, checking: bool = False) -> None:
        """Whether with the pedal a number is being counted out, or a threading checked by listening."""
        self._work.put(lambda: self._told(lambda: self._keyboard.counting(on, checking)))

    def reading(self, shafts: int) -> None:
        """Up to which shaft ends are being read; 0: none are."""
        self._work.put(lambda: self._told(lambda: self._keyboard.reading(shafts)))

    def close(self) -> None:
        """End when all keys pressed so far are taken."""
        self._work.put(None)
        self._thread.join()

    def _told(self, tell: Callable[[], None]) -> list[Event]:
        tell()
        return []

    def _run(self) -> None:
        while (work := self._next()) is not None:
            for event in work():
                self._post(event)

    def _next(self) -> Callable[[], list[Event]] | None:
        """What is to be done, when it is to be done."""
        due = self._keyboard.due
        try:
            return self._work.get(timeout=None if due is None else self._clock.until(due))
        except queue.Empty:
            return lambda: self._keyboard.at(self._clock.now())
