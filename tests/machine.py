"""A machine whose clock is set, and that may sleep."""

from assistant.clock import Clock

EVENING = 1_767_384_000.0  # a second of January 2026


class Machine:
    """A wall clock that is set, and a machine that may sleep."""

    def __init__(self, wall: float = EVENING) -> None:
        self.wall, self.elapsed, self.asleep = wall, 5000.0, 0.0
        self.clock = Clock(lambda: self.wall, lambda: self.elapsed, lambda: self.elapsed - self.asleep)

    def passes(self, seconds: float, set_by: float = 0.0, asleep: bool = False) -> "Machine":
        """Time goes on, and somebody sets the wall clock meanwhile."""
        self.wall += seconds + set_by
        self.elapsed += seconds
        self.asleep += seconds * asleep
        return self
