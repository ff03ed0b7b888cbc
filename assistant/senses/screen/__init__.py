"""Screens: what the weaver sees of the session, and where the keys come from."""

from collections.abc import Callable
from typing import Protocol

from assistant.session.view import Status, View


class Display(Protocol):
    """Shows a session, and leaves the running of it to others."""

    def show(self, view: View, status: Status) -> None:
        """Show the session as it stands now. From any thread, which it never holds up."""


class Screen(Protocol):
    """Shows a session while it runs."""

    def run(self, main: Callable[[], None], on_key: Callable[[str, float], None]) -> None:
        """Run `main` and show what it has shown, until it returns; what it raises is raised here.

        `on_key` gets the name of every key and when it arrived, in seconds since the epoch, from whichever thread
        reads keys. To be called from the main thread, where Ctrl-C and a request to end become the key "ctrl+c".
        """

    def show(self, view: View, status: Status) -> None:
        """Show the session as it stands now. From any thread."""
