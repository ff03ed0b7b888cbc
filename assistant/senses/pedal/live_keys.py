"""The keyboard in a thread of its own, which sees to it that numbers and gestures end in time."""

import queue
import threading
import time
from collections.abc import Callable

from assistant.senses.pedal.keys import Keyboard
from assistant.session.events import Event


class LiveKeys:
    """Feeds a Keyboard with keys from any thread; its events go to `post`."""

    def __init__(self, keyboard: Keyboard, post: Callable[[Event], None]) -> None:
        self._keyboard, self._post = keyboard, post
        self._work: queue.SimpleQueue[Callable[[], list[Event]] | None] = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._run, name="keys", daemon=True)

    def start(self) -> None:
        """Begin to take keys."""
        self._thread.start()

    def press(self, key: str, at: float) -> None:
        """A key arrived, at `at` seconds since the epoch; what a screen calls."""
        self._work.put(lambda: self._keyboard.press(key, at))

    def counting(self, on: bool) -> None:
        """Whether a number is being counted out with the pedal."""
        self._work.put(lambda: self._counting(on))

    def close(self) -> None:
        """End when all keys pressed so far are taken."""
        self._work.put(None)
        self._thread.join()

    def _counting(self, on: bool) -> list[Event]:
        self._keyboard.counting(on)
        return []

    def _run(self) -> None:
        while (work := self._next()) is not None:
            for event in work():
                self._post(event)

    def _next(self) -> Callable[[], list[Event]] | None:
        """What is to be done, when it is to be done."""
        due = self._keyboard.due
        try:
            return self._work.get(timeout=None if due is None else max(due - time.time(), 0))
        except queue.Empty:
            return lambda: self._keyboard.at(time.time())
