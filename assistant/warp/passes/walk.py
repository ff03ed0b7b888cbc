"""What every pass over a warp is made of: units to count, cut into calls, and what is told of each call."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import chain
from typing import Generic, TypeVar

from assistant.errors import PassError
from assistant.meaning import Tell
from assistant.warp.model import CallFrom, Group, Warp
from assistant.warp.notation import Shafts
from assistant.warp.outward import Leg
from assistant.warp.turned import as_called

USUAL_PACE = 4 * 3600 / 450  # seconds an end, threaded or tied: common practice, no source

UnitT = TypeVar("UnitT")


@dataclass(frozen=True, slots=True)
class Figure:
    """Something to be read across the room, and what is told in small under it."""

    text: str | Tell  # a text that no language changes, or a word, shown in capitals
    caption: Tell | None = None
    yarns: tuple[str, ...] = ()  # the keys of those that it stands for
    shafts: Shafts = ()  # those of the end that it stands for
    ends: int = 1  # that lie in the heddle it stands for


@dataclass(frozen=True, slots=True)
class Item:
    """One thing of a call: what is told, and how it looks."""

    tell: Tell
    figures: tuple[Figure, ...] = ()
    written: str = ""  # where it is not written as it is spoken
    aside: bool = False  # told beside what is shown in figures


@dataclass(frozen=True, slots=True)
class Call(Generic[UnitT]):
    """What is spoken at one step; never across the end of a group."""

    group: int  # index in warp.groups
    start: int  # units of the group before it
    of: int  # units of the whole group
    first: int  # the number of its first unit in the warp, from 1
    before: UnitT | None  # the unit before it in the group
    units: tuple[UnitT, ...]

    @property
    def stop(self) -> int:
        """Units of the group that are done with it."""
        return self.start + len(self.units)

    def upto(self, stop: int) -> "Call[UnitT]":
        """What of it is to be done when so many units of the group are, and no more."""
        return self if self.stop <= stop else replace(self, units=self.units[: stop - self.start])

    def after(self, past: int) -> "Call[UnitT]":
        """What is left of it when so many of its units, and not all, are done."""
        if not past:
            return self
        return replace(
            self,
            start=self.start + past,
            first=self.first + past,
            before=self.units[past - 1],
            units=self.units[past:],
        )


@dataclass(frozen=True, slots=True)
class Size:
    """The number a weaver may choose for a pass: its option on the command line, and what it means."""

    option: str
    about: str
    usual: int
    most: int
    by_repeat: bool = False  # the usual one, unless the repeat of a group asks for another

    def checked(self, size: int) -> int:
        """The size itself. Raises PassError where it is out of range."""
        if not 1 <= size <= self.most:
            what = "{option} is {size}; it goes from 1 to {most}"
            raise PassError(what, option=self.option, size=size, most=self.most)
        return size


class Manner(StrEnum):
    """Who moves a pass on."""

    CALLED = "called"  # the weaver, when a call is done
    STEADY = "steady"  # the clock; the weaver only stops it
    READ = "read"  # the weaver, by reading out what is there


def no_cautions(warp: Warp) -> tuple[Tell, ...]:
    """Nothing to look out for before one begins."""
    return ()


@dataclass(frozen=True, slots=True)
class Pass(Generic[UnitT]):
    """One walk over the whole warp, from where it is called."""

    name: str
    about: str
    unit: str  # what is counted: "end", "heddle" or "knot"
    size: Size
    units: Callable[[Warp, int], Iterable[Sequence[UnitT]]]  # by group, for a size; PlanError where they are not known
    cut: Callable[[Sequence[UnitT], int], Iterable[Sequence[UnitT]]]  # the units of a group into those of its calls
    tell: Callable[[Warp, Call[UnitT]], Sequence[Item]]
    pace: float  # seconds a unit: common practice, no source
    # the same by what the group says itself, and the size where the weaver chose one; None: as `cut` does
    divided: Callable[[Group, Sequence[UnitT], int | None], Iterable[Sequence[UnitT]]] | None = None
    along: Callable[[Warp], Warp] = as_called  # the warp as this walk goes along it; the same again for that
    shafts: Callable[[UnitT], Shafts] | None = None  # that a unit is on, where a mistake can be looked for by them
    manner: Manner = Manner.CALLED
    command: str = ""  # on the command line, where it is not the name
    listed: Callable[[Sequence[UnitT]], object] = len  # the units of a call as JSON has them
    cautions: Callable[[Warp], tuple[Tell, ...]] = no_cautions
    on_loom: bool = True  # done where the warp is woven; else before it comes there
    from_bundle: bool = True  # its units lie counted in a bundle: what is left over is not done; else it is too many
    # how what it walks along lies in the reed, where groups are closed by the dent they end in
    lies: Callable[[Warp], Sequence[Leg]] | None = None
    before: "Pass[UnitT] | None" = None  # as it was called in records from before it was called as now

    @property
    def compares(self) -> bool:
        """What is there already is gone through again, and nothing is counted off a bundle."""
        return self.manner is not Manner.CALLED

    def from_where(self, asked: CallFrom | None) -> CallFrom | None:
        """From where it is to be called. Raises PassError for the centre, where it does not go through the reed."""
        if asked == "centre" and not self.lies:
            raise PassError(
                "from the centre only sley is called; {job} goes from an edge: write right or left", job=self.name
            )
        return asked

    def calls(self, warp: Warp, size: int | None = None) -> Iterator[Call[UnitT]]:
        """Every unit once. Raises PassError for a size out of range, PlanError where the warp lacks what it takes."""
        return chain.from_iterable(self.calls_by_group(warp, size))

    def calls_by_group(self, warp: Warp, size: int | None = None) -> list[list[Call[UnitT]]]:
        """The same, a list for every group; an empty one where it has no units."""
        walked, chosen = self.along(warp), size
        size = self.size.checked(self.size.usual if size is None else size)
        found: list[list[Call[UnitT]]] = []
        first = 1
        for number, units in enumerate(self.units(walked, size)):
            start, before, calls = 0, None, []
            group = walked.groups[number]
            for called in self.divided(group, units, chosen) if self.divided else self.cut(units, size):
                calls.append(Call(number, start, len(units), first, before, tuple(called)))
                start, first, before = start + len(called), first + len(called), called[-1]
            found.append(calls)
        return found

    def by_group(self, warp: Warp) -> list[Sequence[UnitT]]:
        """The units of every group, for the usual size. Raises PlanError where the warp lacks what it takes."""
        return list(self.units(self.along(warp), self.size.usual))


def chunks(units: Sequence[UnitT], size: int) -> Iterator[Sequence[UnitT]]:
    """The units, so many at a time."""
    return (units[start : start + size] for start in range(0, len(units), size))
