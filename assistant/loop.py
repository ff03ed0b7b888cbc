"""Joins the senses to a session. Nothing else knows both; nothing here knows weaving."""

import time
from collections import deque
from collections.abc import Callable
from queue import Empty, SimpleQueue
from typing import Protocol

from assistant.errors import DeviceMissing, HeddlecallError
from assistant.senses.mouth import Mouth, perform
from assistant.senses.screen import Screen
from assistant.session.events import CLOCK, Adjust, Effect, Event, Kind, Part, Say, Stop
from assistant.session.machine import Session
from assistant.session.view import Status

PACED_TICK_S = 0.05
PACE_S = 1.5  # a unit, to hear a call and to follow it with a finger
FASTER = 0.85  # of the time, for a notch
TICK_S = 0.5  # between looks after the devices
LAST_WORDS_S = 8.0  # at most to let the mouth finish when leaving
MICROPHONE, LOUDSPEAKER = "microphone", "loudspeaker"


class Device(Protocol):
    """What may go away and come back."""

    def alive(self) -> bool:
        """Whether it is there."""

    def reopen(self) -> None:
        """Try to get it back. Raises DeviceMissing while it is away."""


class Loop:
    """One sitting: events come in by `post` from any thread, effects go out in the thread of `run`."""

    def __init__(self, session: Session, keep: Callable[[Event], None], mouth: Mouth, screen: Screen):
        """`keep` makes an event durable before it returns."""
        self._session, self._keep, self._mouth, self._screen = session, keep, mouth, screen
        self._devices: dict[str, Device] = {}
        self._lost: set[str] = set()
        self._askers: list[Callable[[int, bool], None]] = []
        self._notices: dict[str, str] = {}
        self._heard = ""
        self._untold: deque[str] = deque()  # to be said
        self._inbox: SimpleQueue[Callable[[], None]] = SimpleQueue()
        self._stopped = False
        self._pace = PACE_S
        self._taken = 0.0  # when the last event was

    def watch(self, name: str, device: Device) -> None:
        """Look after a device from now on."""
        self._devices[name] = device

    def ask(self, asker: Callable[[int, bool], None]) -> None:
        """Let a sense know, from now on, up to which number one is asked for (0: none), and whether rows are read."""
        self._askers.append(asker)

    def keep_pace(self, seconds: float) -> None:
        """Where the clock moves the session on: so long for every unit called, from call to call."""
        self._pace = seconds

    def post(self, event: Event, heard: str = "") -> None:
        """Something happened at the loom; `heard` is the word it came by."""
        number = "" if event.number is None else f" {event.number}"
        self._inbox.put(lambda: self._take(event, heard or f"{event.kind}{number}"))

    def notify(self, sense: str, text: str) -> None:
        """A sense has something to tell the weaver; "" takes it back."""
        self._inbox.put(lambda: self._note(sense, text))

    def tell(self, text: str) -> None:
        """Say this as soon as the mouth is silent."""
        self._inbox.put(lambda: self._untold.append(text))

    def run(self, size: int | None = None) -> None:
        """Sit down, with calls of this size from now on, and go on until the weaver leaves.

        Raises HeddlecallError where the journal cannot be kept.
        """
        try:
            self._take(Event(Kind.SIT_DOWN, time.time(), size, CLOCK), "")
            while not self._stopped:
                self._wait()
        except HeddlecallError as error:
            self._last_words(str(error))
            raise
        except Exception:
            self._last_words("Something went wrong. Your place is saved.")
            raise

    def _wait(self) -> None:
        try:
            act = self._inbox.get(timeout=PACED_TICK_S if self._session.moves_on else TICK_S)
        except Empty:
            act = self._look_after
        act()
        if self._untold and not self._stopped and not self._mouth.speaking():
            self._mouth.utter([Say((Part(self._untold.popleft()),))])
        if self._session.moves_on and not self._stopped and not self._mouth.speaking():
            self._move_on()

    def _move_on(self) -> None:
        """On when it is time, at a steady pace."""
        if time.monotonic() - self._taken >= self._pace * self._session.view().calling:
            self._take(Event(Kind.NEXT, time.time(), source=CLOCK), "")

    def _take(self, event: Event, heard: str) -> None:
        self._keep(event)
        effects = self._session.handle(event)
        self._heard = heard
        for ask in self._askers:
            ask(self._session.largest_number, self._session.reads)
        self._carry_out(effects)
        self._taken = time.monotonic()

    def _carry_out(self, effects: list[Effect]) -> None:
        perform(self._mouth, effects)
        for effect in effects:
            if isinstance(effect, Adjust) and effect.what == "speed":
                self._pace *= FASTER**effect.notches
        self._show()
        if any(isinstance(effect, Stop) for effect in effects):
            self._let_finish()
            self._stopped = True

    def _note(self, sense: str, text: str) -> None:
        self._notices[sense] = text
        self._show()

    def _look_after(self) -> None:
        before = set(self._lost)
        for name, device in self._devices.items():
            if not device.alive() and not _back(device):
                self._lost.add(name)
            else:
                self._lost.discard(name)
        if self._lost != before:
            self._show()

    def _last_words(self, text: str) -> None:
        self._mouth.utter([Say((Part(text),))])
        self._let_finish()

    def _let_finish(self) -> None:
        end = time.monotonic() + LAST_WORDS_S
        while self._mouth.speaking() and time.monotonic() < end:
            time.sleep(0.05)

    def _show(self) -> None:
        there = self._devices.keys() - self._lost
        notices = [
            *self._notices.values(),
            self._mouth.trouble,
            *(f"the {name} is gone" for name in sorted(self._lost)),
        ]
        status = Status(MICROPHONE in there, LOUDSPEAKER in there, self._heard, "; ".join(filter(None, notices)))
        self._screen.show(self._session.view(), status)


def _back(device: Device) -> bool:
    """Whether a device that went away could be opened again."""
    try:
        device.reopen()
    except DeviceMissing:
        return False
    return True
