"""Several screens at once: one that runs the session and reads the keys, and others that follow."""

from collections.abc import Callable

from assistant.senses.screen import Display, Screen
from assistant.session.view import Status, View


class Together:
    """All of them show the same."""

    def __init__(self, screen: Screen, *displays: Display) -> None:
        self._screen, self._displays = screen, displays

    def run(self, main: Callable[[], None], on_key: Callable[[str, float], None]) -> None:
        """Run `main` on the first screen."""
        self._screen.run(main, on_key)

    def show(self, view: View, status: Status) -> None:
        """Show the session as it stands now."""
        for shown in (*self._displays, self._screen):
            shown.show(view, status)
