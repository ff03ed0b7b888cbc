"""What may have happened in a group, given what was observed when it was closed: one mistake of those known, or else.

Something else is known by one thing alone: the first end that is not as expected. What hangs from there on, or for a
stretch from there, may be anything, several mistakes too; threading that anew sets it right, whatever it was.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from assistant.finder.mistakes import Counts, GroupToSearch, LeftBehind, Mistake, counts, left_by, mistakes, unseen
from assistant.finder.repair import Repair, Way, in_place, repair, shared
from assistant.warp.notation import Ends, Shafts

SOMETHING_ELSE = 0.002  # for each end: assumption, no source
UNCOUNTED = 2  # times as often where no count is off, since many kinds show in none: assumption, no source
STRETCH = 16  # ends within which what is wrong lies as often as not: assumption, no source
UNKNOWN: Shafts = (-1,)  # the shafts of an end that may be on any, or in no eye, or not there


@dataclass(frozen=True, slots=True)
class Observation:
    """Ends over (short: negative); heddles over on each shaft looked at, None where none were counted out."""

    over: int
    heddles: Mapping[int, int] | None = field(default=None, hash=False)
    perhaps: int = 0  # so many ends more may be over: the bundle ran out within a heddle of several

    @property
    def overs(self) -> range:
        """What may be over."""
        return range(self.over, self.over + self.perhaps + 1)

    def fits(self, left: LeftBehind) -> bool:
        """Whether this is what one would see."""
        return left.over in self.overs and self.looked_at(left.heddles) == counts(self.heddles or {})

    def looked_at(self, heddles: Counts) -> Counts:
        """Of these counts, those the weaver has looked at."""
        looked = self.heddles or {}
        return frozenset(pair for pair in heddles if pair[0] in looked)

    @property
    def most_off(self) -> int:
        """The most ends or heddles by which any count is off."""
        return max(map(abs, (self.over, *(self.heddles or {}).values())))


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """A mistake that explains an observation, or something else; weights are comparable within one search."""

    mistake: Mistake | None  # of those that leave the same, the likeliest
    loom: Ends
    heddles: Counts
    repair: Repair
    weight: float

    @property
    def end(self) -> int:
        """The first end that is not as expected, from 1; 0 where all are."""
        return self.repair.first

    def shafts(self, end: int) -> Shafts:
        """The shafts that end `end` is on; () where there is no such end."""
        return self.loom[end - 1] if 0 < end <= len(self.loom) else ()

    @property
    def right(self) -> int:
        """How many ends, from the first on, are as expected before one that is not."""
        return self.repair.first - 1 if self.repair.first else len(self.loom)

    @property
    def right_after(self) -> int:
        """How many ends, from the last on, stay as they hang when it is set right."""
        return len(self.loom) - self.right - self.repair.taken_out if self.repair.first else len(self.loom)


def singles(group: GroupToSearch, observation: Observation) -> tuple[Hypothesis, ...]:
    """Every single mistake that explains the observation. Those that cannot be told apart are one, weights summed."""
    made = (each for each in mistakes(group, observation.most_off) if each[0].over in observation.overs)
    expected, how, floating = group.expected, group.in_heddles, group.floating[1]
    left = ((mistake, rate, left_by(expected, mistake, in_heddles=how, floating=floating)) for mistake, rate in made)
    fitting = (
        Hypothesis(mistake, leaves.loom, leaves.heddles, mended(group, leaves), rate)
        for mistake, rate, leaves in left
        if observation.fits(leaves)
    )
    return merged(fitting, observation)


def mended(group: GroupToSearch, left: LeftBehind) -> Repair:
    """What sets right what a mistake left."""
    anew = repair(group.expected, left.loom, left.over, group.yarns)
    if not group.in_heddles:
        return anew
    if shared(group.expected, left.loom, left.over):  # sound, too, where the end is in no heddle at all
        return Repair(Way.REDO, anew.first, 1, 2)
    return in_place(group.expected, left.loom, left.over, group.yarns) or anew


def something_else(group: GroupToSearch, observation: Observation) -> Iterator[Hypothesis]:
    """That the first end not as expected is this one, for each; where no count is off, that there is none.

    So many ends hang as the bundle should hold, less those over. Where no count is off, all that is wrong lies within
    STRETCH ends, or some of it after them, as often.
    """
    expected = group.expected
    hanging = len(expected) - (0 if group.in_heddles else max(0, observation.over))
    often = SOMETHING_ELSE if observation.over else SOMETHING_ELSE * UNCOUNTED
    for right in range(hanging if observation.over <= 0 else hanging + 1):
        way = Way.REDO if right < hanging else Way.THREAD_ON
        after = right + STRETCH if not observation.over else hanging
        share = often / 2 if after < hanging else often
        for stop in sorted({hanging, min(after, hanging)}, reverse=True):
            loom = expected[:right] + (UNKNOWN,) * (stop - right) + expected[stop:hanging]
            todo = Repair(way, right + 1, stop - right, (stop if stop < hanging else len(expected)) - right)
            yield Hypothesis(None, loom, frozenset(), todo, share)
    if not observation.over:
        yield Hypothesis(None, expected, frozenset(), Repair(Way.NOTHING), SOMETHING_ELSE)


def not_seen(group: GroupToSearch, observation: Observation) -> Iterator[Hypothesis]:
    """That all hangs on the shafts expected and is wrong nevertheless, where no count is off."""
    expected = group.expected
    if observation.fits(LeftBehind(expected, 0, frozenset(), frozenset())):
        for mistake in unseen(group):
            anew = Repair(Way.REDO, mistake.at, mistake.ends, mistake.ends)
            yield Hypothesis(mistake, expected, frozenset(), anew, mistake.rate)


def merged(hypotheses: Iterable[Hypothesis], observation: Observation) -> tuple[Hypothesis, ...]:
    """Hypotheses that leave the same on the loom, and the same heddles where those are counted, taken as one."""
    alike: dict[object, list[Hypothesis]] = defaultdict(list)
    for each in hypotheses:
        alike[each.loom, each.heddles if observation.heddles is not None else None].append(each)
    return tuple(
        replace(max(some, key=lambda each: each.weight), weight=sum(each.weight for each in some))
        for some in alike.values()
    )
