"""Care for the weaver: how long a sitting has lasted, and when it is time to stand up. Time comes from events."""

from assistant.session.events import Event, Kind

BREAK = 300.0  # seconds between two events after which the weaver has been up, paused or not


class Care:
    """The time of a sitting, pauses left out, since it began, since the last break, or since the last reminder."""

    def __init__(self, minutes: float):
        """Time to stand up after so many minutes, and again after as many; 0 for never."""
        self._after = minutes * 60
        self._sat = 0.0
        self._since: float | None = None

    @property
    def due(self) -> bool:
        """It is time to stand up."""
        return 0 < self._after <= self._sat

    def keep_time(self, event: Event, paused: bool) -> None:
        """An event came; `paused`: the session was until then."""
        passed = 0.0 if self._since is None else event.at - self._since
        if passed >= BREAK or event.kind is Kind.SIT_DOWN:
            self._sat = 0.0
        elif not paused:
            self._sat += max(passed, 0.0)
        self._since = event.at

    def begin_anew(self) -> None:
        """The weaver was told."""
        self._sat = 0.0
