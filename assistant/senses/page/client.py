"""One browser: what it did, and in answer to which step."""

import asyncio
import time
from collections.abc import Callable, Mapping

from assistant.senses.page.messages import Done, Switched, parse
from assistant.senses.pedal.gestures import Role, Switches
from assistant.session.events import Event
from assistant.session.view import View

SOURCE = "page"

Answer = Callable[[int, Event, Callable[[], None]], None]  # step, event, what is called where it is refused


class Client:
    """Used in the thread of the server only, but for what it gives to `answer`."""

    def __init__(
        self, answer: Answer, switches: Mapping[str, Role], soon: Callable[[Callable[[], None]], None]
    ) -> None:
        """`soon` does something in the thread of the server."""
        self._answer, self._soon = answer, soon
        self._keys, self._switches = frozenset(switches), Switches(switches)
        self._step = -1  # answered last
        self._due: asyncio.TimerHandle | None = None
        self._late = False
        self.news = asyncio.Event()
        self.told: object = None  # what was sent last

    def see(self, view: View) -> None:
        """A new state is there to be sent."""
        self._switches.counting(view.largest > 0 and not view.reads)
        self.news.set()

    def was_late(self) -> bool:
        """Whether something was refused since this was asked last."""
        late, self._late = self._late, False
        return late

    def take(self, text: str, at: float) -> bool:
        """Do what a message says; False where it says nothing that a page of ours would."""
        match parse(text):
            case Done(step, kind, number):
                self._give(step, Event(kind, at, number, SOURCE))
                return True
            case Switched(step, key, down) if key in self._keys:
                self._step = step
                self._each(self._switches.change(key, at, down))
                self._wait()
                return True
        return False

    def close(self) -> None:
        """The browser is gone."""
        if self._due:
            self._due.cancel()

    def _each(self, events: list[Event]) -> None:
        for event in events:
            self._give(self._step, event)

    def _give(self, step: int, event: Event) -> None:
        self._answer(step, event, lambda: self._soon(self._refused))

    def _refused(self) -> None:
        self._late = True
        self.news.set()

    def _wait(self) -> None:
        """See to it that a gesture ends in time."""
        self.close()
        if (due := self._switches.due) is not None:
            self._due = asyncio.get_running_loop().call_later(max(due - time.time(), 0), self._end_gestures)

    def _end_gestures(self) -> None:
        self._each(self._switches.at(time.time()))
        self._wait()
