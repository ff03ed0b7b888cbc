"""Seconds worked: the one reckoning of the time between two events, and when it is time to stand up. Pure."""

from dataclasses import dataclass, replace

from assistant.session.events import Event, Kind

LONGEST_STEP = 300.0  # seconds between two events from which on the weaver was away
TIMELESS = (Kind.NOTE, Kind.THREADED_BEFORE, Kind.HEDDLES_COUNTED, Kind.CLOCK_SET, Kind.SLEPT, Kind.EDITED)


@dataclass(frozen=True, slots=True)
class Worked:
    """The time at the loom up to an event, in seconds.

    What passes while the session is paused or the machine sleeps, between leaving and sitting down, or in a step of
    LONGEST_STEP and more is not worked. A note takes no time.
    """

    since: float | None = None  # when the event before was; None before the first of a sitting
    last: float = 0.0  # worked between the last two events
    slept: float = 0.0  # by the machine, since the event before
    away: bool = True  # the weaver has been up since the event before: left, or away longer than a step lasts

    def after(self, event: Event, paused: bool) -> "Worked":
        """One event further; `paused`: the session was until then."""
        if event.kind in TIMELESS:
            slept = self.slept + (event.number or 0) * (event.kind is Kind.SLEPT)
            return replace(self, last=0.0, slept=slept, away=False)
        sat = event.kind is not Kind.SIT_DOWN and self.since is not None
        passed = event.at - self.since if sat and self.since is not None else 0.0
        away = not sat or passed >= LONGEST_STEP
        last = 0.0 if away or paused else max(passed - self.slept, 0.0)
        return Worked(None if event.kind is Kind.LEAVE else event.at, last, away=away)


@dataclass(frozen=True, slots=True)
class Care:
    """How long the weaver has sat since the last break, or since the last reminder."""

    after: float = 0.0  # seconds of sitting after which it is time to stand up, and again after as many; 0 for never
    sat: float = 0.0

    @property
    def due(self) -> bool:
        """It is time to stand up."""
        return 0 < self.after <= self.sat

    def keep_time(self, worked: Worked) -> "Care":
        """An event came, with the time worked up to it."""
        return replace(self, sat=0.0 if worked.away else self.sat + worked.last)
