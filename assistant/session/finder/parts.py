"""What two mistakes have to show, each, to be together what was seen: ends and heddles over add up.

They do exactly, but for a mistake among the last ends, which may then be cut off with them.
A mistake that shows nothing, such as two neighbours swapped, is left out: the other is found as if it were alone.
"""

from collections import Counter

from assistant.session.finder.closing import Observation
from assistant.session.finder.effects import Counts, Effect, counts
from assistant.session.finder.group import Group

Part = tuple[int, Counts]  # ends over; heddles over by the edits alone, on the shafts looked at

NOTHING: Part = (0, frozenset())


def part(left: Effect, observation: Observation) -> Part:
    """What one mistake shows."""
    return left.over, observation.looked_at(left.edited)


def whole(group: Group, observation: Observation) -> Part:
    """What both together must show."""
    heddles = Counter(dict(counts(observation.heddles or {})))
    if observation.over < 0:
        heddles.subtract(shaft for end in group.expected[observation.over :] for shaft in end)
    return observation.over, observation.looked_at(counts(heddles))


def rest(wanted: Part, one: Part) -> Part:
    """What the other must show."""
    heddles = Counter(dict(wanted[1]))
    heddles.subtract(dict(one[1]))
    return wanted[0] - one[0], counts(heddles)
