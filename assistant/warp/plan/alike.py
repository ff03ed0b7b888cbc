"""Groups that follow each other and are threaded alike, so that they are written once."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from assistant.warp.model import Group


class Alike(NamedTuple):
    """So many groups from the one at index `first` on, each of so many ends."""

    first: int
    times: int
    ends: int
    name: str  # "edge", "stripe 1 to 10", or "right edge to stripe 1"


def alike(groups: Sequence[Group]) -> Iterator[Alike]:
    """The groups in order, equal neighbours together."""
    first = 0
    for ends, run in groupby(groups, key=lambda group: group.ends):
        names = [group.name for group in run]
        yield Alike(first, len(names), len(ends), _together(names[0], names[-1]))
        first += len(names)


def _together(first: str, last: str) -> str:
    """What to call the groups from one to another."""
    if first == last:
        return first
    stem, _, number = last.rpartition(" ")
    return f"{first} to {number if number.isdecimal() and first.rpartition(' ')[0] == stem else last}"
