"""A screen that keeps what it was shown."""

from collections.abc import Callable

from assistant.session.view import Status, View


class Memory:
    """Everything shown, in order; `on_key` is there to type with while `main` runs."""

    def __init__(self) -> None:
        self.shown: list[tuple[View, Status]] = []
        self.on_key: Callable[[str, float], None] = lambda key, at: None

    def run(self, main: Callable[[], None], on_key: Callable[[str, float], None]) -> None:
        """Run `main`."""
        self.on_key = on_key
        main()

    def show(self, view: View, status: Status) -> None:
        """Keep it."""
        self.shown.append((view, status))
