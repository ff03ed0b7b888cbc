"""Where the session stands: which group, how far into it, in what mode. Knows the counting, not the words."""

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from typing import Any

from assistant.finder import Look, Repair, Way
from assistant.readback import AskAgain, Difference, Reading
from assistant.readback.hearing import assumed
from assistant.session.events import CLOCK, Event, Kind
from assistant.session.view import GroupLine, GroupState, Mode
from assistant.warp.model import Warp
from assistant.warp.notation import Ends
from assistant.warp.passes import Call, Manner, Pass

PACE_FROM = 24  # units done before the weaver's own pace is trusted
LONGEST_STEP = 300.0  # seconds between two events beyond which the weaver was away
UNVISITED = (GroupState.WAITING, GroupState.OPEN)


@dataclass(slots=True)
class Progress:
    """One group: the units counted so far, those called when it was closed, and how it stands."""

    counted: int = 0
    called: int = 0
    redo_to: int = 0  # where a mistake is set right: the units up to which it is done again; 0 for all
    state: GroupState = GroupState.WAITING


@dataclass(frozen=True, slots=True)
class Wish:
    """What was said that would undo or pass over much, and where the session stood before it."""

    kind: Kind
    mode: Mode
    group: int


class Place:
    """The place in the whole warp, and the arithmetic of moving it."""

    def __init__(self, warp: Warp, job: Pass[Any], size: int | None = None):
        self.warp, self.job = warp, job
        self.groups = [Progress() for _ in warp.groups]
        self.mode = Mode.CALLING
        self.paused_in = Mode.CALLING
        self.missing = True  # the direction asked about: True short, False over
        self.group = 0
        self.sittings = 0
        self.wish: Wish | None = None
        self.look: Look | None = None
        self.reading: Reading | None = None
        self.difference: Difference | AskAgain | None = None
        self.asked = 0  # times the same ends were asked for again
        self.heddles_counted = True  # out for each group, until the weaver cannot tell how many are left
        self._since: float | None = None
        self._busy = 0.0
        self._done = 0
        self.cut_calls(size)
        self.sizes = [calls[0].of for calls in self._calls]
        self.total = sum(self.sizes)

    def cut_calls(self, size: int | None) -> None:
        """Divide the warp anew into calls of this size; the place stays at the same end."""
        self._calls = self.job.calls_by_group(self.warp, size)
        self._starts = [[call.start for call in calls] for calls in self._calls]

    @property
    def calls(self) -> int:
        """Calls in the whole warp."""
        return sum(map(len, self._calls))

    @property
    def here(self) -> Progress:
        """The group in hand."""
        return self.groups[self.group]

    @property
    def size(self) -> int:
        """Units expected in the group in hand."""
        return self.sizes[self.group]

    @property
    def name(self) -> str:
        """The name of the group in hand."""
        return self.warp.groups[self.group].name

    @property
    def off_by(self) -> int:
        """Units counted less units expected in the group in hand: over is positive, short is negative."""
        return self.here.counted - self.size

    @property
    def ran_out(self) -> bool:
        """The ends of the group in hand were used up before all were called."""
        return self.here.called < self.size

    def call(self) -> Call[Any]:
        """What is to be done next in the group in hand, from the first unit not yet counted."""
        return self._call_of(self.group, self.here.counted).upto(self.stop)

    def _call_of(self, group: int, counted: int) -> Call[Any]:
        call = self._calls[group][bisect_right(self._starts[group], counted) - 1]
        return call.after(counted - call.start)

    def following(self) -> Call[Any] | None:
        """The call after the one that is out, if all goes well; None where there is none."""
        reached = self.call().stop
        if reached < self.stop:
            return self._call_of(self.group, reached).upto(self.stop)
        group = self._next_open()
        if group is None or self.groups[group].counted == self.sizes[group]:
            return None
        return self._call_of(group, self.groups[group].counted)

    @property
    def stop(self) -> int:
        """Units of the group in hand up to which it is to be done."""
        return self.here.redo_to or self.size

    def calls_ahead(self) -> Iterator[Call[Any]]:
        """The calls of this group not yet done, and those of every group after it."""
        if self.here.counted < self.size:
            yield self.call()
        yield from (call for call in self._calls[self.group] if call.start > self.here.counted)
        yield from chain.from_iterable(self._calls[self.group + 1 :])

    def at_last_call(self) -> bool:
        """No further call follows in this group."""
        return self.call().stop == self.stop

    def acknowledge(self) -> None:
        """The call is done: count its units; after the last one the group is to be closed."""
        units = len(self.call().units)
        self.here.counted += units
        self.here.state = GroupState.OPEN
        self._done += units
        if self.here.counted == self.stop:
            self.here.counted = self.size
            self.mode = Mode.CLOSING

    def step_back(self) -> None:
        """Take the last call of this group back; the group has one."""
        starts = self._starts[self.group]
        self.here.counted = starts[bisect_right(starts, self.here.counted - 1) - 1]
        self.here.redo_to, self.reading = 0, None
        self.here.state = GroupState.OPEN if self.here.counted else GroupState.WAITING
        self.mode = Mode.CALLING

    def close(self, counted: int, state: GroupState) -> None:
        """Close the group in hand with this count."""
        self.here.called = self.here.counted
        self.here.redo_to = 0
        self.here.counted = counted
        self.here.state = state

    def reopen(self, group: int) -> None:
        """Go back into a closed group, to the question or the call it was closed at."""
        self._forget()
        self.group = group
        if not self.ran_out:
            self.here.counted = self.size
        self.here.state = GroupState.OPEN
        self.mode = Mode.CALLING if self.ran_out else Mode.CLOSING

    def restart(self) -> None:
        """Do the group in hand again from its first unit."""
        self.groups[self.group] = Progress()
        self._forget()
        self.mode = Mode.CALLING

    def ask_whether(self, kind: Kind) -> bool:
        """Wait until it is sure that this is meant, of the group in hand or at the finish the first one off, if any."""
        group = self.first_off() if self.mode is Mode.FINISHED else self.group
        if group is None:
            return False
        self.wish = Wish(kind, self.mode, self.group)
        self.group, self.mode = group, Mode.SURE
        return True

    def take_back(self) -> Kind:
        """To where the session stood before it was asked, and what was wished. Raises RuntimeError without a wish."""
        if self.wish is None:
            raise RuntimeError("nothing is wished")
        wish, self.wish = self.wish, None
        self.mode, self.group = wish.mode, wish.group
        return wish.kind

    def _forget(self) -> None:
        """What was asked, and what was read, is of no more use."""
        self.look = self.reading = self.difference = None
        self.asked = 0

    def go_on(self) -> None:
        """To the next group not yet closed, else to one left open before, else to the finish."""
        self._forget()
        following = self._next_open()
        if following is None:
            self.mode = Mode.FINISHED
            return
        self.group = following
        self.mode = Mode.CLOSING if self.here.counted == self.size else Mode.CALLING

    def _next_open(self) -> int | None:
        """The next group not yet closed, else one left open before."""
        order = chain(range(self.group + 1, len(self.groups)), range(self.group))
        return next((g for g in order if self.groups[g].state in UNVISITED), None)

    def _expected(self) -> Ends:
        """The shafts of the ends of the group in hand, the lowest first. Raises RuntimeError in a job that has none."""
        told = self.job.shafts
        if told is None:
            raise RuntimeError(f"{self.job.name} has no shafts")
        return tuple(told(unit) for call in self._calls[self.group] for unit in call.units)

    @property
    def can_look(self) -> bool:
        """A mistake can be looked for by asking for shafts."""
        return self.job.shafts is not None and not self.job.compares

    def begin_look(self) -> bool:
        """Begin to look for the mistake in the group in hand; False where this job has no way to."""
        if not self.can_look:
            return False
        expected = self._expected()
        left: dict[int, int] | None = {} if self.heddles_counted else None
        self.look = Look.begin(expected, self._starts[self.group], self.warp.loom.shafts, self.off_by, left)
        return True

    @property
    def looking(self) -> Look:
        """The search under way. Raises RuntimeError where there is none."""
        if self.look is None:
            raise RuntimeError("no mistake is looked for")
        return self.look

    def read(self) -> Reading:
        """What was read of the group in hand, from the first end not yet confirmed."""
        if self.reading is None:
            expected = self._expected()
            shafts, counted = self.warp.loom.shafts, self.here.counted
            per_call = max(len(call.units) for call in self._calls[self.group])
            self.reading = Reading(expected, shafts, assumed(shafts), per_call, confirmed=counted, next_end=counted + 1)
        return self.reading

    def confirm(self, reading: Reading) -> None:
        """So much was read and is as expected."""
        self.asked = self.asked + 1 if reading.asked and reading.confirmed == self.here.counted else 0
        self.reading = reading
        self._done += max(0, reading.confirmed - self.here.counted)
        self.here.counted = reading.confirmed
        self.here.state = GroupState.OPEN if reading.confirmed else GroupState.WAITING
        self.mode = Mode.CLOSING if reading.confirmed == self.size else Mode.CALLING

    def differs_from(self, outcome: Difference | AskAgain) -> None:
        """What was read is not as expected, or cannot be made out, from the first end not confirmed on."""
        confirmed = self.here.counted
        self.close(confirmed if confirmed < self.size else self.size + 1, GroupState.OFF)
        self.reading, self.difference, self.mode = None, outcome, Mode.OFF

    def set_right(self, repair: Repair) -> None:
        """Go on with what sets the group right, then close it again."""
        self.look = None
        if repair.way is Way.REPAIR_HEDDLE:
            self.reopen_at(self.size, 0)
        else:
            self.reopen_at(repair.first - 1, repair.first - 1 + repair.threaded)

    def reopen_at(self, counted: int, redo_to: int) -> None:
        """Open the group in hand again with so many units done; `redo_to` as in Progress."""
        self.here.counted, self.here.redo_to, self.here.state = counted, redo_to, GroupState.OPEN
        self.mode = Mode.CLOSING if counted == self.size else Mode.CALLING

    def first_off(self) -> int | None:
        """The first group still marked off."""
        return next((g for g, progress in enumerate(self.groups) if progress.state is GroupState.OFF), None)

    def keep_time(self, event: Event) -> None:
        """Learn the pace from the time between events, breaks left out; that of a steady pass by the clock alone."""
        if event.kind is Kind.NOTE:
            return
        steady = self.job.manner is Manner.STEADY
        if self._since is not None and self.mode is not Mode.PAUSED and (not steady or event.source == CLOCK):
            passed = event.at - self._since
            self._busy += passed if 0 < passed <= LONGEST_STEP else 0.0
        self._since = None if event.kind is Kind.LEAVE else event.at

    @property
    def pace_known(self) -> bool:
        """Enough was done to go by the weaver's own pace."""
        return self._done >= PACE_FROM and self._busy > 0

    @property
    def pace(self) -> float | None:
        """Seconds a unit; None where neither the weaver's own nor common practice tells."""
        return self._busy / self._done if self.pace_known else self.job.pace

    @property
    def done(self) -> int:
        """Units counted over the whole warp."""
        return sum(progress.counted for progress in self.groups)

    @property
    def left(self) -> int:
        """Units not yet called over the whole warp."""
        open_groups = zip(self.sizes, self.groups, strict=True)
        return sum(size - progress.counted for size, progress in open_groups if progress.state in UNVISITED)

    def summary(self) -> tuple[GroupLine, ...]:
        """Every group with what was expected, what was counted, and how it stands."""
        return tuple(
            GroupLine(group.name, size, progress.counted, progress.state)
            for group, size, progress in zip(self.warp.groups, self.sizes, self.groups, strict=True)
        )
