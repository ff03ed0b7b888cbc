"""Arrivals of one key in a terminal, which says no key-up and repeats a held key -> ups and downs. Pure.

A held key arrives a second time 0.25 to 0.66 s after it was pressed, and then 25 to 35 times a second (the delays
and rates that keyboards are delivered with under X11, macOS and Windows; from memory).
"""

from math import inf

from assistant.senses.pedal.gestures import Change

REPEAT_GAP = 0.08  # seconds: what arrives sooner than this after the last is auto-repeat or bounce
LONGEST_DELAY = 0.66  # seconds from a press to its first repeat, at most
TAP = 0.15  # seconds that a press lasts when it turns out not to have been held
HOLD = LONGEST_DELAY + 2 * REPEAT_GAP  # seconds: the least that is surely told from a tap


class Typed:
    """One key. A press is told at once, unless it may be the first repeat of a held key: then REPEAT_GAP later.

    That a key was let go is told late: when its repeats stop, or could no longer begin.
    """

    def __init__(self) -> None:
        self._last = -inf  # the last arrival
        self._pressed: float | None = None  # down since
        self._repeats = False
        self._doubt: float | None = None  # the arrival that may be a press or a first repeat

    @property
    def due(self) -> float | None:
        """When `at` has something to say, if nothing else happens."""
        if self._doubt is not None:
            return self._doubt + REPEAT_GAP
        if self._pressed is None:
            return None
        return self._last + REPEAT_GAP if self._repeats else self._pressed + LONGEST_DELAY + REPEAT_GAP

    def arrival(self, at: float) -> list[Change]:
        """The key arrived."""
        changes = self.at(at)
        gap, self._last = at - self._last, at
        if gap >= LONGEST_DELAY + REPEAT_GAP:
            return changes + self._press(at)
        if gap >= REPEAT_GAP:
            self._doubt = at
        elif self._doubt is not None:
            self._doubt, self._repeats = None, True
        return changes

    def at(self, now: float) -> list[Change]:
        """What can be told by now."""
        changes: list[Change] = []
        while self.due is not None and now >= self.due:
            changes += self.settle() if self._doubt is not None else self._let_go(now)
        return changes

    def settle(self) -> list[Change]:
        """Another key arrived, which ends all repeats: what was in doubt was a press."""
        doubt, self._doubt = self._doubt, None
        return [] if doubt is None else self._press(doubt)

    def _press(self, at: float) -> list[Change]:
        changes = self._let_go(at)
        self._pressed, self._repeats = at, False
        return [*changes, Change(at, True)]

    def _let_go(self, now: float) -> list[Change]:
        if self._pressed is None:
            return []
        at = self._last if self._repeats else min(self._pressed + TAP, now)
        self._pressed = None
        return [Change(at, False)]
