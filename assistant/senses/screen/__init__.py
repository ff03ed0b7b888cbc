"""Screens: what the weaver sees of the session, and where the keys come from."""

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Protocol

from assistant.session.view import Status, View

LEAVE = "ctrl+c"  # the name of a key, and of what an interrupt becomes
SIGNALS = (signal.SIGINT, signal.SIGTERM)

OnKey = Callable[[str, float], None]


class Display(Protocol):
    """Shows a session, and leaves the running of it to others."""

    def show(self, view: View, status: Status) -> None:
        """Show the session as it stands now. From any thread, which it never holds up."""


class Screen(Protocol):
    """Shows a session while it runs."""

    def run(self, main: Callable[[], None], on_key: OnKey) -> None:
        """Run `main` and show what it has shown, until it returns; what it raises is raised here.

        `on_key` gets the name of every key and how many seconds ago it arrived, from whichever thread reads keys. To
        be called from the main thread, where Ctrl-C and a request to end become the key "ctrl+c".
        """

    def show(self, view: View, status: Status) -> None:
        """Show the session as it stands now. From any thread."""


class Together:
    """Several screens at once, which show the same: one runs the session and reads the keys, the others follow."""

    def __init__(self, screen: Screen, *displays: Display) -> None:
        self._screen, self._displays = screen, displays

    def run(self, main: Callable[[], None], on_key: OnKey) -> None:
        """Run `main` on the first screen."""
        self._screen.run(main, on_key)

    def show(self, view: View, status: Status) -> None:
        """Show the session as it stands now."""
        for shown in (*self._displays, self._screen):
            shown.show(view, status)


@contextmanager
def interrupts_as_keys(on_key: OnKey) -> Iterator[None]:
    """Ctrl-C and a request to end leave the loom in good order, as a key does; a second one ends the program."""

    def leave(number: int, _: FrameType | None) -> None:
        signal.signal(number, before[signal.Signals(number)])
        on_key(LEAVE, 0.0)

    before = {number: signal.signal(number, leave) for number in SIGNALS}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
