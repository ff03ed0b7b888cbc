"""Joins the senses to a session. Nothing else knows both; nothing here knows weaving."""

import time
from collections.abc import Callable
from queue import Empty, SimpleQueue
from typing import Protocol

from assistant.errors import DeviceMissing, HeddlecallError
from assistant.senses.mouth import Mouth
from assistant.senses.screen import Screen
from assistant.session.events import Adjust, Effect, Event, Kind, Part, Say, Sound, Stop
from assistant.session.machine import Session
from assistant.session.view import Status

TICK = 0.5  # seconds between looks after the devices
LAST_WORDS = 8.0  # seconds at most to let the mouth finish when leaving


class Device(Protocol):
    """What is looked after: a microphone or a loudspeaker that may go away and come back."""

    def alive(self) -> bool: ...
    def reopen(self) -> None: ...


class Guard:
    """Watches one device and words its state as a notice."""

    def __init__(self, name: str, device: Device):
        self.name, self.device = name, device
        self.lost = False

    def look(self) -> bool:
        """Look once, and try to get a lost device back; True where something changed."""
        was = self.lost
        if not self.device.alive():
            self.lost = True
            try:
                self.device.reopen()
            except DeviceMissing:
                return not was
        self.lost = not self.device.alive()
        return self.lost != was

    @property
    def notice(self) -> str:
        return f"The {self.name} is gone; everything else goes on." if self.lost else ""


class Loop:
    """One sitting: events in by `post`, from any thread; effects out in the thread of `run`."""

    def __init__(
        self,
        session: Session,
        keep: Callable[[Event], None],
        mouth: Mouth,
        screen: Screen,
        *,
        expect_number: Callable[[bool], None] = lambda _: None,
        guards: tuple[Guard, ...] = (),
        notices: tuple[str, ...] = (),
        hears: bool = False,
        speaks: bool = False,
        clock: Callable[[], float] = time.time,
    ):
        self._session, self._keep, self._mouth, self._screen = session, keep, mouth, screen
        self._expect_number, self._guards, self._clock = expect_number, guards, clock
        self._notices = {str(n): text for n, text in enumerate(notices)}
        self._hears, self._speaks = hears, speaks
        self._heard = ""
        self._inbox: SimpleQueue[tuple[Event, str] | tuple[str, str]] = SimpleQueue()
        self._stopped = False

    def post(self, event: Event, heard: str = "") -> None:
        """Something happened at the loom; `heard` is the word or key it came by."""
        self._inbox.put((event, heard or event.kind.value))

    def notify(self, sense: str, text: str) -> None:
        """A sense has something to tell the weaver, or nothing any more."""
        self._inbox.put((sense, text))

    def run(self) -> None:
        """Sit down, go on until the weaver leaves. Raises HeddlecallError where the journal cannot be kept."""
        try:
            self._take(Event(Kind.SIT_DOWN, self._clock(), source="clock"))
            while not self._stopped:
                self._wait()
        except HeddlecallError:
            raise
        except Exception:
            self._mouth.utter([Say((Part("Something went wrong. Your place is saved."),))])
            self._let_finish()
            raise

    def _wait(self) -> None:
        try:
            item = self._inbox.get(timeout=TICK)
        except Empty:
            changed = [guard.look() for guard in self._guards]
            if any(changed):
                self._show()
            return
        if isinstance(item[0], Event):
            self._heard = item[1]
            self._take(item[0])
        else:
            self._notices[item[0]] = item[1]
            self._show()

    def _take(self, event: Event) -> None:
        self._keep(event)
        effects = self._session.handle(event)
        self._expect_number(self._session.wants_number)
        self._carry_out(effects)
        self._show()

    def _carry_out(self, effects: list[Effect]) -> None:
        for effect in effects:
            if isinstance(effect, Adjust):
                self._mouth.adjust(effect)
        if sounds := [effect for effect in effects if isinstance(effect, Say | Sound)]:
            self._mouth.utter(sounds)
        if any(isinstance(effect, Stop) for effect in effects):
            self._show()
            self._let_finish()
            self._stopped = True

    def _let_finish(self) -> None:
        end = time.monotonic() + LAST_WORDS
        while self._mouth.speaking() and time.monotonic() < end:
            time.sleep(0.05)

    def _show(self) -> None:
        lost = {guard.name for guard in self._guards if guard.lost}
        notices = (*self._notices.values(), *(guard.notice for guard in self._guards))
        self._screen.show(
            self._session.view(),
            Status(
                hears=self._hears and "microphone" not in lost,
                speaks=self._speaks and "loudspeaker" not in lost,
                heard=self._heard,
                notice=" ".join(notice for notice in notices if notice),
            ),
        )
