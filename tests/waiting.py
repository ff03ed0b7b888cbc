"""Waiting for what comes true by itself."""

import time
from collections.abc import Callable


def wait(until: Callable[[], object], seconds: float = 30) -> bool:
    """Whether it came true in time."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if until():
            return True
        time.sleep(0.01)
    return False
