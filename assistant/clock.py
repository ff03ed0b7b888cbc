"""The clock of a sitting: what events are dated by, and every interval at the loom. Imports nothing of ours."""

import sys
import time
from collections.abc import Callable

# What also goes on while the machine sleeps; without a name for it the steady clock there is.
SLEEPLESS = getattr(time, "CLOCK_BOOTTIME", getattr(time, "CLOCK_MONOTONIC", None))
SET_FROM_S = 60.0  # less than what a time in a log shows
SLEPT_FROM_S = 1.0


def elapsed() -> float:
    """Seconds since some moment, also those while the machine slept; nobody sets them."""
    if sys.platform == "win32" or SLEEPLESS is None:
        return time.monotonic()
    return time.clock_gettime(SLEEPLESS)


class Clock:
    """Seconds since the epoch: the wall clock read once, and steady from then on, whatever that is set to."""

    def __init__(
        self,
        wall: Callable[[], float] = time.time,
        elapsed: Callable[[], float] = elapsed,
        awake: Callable[[], float] = time.monotonic,
        pace: float = 1.0,
    ) -> None:
        """`awake` stands still while the machine sleeps. So many seconds of this clock pass in one that is waited."""
        self._wall, self._elapsed, self._awake, self._pace = wall, elapsed, awake, pace
        self._zero = wall() - elapsed()
        self._set = 0.0  # since it was begun, as far as that was told
        self._slept = self._asleep()

    def now(self) -> float:
        """Seconds since the epoch, by this clock."""
        return self.at(self._elapsed())

    def at(self, elapsed: float) -> float:
        """The same for another moment of what it goes by."""
        return self._zero + elapsed

    def until(self, due: float) -> float:
        """Seconds to wait until it is so late; 0 where it is."""
        return max(due - self.now(), 0) / self._pace

    def was_set(self) -> float:
        """By how much the wall clock was set since this was asked last: forward, or back where negative; else 0."""
        ahead = self._wall() - self.now() - self._set
        if abs(ahead) < SET_FROM_S:
            return 0.0
        self._set += ahead
        return ahead

    def slept(self) -> float:
        """For how long the machine slept since this was asked last; else 0."""
        since = self._asleep() - self._slept
        if since < SLEPT_FROM_S:
            return 0.0
        self._slept += since
        return since

    def _asleep(self) -> float:
        return self._elapsed() - self._awake()
