"""The groups of a story for the table: those that stand alike and went through nothing else, in one row."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from assistant.paper.story import GroupStory
from assistant.session.view import GroupLine
from assistant.warp.plan.work import until


@dataclass(frozen=True, slots=True)
class Gathered:
    """A row: one group, or several that follow each other."""

    groups: Sequence[GroupStory]

    @property
    def line(self) -> GroupLine:
        """How each of them stands."""
        return self.groups[0].line

    @property
    def first(self) -> str:
        """What the first one is called."""
        return self.line.name

    @property
    def until(self) -> str:
        """What to call the last one; "" where there is one alone."""
        return until(self.first, self.groups[-1].line.name)

    @property
    def closed_by(self) -> str:
        """Who, or what, closed each of them; "" where nothing did."""
        closed = self.groups[0].closed
        return closed.by if closed else ""

    @property
    def closed_at(self) -> tuple[float, ...]:
        """When the earliest was closed, and when the latest where that is another; none where they are open."""
        times = sorted({closed.at for group in self.groups if (closed := group.closed)})
        return tuple(dict.fromkeys([*times[:1], *times[-1:]]))

    @property
    def pace(self) -> float | None:
        """Seconds a unit, over all of them."""
        units, seconds = sum(group.units for group in self.groups), sum(group.seconds for group in self.groups)
        return seconds / units if units and seconds else None


def gathered(groups: Sequence[GroupStory]) -> Iterator[Gathered]:
    """The groups in order; one that went through something stands alone."""
    for _, row in groupby(enumerate(groups), key=lambda each: _alike(*each)):
        yield Gathered([group for _, group in row])


def _alike(place: int, group: GroupStory) -> tuple[object, ...]:
    """What a row has in common."""
    line, closed = group.line, group.closed
    alone = place if group.past or group.steps_back else None
    stands = (line.expected, line.counted, line.state, line.over, line.dents, line.passed)
    return (*stands, closed.by if closed else "", alone)
