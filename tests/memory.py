"""A screen that only remembers."""

from collections.abc import Callable

from assistant.senses.screen import OnKey
from assistant.session.view import Status, View


class Memory:
    """Keeps everything it was shown, in order; `on_key` is there to type with while `main` runs."""

    def __init__(self) -> None:
        self.shown: list[tuple[View, Status]] = []
        self.on_key: OnKey = lambda key, at: None

    def run(self, main: Callable[[], None], on_key: OnKey) -> None:
        """Run `main`."""
        self.on_key = on_key
        main()

    def show(self, view: View, status: Status) -> None:
        """Keep it."""
        self.shown.append((view, status))
