"""Where the session stands: which group, how far into it, in what mode. Knows the counting, not the words."""

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import chain, groupby

from assistant.session.events import Event, Kind
from assistant.session.view import GroupLine, GroupState, Mode
from assistant.warp.model import Warp
from assistant.warp.passes import Call, thread

COMMON_PACE = 30.0  # seconds an end: common practice, no source
PACE_FROM = 24  # ends threaded before the weaver's own pace is trusted
LONGEST_STEP = 300.0  # seconds between two events beyond which the weaver was away
UNVISITED = (GroupState.WAITING, GroupState.OPEN)


@dataclass(slots=True)
class Progress:
    """One group: the ends counted so far, the ends called when it was closed, and how it stands."""

    counted: int = 0
    called: int = 0
    state: GroupState = GroupState.WAITING


class Place:
    """The place in the whole warp, and the arithmetic of moving it."""

    def __init__(self, warp: Warp, per_call: int):
        self.warp, self.ends = warp, warp.ends
        self.sizes = [len(group.ends) for group in warp.groups]
        self.groups = [Progress() for _ in warp.groups]
        self.mode = Mode.CALLING
        self.paused_in = Mode.CALLING
        self.missing = True  # the direction asked about: True short, False over
        self.group = 0
        self.sittings = 0
        self._since: float | None = None
        self._busy = 0.0
        self._threaded = 0
        self.cut_calls(per_call)

    def cut_calls(self, per_call: int) -> None:
        """Divide the warp anew into calls of at most `per_call` ends; the place stays at the same end."""
        self._calls = [list(calls) for _, calls in groupby(thread(self.warp, per_call), key=lambda call: call.group)]
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
        """Ends expected in the group in hand."""
        return self.sizes[self.group]

    @property
    def name(self) -> str:
        """The name of the group in hand."""
        return self.warp.groups[self.group].name

    @property
    def off_by(self) -> int:
        """Ends counted less ends expected in the group in hand: over is positive, short is negative."""
        return self.here.counted - self.size

    @property
    def ran_out(self) -> bool:
        """The ends of the group in hand were used up before all were called."""
        return self.here.called < self.size

    def call(self) -> Call:
        """The ends to thread next in the group in hand, from the first one not yet counted."""
        counted = self.here.counted
        call = self._calls[self.group][bisect_right(self._starts[self.group], counted) - 1]
        past = counted - call.start
        if not past:
            return call
        return replace(call, start=counted, first_end=call.first_end + past, ends=call.ends[past:])

    def calls_ahead(self) -> Iterator[Call]:
        """The calls of this group not yet threaded, and those of every group after it."""
        if self.here.counted < self.size:
            yield self.call()
        yield from (call for call in self._calls[self.group] if call.start > self.here.counted)
        yield from chain.from_iterable(self._calls[self.group + 1 :])

    def at_last_call(self) -> bool:
        """No further call follows in this group."""
        return self.here.counted + len(self.call().ends) == self.size

    def acknowledge(self) -> None:
        """The call is threaded: count its ends; after the last one the group is to be closed."""
        ends = len(self.call().ends)
        self.here.counted += ends
        self.here.state = GroupState.OPEN
        self._threaded += ends
        if self.here.counted == self.size:
            self.mode = Mode.CLOSING

    def step_back(self) -> None:
        """Take the last call of this group back; the group has one."""
        starts = self._starts[self.group]
        self.here.counted = starts[bisect_right(starts, self.here.counted - 1) - 1]
        self.here.state = GroupState.OPEN if self.here.counted else GroupState.WAITING
        self.mode = Mode.CALLING

    def close(self, counted: int, state: GroupState) -> None:
        """Close the group in hand with this count."""
        self.here.called = self.here.counted
        self.here.counted = counted
        self.here.state = state

    def reopen(self, group: int) -> None:
        """Go back into a closed group, to the question or the call it was closed at."""
        self.group = group
        if not self.ran_out:
            self.here.counted = self.size
        self.here.state = GroupState.OPEN
        self.mode = Mode.CALLING if self.ran_out else Mode.CLOSING

    def restart(self) -> None:
        """Thread the group in hand again from its first end."""
        self.groups[self.group] = Progress()
        self.mode = Mode.CALLING

    def go_on(self) -> None:
        """To the next group not yet closed, else to one left open before, else to the finish."""
        order = chain(range(self.group + 1, len(self.groups)), range(self.group))
        following = next((g for g in order if self.groups[g].state in UNVISITED), None)
        if following is None:
            self.mode = Mode.FINISHED
            return
        self.group = following
        self.mode = Mode.CLOSING if self.here.counted == self.size else Mode.CALLING

    def first_off(self) -> int | None:
        """The first group still marked off."""
        return next((g for g, progress in enumerate(self.groups) if progress.state is GroupState.OFF), None)

    def keep_time(self, event: Event) -> None:
        """Learn the weaver's pace from the time between events, breaks left out."""
        if self._since is not None and self.mode is not Mode.PAUSED:
            passed = event.at - self._since
            self._busy += passed if 0 < passed <= LONGEST_STEP else 0.0
        self._since = None if event.kind is Kind.LEAVE else event.at

    @property
    def pace_known(self) -> bool:
        """Enough was threaded to go by the weaver's own pace."""
        return self._threaded >= PACE_FROM and self._busy > 0

    @property
    def pace(self) -> float:
        """Seconds an end."""
        return self._busy / self._threaded if self.pace_known else COMMON_PACE

    @property
    def threaded(self) -> int:
        """Ends counted over the whole warp."""
        return sum(progress.counted for progress in self.groups)

    @property
    def left(self) -> int:
        """Ends not yet called over the whole warp."""
        open_groups = zip(self.sizes, self.groups, strict=True)
        return sum(size - progress.counted for size, progress in open_groups if progress.state in UNVISITED)

    def summary(self) -> tuple[GroupLine, ...]:
        """Every group with what was expected, what was counted, and how it stands."""
        return tuple(
            GroupLine(group.name, size, progress.counted, progress.state)
            for group, size, progress in zip(self.warp.groups, self.sizes, self.groups, strict=True)
        )
