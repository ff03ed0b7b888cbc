"""How long work takes: the one reckoning, at a weaver's own pace where it is known, else by common practice."""

from typing import Any, NamedTuple

from assistant.meaning import Tell
from assistant.warp.passes.walk import Pass


class Time(NamedTuple):
    """What is left of a job, or all of it, in seconds; `own` where the pace is the weaver's, not common practice."""

    job: str
    seconds: float
    own: bool

    @property
    def told(self) -> Tell:
        """What is left, and by which pace."""
        return Tell(f"left by {'own' if self.own else 'common'} pace", time=estimated(self.seconds))

    def as_json(self) -> dict[str, object]:
        """Every field by name, seconds whole."""
        return {"job": self.job, "seconds": round(self.seconds), "own_pace": self.own}


def time(job: Pass[Any], units: int, own: float | None) -> Time:
    """How long so many units take; `own` is the weaver's seconds a unit, None where that is not known."""
    return Time(job.name, units * (job.pace if own is None else own), own is not None)


def estimated(seconds: float) -> Tell:
    """A time no finer than an estimate deserves: to 10 min, below 1 h to 5, below 10 min to 1."""
    minutes = seconds / 60
    if minutes < 1:
        return Tell("under a minute")
    step = 1 if minutes < 10 else 5 if minutes < 57.5 else 10
    return Tell("about", time=spelled(round(minutes / step) * step))


def spelled(minutes: int) -> Tell:
    """Minutes, in hours from an hour on."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return Tell("minutes", minutes=rest)
    return Tell("hours and minutes", hours=hours, minutes=rest) if rest else Tell("hours", hours=hours)
