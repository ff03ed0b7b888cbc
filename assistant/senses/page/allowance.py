"""How much of something is let through: so much at once, and so much a second after that."""

import time
from collections.abc import Callable


class Allowance:
    """What is spent comes back with time."""

    def __init__(self, most: float, a_second: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._most, self._a_second, self._clock = most, a_second, clock
        self._left, self._at = most, clock()

    def spend(self, much: float = 1) -> float:
        """0 where there was that much, which is gone then; else the seconds until there is, and nothing is gone."""
        now = self._clock()
        self._left = min(self._most, self._left + (now - self._at) * self._a_second)
        self._at = now
        if much > self._left:
            return (much - self._left) / self._a_second
        self._left -= much
        return 0.0

    def widen(self, most: float, a_second: float) -> None:
        """Let more through from now on."""
        self._most = self._left = most
        self._a_second = a_second
