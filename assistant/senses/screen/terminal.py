"""Something that runs, in a terminal taken up by what it shows; drawn with textual."""

import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Generic, TypeVar

from textual import events
from textual.app import App

from assistant.errors import DeviceLost
from assistant.senses.screen.interrupts import LEAVE, interrupts_as_keys
from assistant.senses.screen.key_names import arrival, key_name

OnKey = Callable[[str, float], None]
Begin = Callable[[], Future[None]]


class TerminalApp(App[None], inherit_bindings=False):
    """Begins the session when it is up, and comes down when the session is over."""

    ENABLE_COMMAND_PALETTE = False

    def __init__(self, begin: Begin, on_key: OnKey) -> None:
        super().__init__()
        self._begin, self._typed = begin, on_key
        self.session: Future[None] | None = None

    def on_mount(self) -> None:
        self.session = self._begin()
        self.session.add_done_callback(lambda _: self.call_later(self.exit))

    def on_key(self, event: events.Key) -> None:
        self._typed(key_name(event), arrival(event))


A = TypeVar("A", bound=TerminalApp)


class Terminal(Generic[A]):
    """Runs with an app in front."""

    def __init__(self, make: Callable[[Begin, OnKey], A]) -> None:
        self._make = make
        self.app: A | None = None

    def run(self, main: Callable[[], None], on_key: OnKey) -> None:
        """Run `main` in a thread of its own while the app is up; afterwards the terminal is as it was."""
        with ThreadPoolExecutor(1, "session") as threads, interrupts_as_keys(on_key):
            self.app = app = self._make(lambda: threads.submit(main), on_key)
            app.run(mouse=False)
            if app.session and not app.session.done():
                on_key(LEAVE, time.time())
        if app.session:
            app.session.result()
        if app.return_code:
            raise DeviceLost("the board can no longer be shown; everything is saved, go on with --plain")
