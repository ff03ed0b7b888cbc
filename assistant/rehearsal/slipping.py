"""The mistakes of a simulated weaver over a whole warp: which are made, in which group, and what becomes of each."""

import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property

from assistant.loom.harness import Due
from assistant.loom.slips import Work, across, slipped, slips
from assistant.warp.model import Warp
from assistant.warp.passes import THREAD, Call
from assistant.warp.passes.thread import InHeddle, shafts, yarn

ACROSS = "across border"
COLOUR = "wrong colour"
TRIES = 20  # to make a mistake where it can be made and leaves a mark


class Fate(StrEnum):
    """By what a mistake is no more."""

    HARMLESS = "harmless"  # it changed no end, and no count showed it
    FOUND = "found"  # the finder asked, and what it said set the group right
    ANEW = "threaded anew"  # the whole group was
    READ = "found by reading"  # the threading was read back


@dataclass(eq=False, slots=True)
class Made:
    """A mistake that was made, and what became of it: it is taken to be gone from a group once that hangs right."""

    kind: str  # of SLIPS
    groups: set[int]  # in which it may still hang, from 0
    noticed: bool = False  # a count was off in one of them
    fate: Fate = Fate.HARMLESS


@dataclass
class Hands:
    """A weaver's hands: at each end a mistake may begin, of every kind as often, in its group or across its border."""

    warp: Warp
    size: int | None  # of calls
    chance: float  # at each end, from 0 to 1
    rng: random.Random
    made: list[Made] = field(default_factory=list)

    @cached_property
    def kinds(self) -> tuple[str, ...]:
        """Those that can be made; in a warp of one yarn none is taken for another."""
        return tuple(kind for kind in slips(self._in_heddles) if kind != COLOUR or len(self.warp.yarns) > 1)

    @cached_property
    def _in_heddles(self) -> bool:
        return any(end.joins or end.floats for end in self.warp.every_end())

    @cached_property
    def _calls(self) -> list[list[Call[InHeddle]]]:
        return THREAD.calls_by_group(self.warp, self.size)

    def every_group(self) -> list[Work]:
        """How each group is going to be threaded for the first time."""
        works = list(map(self._without_mistake, self._calls))
        for group, work in enumerate(works):
            self._slip_in(work, group, works[group + 1 : group + 2])
        return works

    def anew(self, group: int) -> Work:
        """How a group is going to be threaded once more from its first end."""
        work = self._without_mistake(self._calls[group])
        self._slip_in(work, group, ())
        return work

    def notice(self, group: int) -> None:
        """A count is off in a group."""
        for made in self._in(group):
            made.noticed = True

    def gone(self, group: int, fate: Fate) -> None:
        """No mistake that was made hangs in a group any more."""
        for made in self._in(group):
            made.groups.remove(group)
            made.fate = made.fate if fate is Fate.HARMLESS else fate

    def _in(self, group: int) -> list[Made]:
        return [made for made in self.made if group in made.groups]

    def _without_mistake(self, calls: Sequence[Call[InHeddle]]) -> Work:
        units = [unit for call in calls for unit in call.units]
        draft = [Due(shafts(unit), yarn(unit), len(unit.ends)) for unit in units]
        floating = (units[0].floating_before, units[-1].floating_after) if units else (0, 0)
        starts = [call.start for call in calls]
        return Work.of(draft, starts, self.warp.loom.shafts, self._in_heddles, floating)

    def _slip_in(self, work: Work, group: int, following: Sequence[Work]) -> None:
        for _ in work.draft:
            if self.rng.random() < self.chance:
                self._slip(work, group, following)

    def _slip(self, work: Work, group: int, following: Sequence[Work]) -> None:
        """Make one of a kind that can be made here."""
        for _ in range(TRIES):
            kind = self.rng.choice(self.kinds)
            if kind == ACROSS and following and across(work, following[0], self.rng):
                self.made.append(Made(kind, {group, group + 1}))
                return
            if kind != ACROSS and any(slipped(work, self.rng, [kind])):
                self.made.append(Made(kind, {group}))
                return
