"""The walks over a warp, one function each: Warp -> calls."""

from collections.abc import Iterator
from dataclasses import dataclass

from assistant.warp.model import End, Group, Warp

MOST_PER_CALL = 12


@dataclass(frozen=True, slots=True)
class Call:
    """What is spoken at one step; never across the end of a group."""

    group: int  # index in warp.groups
    start: int  # index in the group of the first end called
    first_end: int  # the number of that end in the warp, from 1
    ends: tuple[End, ...]


def thread(warp: Warp, per_call: int = 4) -> tuple[Call, ...]:
    """Every end once, in the order of the file, up to `per_call` (1 to 12) at a time."""
    return tuple(_calls(warp.groups, per_call))


def _calls(groups: tuple[Group, ...], per_call: int) -> Iterator[Call]:
    if not 1 <= per_call <= MOST_PER_CALL:
        raise ValueError(f"per_call is {per_call}; it goes from 1 to {MOST_PER_CALL}")
    first_end = 1
    for number, group in enumerate(groups):
        for start in range(0, len(group.ends), per_call):
            ends = group.ends[start : start + per_call]
            yield Call(number, start, first_end, ends)
            first_end += len(ends)
