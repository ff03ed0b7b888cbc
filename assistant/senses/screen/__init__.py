"""Screens: what the weaver sees of the session, and where the keys come from."""

import sys
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import TYPE_CHECKING, Protocol

from assistant.ending import asked_to_end, at_once, interrupt
from assistant.session.view import Status, View

if TYPE_CHECKING:
    from assistant.senses.screen.invitation import Invitation

LEAVE = "ctrl+c"  # the name of a key, and of what an interrupt becomes
INVITE = "i"  # shows the addresses of the page again; no event of the session

OnKey = Callable[[str, float], None]


def at_a_terminal() -> bool:
    """Whether there is one to show a screen on and to read keys from."""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr))


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


class Inviting(Screen, Protocol):
    """Shows the addresses of a page too, when its key is pressed."""

    invitation: "Invitation | None"


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


def interrupts_as_keys(on_key: OnKey) -> AbstractContextManager[None]:
    """Ctrl-C, a request to end and a closed terminal leave in good order, as a key does; asked again, it breaks off."""
    return asked_to_end(lambda: on_key(LEAVE, 0.0), interrupt, at_once)
