"""Where the session stands: which group, how far into it, in what mode. Values; knows the counting, not the words."""

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import accumulate, chain
from typing import Any, Self

from assistant.finder import Look, Repair, Way
from assistant.finder.heddle import held, holding
from assistant.finder.reed_look import MOST_DENTS, ReedLook
from assistant.readback import ALIKE_UNLESS_TOLD, Alike, AskAgain, Difference, Reading, assumed
from assistant.session.events import Event, Origin
from assistant.session.modes import AnyLook, Calling, Closing, Complete, Mode, Off, Paused, There
from assistant.session.view import UNCLOSED, GroupLine, GroupState
from assistant.session.worked import Worked
from assistant.warp.model import Edge, Warp
from assistant.warp.notation import Ends
from assistant.warp.outward import Leg, Outward
from assistant.warp.passes import HEDDLES, Call, Manner, Pass
from assistant.warp.passes.thread import reparted, yarn
from assistant.warp.reed import planned_before

PACE_FROM = 24  # units done before the weaver's own pace is trusted


@dataclass(frozen=True)
class Course:
    """The way over a whole warp: a job, cut into calls. Raises PassError and PlanError when it is made.

    The warp is as the job goes along it, whatever it was when this was made.
    """

    warp: Warp
    job: Pass[Any]
    size: int | None = None  # of calls, where the weaver chose one
    as_then: bool = False  # called as in records from before the job was called as now

    def __post_init__(self) -> None:
        object.__setattr__(self, "warp", self.job.along(self.warp))
        called = (self.as_then and self.job.before) or self.job
        object.__setattr__(self, "calls", called.calls_by_group(self.warp, self.size))

    calls: list[list[Call[Any]]] = field(init=False, compare=False, repr=False)

    @cached_property
    def starts(self) -> list[list[int]]:
        """The units of its group before each call."""
        return [[call.start for call in calls] for calls in self.calls]

    @cached_property
    def sizes(self) -> list[int]:
        """The units of each group."""
        return [calls[0].of if calls else 0 for calls in self.calls]

    @cached_property
    def total(self) -> int:
        """Units in the whole warp."""
        return sum(self.sizes)

    @cached_property
    def in_heddles(self) -> bool:
        """Heddles are counted: it is a job that threads, and some hold more than an end, or ends hang in none."""
        return bool(self.job.shafts) and any(end.joins or end.floats for end in self.warp.every_end())

    @property
    def unit(self) -> str:
        """What is counted."""
        return HEDDLES.unit if self.in_heddles else self.job.unit

    def ends(self, group: int) -> int:
        """The ends of a group, in whatever they are counted."""
        return len(self.warp.groups[group].ends)

    def last_of(self, group: int, ends: int) -> int:
        """How many of the last units of a group so many of its last ends are in."""
        if not self.in_heddles:
            return ends
        units = 0
        for unit in reversed([unit for call in self.calls[group] for unit in call.units]):
            ends -= unit.floating_after
            if ends <= 0:
                break
            units, ends = units + 1, ends - len(unit.ends)
        return units

    def ends_of_last(self, group: int, units: int) -> int:
        """The ends of the last so many units of a group, with those that float after them."""
        if not self.in_heddles or not units:
            return units
        last = [unit for call in self.calls[group] for unit in call.units][-units:]
        return sum(len(unit.ends) + unit.floating_after for unit in last)

    @cached_property
    def legs(self) -> Sequence[Leg]:
        """How the groups lie in the reed, as they are gone along; () in a job that is not closed by that."""
        return self.job.lies(self.warp) if self.job.lies else ()

    @cached_property
    def ends_in(self) -> Sequence[int]:
        """The dent that each group should end in, counted from where its leg begins; () likewise."""
        told: list[int] = []
        for leg in self.legs:
            lasts = accumulate(map(self.ends, leg.groups))
            told += map(leg.lying.dent, lasts)
        return told

    def leg(self, group: int) -> Leg | None:
        """The one that holds a group; None in a job that is not closed by its dent."""
        return next((leg for leg in self.legs if group in leg.groups), None)

    def begins_at(self, group: int) -> Edge:
        """The side on which a group begins, as seen from the front."""
        leg = self.leg(group)
        return leg.start if leg else self.warp.start

    @property
    def outward(self) -> int:
        """The groups of the half that comes first, where it is sleyed from the centre."""
        return len(self.legs[0].groups) if isinstance(self.warp, Outward) else 0

    def can_look_in_reed(self, group: int, over: int) -> bool:
        """A group that ends so many dents too far is of a size in which a mistake can be looked for."""
        leg = self.leg(group)
        begun = self.ends_in[group - 1] if leg and group > leg.groups.start else 0
        return abs(over) < self.ends_in[group] - begun <= MOST_DENTS

    def moved(self, group: int, units: int) -> "Course":
        """The same with the last so many units of a group called first in the next; negative: the other way.

        In a job that threads.
        """
        one, other = self.warp.groups[group : group + 2]
        parts = reparted(one, other, self.sizes[group] - units)
        groups = (*self.warp.groups[:group], *parts, *self.warp.groups[group + 2 :])
        return replace(self, warp=replace(self.warp, groups=groups))

    def call_of(self, group: int, counted: int) -> Call[Any]:
        """What is left of the call that holds the unit after so many of a group."""
        call = self.calls[group][bisect_right(self.starts[group], counted) - 1]
        return call.after(counted - call.start)

    def expected(self, group: int) -> Ends:
        """The shafts of the ends of a group, the lowest first; () in a job that has none."""
        told = self.job.shafts
        return tuple(told(unit) for call in self.calls[group] for unit in call.units) if told else ()

    def to_hold(self, group: int) -> Ends:
        """The same as a search is told of them: where heddles are counted, each with the ends it is to hold."""
        expected = self.expected(group)
        if not self.in_heddles:
            return expected
        units = (unit for call in self.calls[group] for unit in call.units)
        return tuple(holding(shafts, len(unit.ends)) for shafts, unit in zip(expected, units, strict=True))

    def floating(self, group: int) -> tuple[int, int]:
        """The ends that float before the first heddle of a group, and after the last."""
        if not self.in_heddles or not self.calls[group]:
            return 0, 0
        return self.calls[group][0].units[0].floating_before, self.calls[group][-1].units[-1].floating_after


@dataclass(frozen=True, slots=True)
class Progress:
    """One group: the units counted so far, those called when it was closed, and how it stands."""

    counted: int = 0  # never more than the group has
    called: int = 0
    redo_to: int = 0  # where a mistake is set right: the units up to which it is done again; 0 for all
    hangs_to: int = 0  # and those up to which it hangs beyond them, where it is not yet threaded to its end; 0 for all
    state: GroupState = GroupState.WAITING
    over: int = 0  # units left when it was closed: still in the hand, or made too many; ends, where heddles are counted
    lacking: int = 0  # ends that lacked then, where heddles are counted
    dents: int = 0  # by which it ended past the dent it should; before it: negative
    passed: int = 0  # units that went to the next group when it was closed as even
    moved: int = 0  # of these, its own last ones, which are called there

    def done_of(self, size: int) -> int:
        """Units done, of so many: all of them where the weaver's word is that the group is right."""
        return size if self.state is GroupState.SETTLED else self.counted

    def left_of(self, size: int) -> int:
        """Units not yet called, of so many; none where the group is closed."""
        return size - self.counted if self.state in UNCLOSED else 0


def _last_to_thread(repair: Repair) -> int:
    """The last ends of the group that are still to be threaded, where others were moved or laid aside."""
    return repair.threaded if repair.way in (Way.LAY_ASIDE, Way.ONE_OUT) else max(0, repair.threaded - repair.taken_out)


@dataclass(frozen=True, slots=True)
class Home:
    """Where a weaver comes back to from another group."""

    group: int
    mode: Mode
    here: Progress  # of that group, when it was left


@dataclass(frozen=True, slots=True)
class Place:
    """The place in the whole warp; every move gives a new one."""

    course: Course
    groups: tuple[Progress, ...]
    group: int = 0  # the group in hand, from 0
    mode: Mode = field(default_factory=Calling)
    home: Home | None = None  # where to come back to, while another group is looked at or done
    done: int = 0  # units counted over the whole warp
    left: int = 0  # units not yet called over the whole warp
    sittings: int = 0
    heddles_counted: bool = True  # out for each group, until the weaver cannot tell how many are left
    heddles_recorded: bool | None = None  # whether a record says that they were; None where that was not looked up
    alike: Alike = ALIKE_UNLESS_TOLD  # numbers that sound alike to the weaver
    worked: Worked = field(default_factory=Worked)
    busy: float = 0.0  # seconds that count for the pace
    paced: int = 0  # units done in them
    helped: int = field(default=0, compare=False)  # times in a row that the weaver asked what can be said
    weaver: str = ""  # who sits, "" where that is not told
    paces: Mapping[str, tuple[float, int]] = field(default_factory=dict, hash=False)  # `busy`, `paced` of the others

    @classmethod
    def beginning(cls, course: Course) -> "Place":
        """Before the first call."""
        first = next(group for group, size in enumerate(course.sizes) if size)
        return cls(course, (Progress(),) * len(course.sizes), first, left=course.total)

    @property
    def here(self) -> Progress:
        """The group in hand."""
        return self.groups[self.group]

    @property
    def size(self) -> int:
        """Units expected in the group in hand."""
        return self.course.sizes[self.group]

    @property
    def name(self) -> str:
        """The name of the group in hand."""
        return self.course.warp.groups[self.group].name

    @property
    def stop(self) -> int:
        """Units of the group in hand up to which it is to be done."""
        return self.here.redo_to or self.size

    @property
    def done_here(self) -> int:
        """Units done in the group in hand."""
        return self.here.done_of(self.size)

    @property
    def off_by(self) -> int:
        """By how many units, or by how many ends told, the group in hand did not come out; short: negative."""
        return self.here.over or -self.here.lacking or self.here.counted - self.size

    @property
    def off_in_ends(self) -> int:
        """The same in ends, whatever is counted."""
        if self.here.over or self.here.lacking:
            return self.off_by
        return -self.course.ends_of_last(self.group, self.size - self.here.counted)

    @property
    def first_off(self) -> int | None:
        """The first group still marked off, from 0; None where none is."""
        return next((g for g, progress in enumerate(self.groups) if progress.state is GroupState.OFF), None)

    @property
    def pace(self) -> float | None:
        """The weaver's own seconds a unit; None until enough was done."""
        return self.busy / self.paced if self.paced >= PACE_FROM and self.busy > 0 else None

    @property
    def own_paces(self) -> dict[str, float]:
        """Seconds a unit of each weaver of whom enough was done."""
        every = {**self.paces, self.weaver: (self.busy, self.paced)}
        return {name: busy / paced for name, (busy, paced) in every.items() if paced >= PACE_FROM and busy > 0}

    def with_weaver(self, weaver: str) -> Self:
        """Another sits down, with a pace of her own; what was done before anybody was named is that of the first."""
        if weaver == self.weaver:
            return self
        if not self.weaver and not self.paces:
            return replace(self, weaver=weaver)
        busy, paced = self.paces.get(weaver, (0.0, 0))
        paces = {**self.paces, self.weaver: (self.busy, self.paced)}
        return replace(self, weaver=weaver, busy=busy, paced=paced, paces=paces)

    def line(self, group: int) -> GroupLine:
        """A group with what was expected, what was counted, and how it stands: even where there is nothing to count."""
        progress = self.groups[group]
        name, size = self.course.warp.groups[group].name, self.course.sizes[group]
        state = progress.state if size else GroupState.EVEN
        over, lacking, in_ends = progress.over, progress.lacking, self.course.in_heddles
        return GroupLine(
            name, size, progress.done_of(size), state, over, progress.dents, progress.passed, lacking, in_ends
        )

    def summary(self) -> tuple[GroupLine, ...]:
        """Every group."""
        return tuple(map(self.line, range(len(self.groups))))

    def call(self) -> Call[Any]:
        """What is to be done next in the group in hand, from the first unit not yet counted."""
        return self.course.call_of(self.group, self.here.counted).upto(self.stop)

    def following(self) -> Call[Any] | None:
        """The call after the one that is out, if all goes well; None where there is none."""
        reached = self.call().stop
        if reached < self.stop:
            return self.course.call_of(self.group, reached).upto(self.stop)
        if self.here.hangs_to:
            return self.course.call_of(self.group, self.here.hangs_to)
        group = self._next_open()
        if group is None or self.groups[group].counted == self.course.sizes[group]:
            return None
        return self.course.call_of(group, self.groups[group].counted)

    def calls_ahead(self) -> Iterator[Call[Any]]:
        """The calls of this group not yet done, and those of every group after it."""
        if self.here.counted < self.size:
            yield self.call()
        calls = self.course.calls
        yield from (call for call in calls[self.group] if call.start > self.here.counted)
        yield from chain.from_iterable(calls[self.group + 1 :])

    def at_last_call(self) -> bool:
        """No further call follows in this group."""
        return self.call().stop == self.stop and not self.here.hangs_to

    def at_the_beginning(self) -> bool:
        """Nothing lies before the call that is out."""
        return not (self.here.counted or self.home) and self.before is None

    @property
    def before(self) -> int | None:
        """The group before the one in hand, from 0, of those that have anything to count; None where none does."""
        return next((group for group in range(self.group - 1, -1, -1) if self.course.sizes[group]), None)

    def to(self, mode: Mode) -> Self:
        """The same place in another mode."""
        return replace(self, mode=mode)

    def cut_calls(self, size: int | None, as_then: bool) -> Self:
        """Divide the warp into calls of this size, None for that of before; the place stays at the same end.

        `as_then`: as in records from before, by the sley plan that was made then, which stays with what was begun.
        """
        course, size = self.course, size or self.course.size
        if (size, as_then) == (course.size, course.as_then):
            return self
        warp = planned_before(course.warp) if as_then and course.ends_in else course.warp
        return replace(self, course=Course(warp, course.job, size, as_then))

    def count(self, here: Progress, **changes: Any) -> Self:
        """The same place with this progress of the group in hand and these other fields; `done` and `left` follow."""
        before, groups = self.here, (*self.groups[: self.group], here, *self.groups[self.group + 1 :])
        done = self.done + here.done_of(self.size) - before.done_of(self.size)
        left = self.left + here.left_of(self.size) - before.left_of(self.size)
        return replace(self, groups=groups, done=done, left=left, **changes)

    def acknowledge(self) -> Self:
        """The call is done: count its units; after the last one the group is to be closed."""
        units = len(self.call().units)
        counted = self.here.counted + units
        here = replace(self.here, counted=counted, state=GroupState.OPEN)
        if counted < self.stop:
            return self.count(here, paced=self.paced + units)
        if hangs := here.hangs_to:
            return self.count(replace(here, counted=hangs, redo_to=0, hangs_to=0), paced=self.paced + units)
        return self.count(replace(here, counted=self.size), paced=self.paced + units, mode=Closing())

    def step_back(self, asked: int = 0) -> Self:
        """Take the last call of this group back; the group has one. `asked` as in Calling."""
        starts = self.course.starts[self.group]
        counted = starts[bisect_right(starts, self.here.counted - 1) - 1]
        state = GroupState.OPEN if counted else GroupState.WAITING
        here = replace(self.here, counted=counted, redo_to=0, hangs_to=0, state=state)
        return self.count(here, mode=Calling(asked=asked))

    def close(self, counted: int, state: GroupState, over: int = 0) -> Self:
        """Close the group in hand with this count, and so many units over."""
        return self.count(Progress(counted, self.here.counted, state=state, over=over))

    def close_over(self, over: int) -> Self:
        """Close the group in hand with so many units over: of a bundle, as many are not done, if it holds so many."""
        not_done = self.course.last_of(self.group, over)
        lacking = not_done if self.course.job.from_bundle and over <= self.size else 0
        return self.close(self.size - lacking, GroupState.OFF, over)

    def close_short(self, lacking: int) -> Self:
        """Close the group in hand with so many units short; where heddles are counted, so many ends."""
        there = self.close(self.size - self.course.last_of(self.group, lacking), GroupState.OFF)
        return there.count(replace(there.here, lacking=lacking)) if self.course.in_heddles else there

    def close_in(self, dents: int) -> Self:
        """Close the group in hand, which ends so many dents past its own (before it: negative)."""
        return self.count(Progress(self.size, self.here.counted, state=GroupState.OFF, dents=dents))

    def settle(self) -> Self:
        """The weaver's word is that the group in hand, which is marked off, is right."""
        over = 0 if self.course.job.compares else self.here.over
        return self.count(replace(self.here, state=GroupState.SETTLED, over=over))

    def reopen(self, group: int) -> Self:
        """Go back into a closed group, to the question or the call it was closed at; what was passed on comes back."""
        there = replace(self, group=group).take_back()
        ran_out = there.here.called < there.size
        counted = there.here.counted if ran_out else there.size
        here = replace(there.here, counted=counted, state=GroupState.OPEN, over=0, lacking=0, dents=0)
        return there.count(here, mode=Calling() if ran_out else Closing())

    def reopen_at(self, counted: int, redo_to: int) -> Self:
        """Open the group in hand again with so many units done; `redo_to` as in Progress."""
        hangs_to = self.hanging if redo_to and self.hanging < self.size else 0
        opened = replace(self.here, state=GroupState.OPEN, over=0, lacking=0, dents=0)
        here = replace(opened, counted=counted, redo_to=redo_to, hangs_to=hangs_to)
        return self.count(here, mode=Closing() if counted == self.size else Calling())

    def restart(self) -> Self:
        """Do the group in hand again from its first unit."""
        return self.count(Progress(), mode=Calling())

    @property
    def can_pass_on(self) -> bool:
        """The group after the one in hand can take some ends more: it is there, and nothing of it is done."""
        following = self.groups[self.group + 1 : self.group + 2]
        return bool(following) and following[0] == Progress() and self.course.sizes[self.group + 1] > 0

    @property
    def fewer(self) -> int:
        """The units that hang, where those left over when it was closed are its last ones."""
        return self.size - self.course.last_of(self.group, self.here.over)

    def pass_on(self, hanging: int) -> Self:
        """Close the group in hand as even with so many units; what is left over, or lacks, goes to the next group."""
        moved = self.size - hanging
        off = abs(self.off_by)
        here = replace(self.here, counted=hanging, state=GroupState.EVEN, over=0, lacking=0, passed=off, moved=moved)
        there = replace(self, course=self.course.moved(self.group, moved), left=self.left + moved)
        return there.count(here)

    def take_back(self) -> Self:
        """What the group in hand passed on is its own again, while nothing of the next group is done."""
        moved = self.here.moved
        if not (moved and self.can_pass_on):
            return self.count(replace(self.here, passed=0, moved=0))
        there = replace(self, course=self.course.moved(self.group, -moved), left=self.left - moved)
        return there.count(replace(self.here, passed=0, moved=0))

    def visit(self, group: int) -> Self:
        """To another group, to look at it; from there one comes back."""
        home = self.home or Home(self.group, self.mode, self.here)
        return replace(self, group=group, mode=There(), home=home)

    def look_on(self, units: int) -> Self | None:
        """In a group that is looked at, so many calls further, or back; None where there are none."""
        assert isinstance(self.mode, There)
        starts = self.course.starts[self.group]
        at = bisect_right(starts, self.mode.at) - 1 + units
        return self.to(There(starts[at])) if 0 <= at < len(starts) else None

    def come_home(self) -> Self:
        """Back from another group; where the group one came from is not as it was, on from here."""
        there = replace(self, home=None)
        if self.home is None or self.groups[self.home.group] != self.home.here:
            return there.go_on()
        if isinstance(self.home.mode, Complete):
            return there if self.here.state in UNCLOSED else replace(there, group=self.home.group).go_on()
        return replace(there, group=self.home.group, mode=self.home.mode)

    def threaded_before(self, groups: int) -> Self:
        """The first so many groups were threaded before the record began, by the weaver's word."""
        sizes = self.course.sizes[:groups]
        closed = tuple(Progress(size, size, state=GroupState.BEFORE) for size in sizes)
        units = sum(sizes)
        there = replace(self, groups=closed + self.groups[groups:], done=units, left=self.left - units)
        return there.go_on()

    def go_on(self) -> Self:
        """Home, from another group; else to the next not yet closed, else to one left open before; else all is done."""
        if self.home:
            return self.come_home()
        following = self._next_open()
        if following is None:
            return self.to(Complete())
        there = replace(self, group=following)
        return there.to(Closing() if there.here.counted == there.size else Calling())

    def _next_open(self) -> int | None:
        """The next group not yet closed, else one left open before."""
        order = chain(range(self.group + 1, len(self.groups)), range(self.group))
        return next((g for g in order if self.groups[g].state in UNCLOSED and self.course.sizes[g]), None)

    @property
    def can_look(self) -> bool:
        """A mistake can be looked for by questions: about what hangs, or in the reed, once all of a group is sleyed."""
        if self.course.ends_in:
            return self.here.counted == self.size and self.course.can_look_in_reed(self.group, self.here.dents)
        return self.course.job.shafts is not None and not self.course.job.compares

    @property
    def hanging(self) -> int:
        """Units of the group in hand that hang, as far as is known: all of one that was closed."""
        return self.here.counted if self.here.state in UNCLOSED else self.size

    def begin_search(self, as_before: bool = False) -> AnyLook:
        """A search in the group in hand, where `can_look`: in the reed, where it is closed by its dent."""
        if leg := self.course.leg(self.group):
            return ReedLook.begin(self.course.warp, leg, self.group, self.here.dents)
        return self.begin_look(as_before)

    def begin_look(self, as_before: bool = False, heddles: Mapping[int, int] | None = None) -> Look:
        """A search for the mistake in what hangs of the group in hand, where `can_look`; `as_before` as in Look.begin.

        `heddles` are those seen to be left on a shaft (missing: negative). Only of a group that is threaded to its end
        can it be asked how many are left.
        """
        hanging, off = self.hanging, self.here.state is GroupState.OFF
        left = dict(heddles or {}) if self.heddles_counted and hanging == self.size else None
        expected, starts = self.course.to_hold(self.group)[:hanging], self.course.starts[self.group]
        called = [start for start in starts if start < hanging]
        over = self.off_in_ends if off else 0
        ran_out = off and hanging == self.size and not (self.here.over or self.here.lacking)
        perhaps = held(expected[self.here.counted]) - 1 if ran_out and self.here.counted < self.size else 0
        units = (unit for call in self.course.calls[self.group] for unit in call.units)
        yarns = () if as_before else [yarn(unit) for unit in units][:hanging]
        before, after = self.course.floating(self.group)
        floating = before, after if hanging == self.size else 0
        return Look.begin(
            expected, called, self.course.warp.loom.shafts, over, left, yarns, as_before,
            self.course.in_heddles, floating, perhaps if self.course.in_heddles else 0,
        )  # fmt: skip

    def begin_reading(self) -> Reading:
        """Nothing read yet of the group in hand, from the first end not confirmed, in a job whose units have shafts."""
        expected, shafts = self.course.expected(self.group), self.course.warp.loom.shafts
        per_call = max(len(call.units) for call in self.course.calls[self.group])
        counted = self.here.counted
        return Reading(expected, shafts, assumed(shafts, self.alike), per_call, confirmed=counted, next_end=counted + 1)

    def confirm(self, reading: Reading, asked: int = 0, again: AskAgain | None = None) -> Self:
        """So much was read and is as expected; the same ends had been `asked` for so often, and now `again`."""
        before = self.here.counted
        state = GroupState.OPEN if reading.confirmed else GroupState.WAITING
        here = replace(self.here, counted=reading.confirmed, state=state)
        times = asked + 1 if reading.asked and reading.confirmed == before else 0
        mode = (Closing if reading.confirmed == self.size else Calling)(reading, times, again)
        return self.count(here, paced=self.paced + max(0, reading.confirmed - before), mode=mode)

    def differs_from(self, outcome: Difference | AskAgain) -> Self:
        """What was read is not as expected, or cannot be made out, from the first end not confirmed on."""
        too_many = self.here.counted == self.size
        return self.close(self.here.counted, GroupState.OFF, int(too_many)).to(Off(outcome))

    def set_right(self, repair: Repair) -> Self:
        """Go on with what sets the group right, then close it again."""
        match repair.way:
            case Way.REPAIR_HEDDLE:
                return self.reopen_at(self.hanging, 0)
            case Way.ADD_END | Way.JOIN | Way.PART | Way.FREE:
                return self.reopen_at(self.hanging, 0)
            case Way.MOVE | Way.LAY_ASIDE | Way.ONE_OUT:  # what is not in its place yet are the last ends
                return self.reopen_at(self.hanging - _last_to_thread(repair), 0)
        return self.reopen_at(repair.first - 1, repair.first - 1 + repair.threaded)

    def keep_time(self, event: Event) -> Self:
        """An event came: reckon the time worked up to it, also for the pace; in a steady pass, if by the clock."""
        worked = self.worked.after(event, isinstance(self.mode, Paused))
        counts = self.course.job.manner is not Manner.STEADY or event.by == Origin.CLOCK
        return replace(self, worked=worked, busy=self.busy + worked.last * counts)
