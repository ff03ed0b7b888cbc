"""Ctrl-C and a request to end leave the loom as a key does: in good order."""

import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

LEAVE = "ctrl+c"
SIGNALS = (signal.SIGINT, signal.SIGTERM)


@contextmanager
def interrupts_as_keys(on_key: Callable[[str, float], None]) -> Iterator[None]:
    """The first interrupt is the key "ctrl+c"; a second one ends the program at once."""

    def leave(number: int, _: FrameType | None) -> None:
        signal.signal(number, before[signal.Signals(number)])
        on_key(LEAVE, time.time())

    before = {number: signal.signal(number, leave) for number in SIGNALS}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
