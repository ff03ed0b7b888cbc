"""What stands written: a value that no later move changes."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import chain, product
from string import ascii_uppercase
from typing import Any, Self

from assistant.warp import colour_order
from assistant.warp.model import Edge, End
from assistant.warp.threads import Threaded


class Asked(StrEnum):
    """What the weaver is asked for. The values are keys of phrases."""

    SHAFTS = "ask shafts"
    EDGE = "ask edge"
    ROW = "ask row"
    TIMES = "ask times"
    COLOURS = "ask colours"
    NAME = "ask name"
    BLOCK = "ask block"
    MORE = "ask more"


@dataclass(frozen=True, slots=True)
class WrittenRow:
    """A row of the draft as it is written, or several that were repeated or mirrored together."""

    text: str  # in the notation; of a profile, in its own
    threads: Threaded
    blocks: tuple[str, ...] = ()  # of a profile, one by one

    @property
    def count(self) -> int:
        """How many ends it has."""
        return self.threads.count


@dataclass(frozen=True, slots=True)
class WrittenGroup:
    """A group: its rows, a name and an order of colours where they were told, and how often it stands."""

    rows: tuple[WrittenRow, ...] = ()
    name: str = ""
    order: str = ""
    times: int = 1

    @property
    def threads(self) -> Threaded:
        """Of one of them."""
        return Threaded(tuple(chain.from_iterable(row.threads.items for row in self.rows)))

    @property
    def count(self) -> int:
        """Ends of all of them."""
        return self.times * sum(row.count for row in self.rows)

    @property
    def groups(self) -> int:
        """How many groups it comes to."""
        return self.times


@dataclass(frozen=True, slots=True)
class WrittenSeveral:
    """Several groups in a row, so many times."""

    parts: "tuple[Entry, ...]"
    times: int

    @property
    def count(self) -> int:
        """Ends of all of them."""
        return self.times * sum(part.count for part in self.parts)

    @property
    def groups(self) -> int:
        """How many groups it comes to."""
        return self.times * sum(part.groups for part in self.parts)


Entry = WrittenGroup | WrittenSeveral


@dataclass(frozen=True, slots=True)
class PaperSlip:
    """A threading as far as it was taken down. `before` is the slip without the last move."""

    shafts: int = 0  # 0 until it is told
    start: Edge | None = None
    yarns: tuple[str, ...] = ()  # keys, in the order in which they were named
    blocks: tuple[tuple[str, WrittenRow], ...] = ()  # the key of a profile, by the names of its blocks
    by_blocks: bool = False  # digits stand for blocks
    entries: tuple[Entry, ...] = ()  # the groups that are complete
    hand: WrittenGroup = field(default_factory=WrittenGroup)  # the group that is being written
    asking: Asked | None = None  # beside rows
    done: bool = False
    before: "PaperSlip | None" = field(default=None, compare=False, repr=False)

    @property
    def asked(self) -> Asked:
        """What is waited for."""
        if not self.shafts:
            return Asked.SHAFTS
        return Asked.EDGE if self.start is None else self.asking or Asked.ROW

    @property
    def whole(self) -> tuple[Entry, ...]:
        """All groups, that in hand among them once it has a row."""
        return (*self.entries, self.hand) if self.hand.rows else self.entries

    @property
    def count(self) -> int:
        """Ends written."""
        return sum(entry.count for entry in self.whole)

    @property
    def group(self) -> int:
        """The number of the group in hand."""
        return sum(entry.groups for entry in self.entries) + 1

    @property
    def next_block(self) -> str:
        """The letter of the next block of the key."""
        names = {name for name, _ in self.blocks}
        letters: list[str] = [*ascii_uppercase, *map("".join, product(ascii_uppercase, repeat=2))]
        return next(letter for letter in letters if letter not in names)

    @property
    def key(self) -> Mapping[str, Threaded]:
        """The ends of each block."""
        return {name: row.threads for name, row in self.blocks}

    def then(self, **changes: Any) -> Self:
        """The slip after a move."""
        return replace(self, **{"asking": None, "before": self, **changes})

    def ends(self, group: WrittenGroup) -> tuple[End, ...]:
        """The ends of one of a group, in their colours."""
        ends = group.threads.ends
        return tuple(replace(end, yarn=yarn) for end, yarn in zip(ends, self.colours(group), strict=True))

    def colours(self, group: WrittenGroup) -> list[str]:
        """The key of the yarn of each end."""
        size = sum(row.count for row in group.rows)
        if not group.order:
            return [""] * size
        return list(colour_order.over(colour_order.parse(group.order, self.yarns), size))

    def parts(self) -> Iterator[WrittenGroup]:
        """Every group once, also those that stand several times."""
        return chain.from_iterable(map(_parts, self.whole))


def _parts(entry: Entry) -> Iterator[WrittenGroup]:
    if isinstance(entry, WrittenGroup):
        yield entry
    else:
        yield from chain.from_iterable(map(_parts, entry.parts))
