"""How long each job takes."""

from collections.abc import Mapping
from typing import NamedTuple

COMMON_PACE = 4 * 3600 / 450  # seconds an end, threaded or tied: common practice, no source
COMMON_PACES = {"thread": COMMON_PACE, "tie": COMMON_PACE}
JOBS = ("wind", "heddles", "thread", "check", "sley", "tie")
AFRESH = ("heddles", "thread", "sley")  # what tying a warp to the old one makes needless


class Time(NamedTuple):
    """One job; `own` where the pace is the weaver's, not common practice."""

    job: str
    seconds: float
    own: bool


def times(ends: int, heddles: int, paces: Mapping[str, float]) -> tuple[Time, ...]:
    """The jobs whose pace is known, in seconds an end, or a heddle for `heddles`."""
    known = {**COMMON_PACES, **paces}
    return tuple(
        Time(job, known[job] * (heddles if job == "heddles" else ends), job in paces) for job in JOBS if job in known
    )


def shown(seconds: float) -> str:
    """A time to read: "2 h 15 min", to five minutes from an hour on."""
    minutes = max(1, round(seconds / 60))
    if minutes < 60:
        return f"{minutes} min"
    hours, rest = divmod(5 * round(minutes / 5), 60)
    return f"{hours:,} h {rest} min" if rest else f"{hours:,} h"
