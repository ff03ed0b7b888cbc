"""What may have happened in a group, given what was observed when it was closed: one mistake, or two at once.

Two mistakes together are what was seen: ends and heddles over add up. They do exactly, but for a mistake among the last
ends, which may then be cut off with them. A mistake that shows nothing, such as two neighbours swapped, is left out of
the pairs: the other is found as if it were alone.
"""

from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate, islice

from assistant.finder.mistakes import Counts, GroupToSearch, LeftBehind, Mistake, counts, edit, left_by, mistakes
from assistant.finder.questions import Answer, Question, answered
from assistant.finder.repair import Repair, repair
from assistant.warp.notation import Ends, Shafts

SAMPLE = 200  # pairs that stand for all, while single mistakes are searched
MOST_TRIED = 40_000  # pairs worked out at most
MOST_PAIRS = 1_000  # the likeliest, which are searched when no single mistake fits

Showing = tuple[int, Counts]  # ends over; heddles over by the edits alone, on the shafts looked at
SHOWS_NOTHING: Showing = (0, frozenset())


@dataclass(frozen=True, slots=True)
class Observation:
    """Ends over (short: negative); heddles over on each shaft looked at, None where none were counted out."""

    over: int
    heddles: Mapping[int, int] | None = field(default=None, hash=False)

    def fits(self, left: LeftBehind) -> bool:
        """Whether this is what one would see."""
        return left.over == self.over and self.looked_at(left.heddles) == counts(self.heddles or {})

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
    """Mistakes, mostly one, that explain an observation; weights are comparable within one search."""

    mistakes: tuple[Mistake, ...]  # of those that leave the same, the likeliest
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


@dataclass(frozen=True, slots=True)
class Possible:
    """A single mistake, how often it is made, and what it leaves."""

    mistake: Mistake
    rate: float
    left: LeftBehind


def possible(group: GroupToSearch, observation: Observation) -> list[Possible]:
    """Every single mistake, whether or not it fits the observation."""
    rated = mistakes(group, observation.most_off)
    return [Possible(mistake, rate, left_by(group.expected, mistake)) for mistake, rate in rated]


def singles(group: GroupToSearch, observation: Observation, every: Iterable[Possible]) -> tuple[Hypothesis, ...]:
    """Those that explain the observation alone. Those that cannot be told apart are one, weights summed."""
    fitting = (hypothesis(group, one.left, one.rate, one.mistake) for one in every if observation.fits(one.left))
    return merged(fitting, observation)


def hypothesis(group: GroupToSearch, left: LeftBehind, weight: float, *made: Mistake) -> Hypothesis:
    """That these mistakes were made, which leave this."""
    return Hypothesis(made, left.loom, left.heddles, repair(group.expected, left.loom, left.over), weight)


def merged(hypotheses: Iterable[Hypothesis], observation: Observation) -> tuple[Hypothesis, ...]:
    """Hypotheses that leave the same on the loom, and the same heddles where those are counted, taken as one."""
    likeliest: dict[object, Hypothesis] = {}
    weights: dict[object, float] = defaultdict(float)
    for each in hypotheses:
        key = (each.loom, each.heddles if observation.heddles is not None else None)
        weights[key] += each.weight
        if key not in likeliest or each.weight > likeliest[key].weight:
            likeliest[key] = each
    return tuple(replace(each, weight=weights[key]) for key, each in likeliest.items())


def sample(group: GroupToSearch, observation: Observation, every: Iterable[Possible]) -> tuple[Hypothesis, ...]:
    """Pairs that explain the observation, taken at even steps of their summed weight, with the weight of all."""
    pairs = list(islice(_adding_up(group, observation, every), MOST_TRIED))
    sums = list(accumulate(one.rate * other.rate for one, other in pairs))
    if not sums:
        return ()
    step = sums[-1] / min(SAMPLE, len(pairs))
    taken = (pairs[bisect_left(sums, (at + 0.5) * step)] for at in range(min(SAMPLE, len(pairs))))
    fitting = (
        hypothesis(group, left, step, one.mistake, other.mistake)
        for one, other in taken
        if observation.fits(left := left_by(group.expected, one.mistake, other.mistake))
    )
    return merged(fitting, observation)


def two_mistakes(
    group: GroupToSearch, observation: Observation, answers: Sequence[tuple[Question, Answer]], error: float
) -> tuple[Hypothesis, ...]:
    """The likeliest pairs that explain the observation and the answers, of which some may be wrong."""
    fitting = []
    for one, other in islice(_adding_up(group, observation, possible(group, observation)), MOST_TRIED):
        left = left_by(group.expected, one.mistake, other.mistake)
        if not observation.fits(left):
            continue
        weight = one.rate * other.rate
        for question, answer in answers:
            weight *= 1 - error if answered(question, left) == answer else error
        if weight:
            fitting.append((weight, one, other, left))
    likeliest = sorted(fitting, key=lambda each: -each[0])[:MOST_PAIRS]
    return merged(
        (hypothesis(group, left, weight, one.mistake, other.mistake) for weight, one, other, left in likeliest),
        observation,
    )


def _adding_up(
    group: GroupToSearch, observation: Observation, every: Iterable[Possible]
) -> Iterator[tuple[Possible, Possible]]:
    """Pairs of mistakes, the earlier first, that add up to the observation."""
    kinds: dict[Showing, list[tuple[int, Possible]]] = defaultdict(list)
    for one in every:
        kinds[_shown(one.left, observation)].append((edit(one.mistake, group.expected).start, one))
    kinds.pop(SHOWS_NOTHING, None)
    wanted = _shown_by_both(group, observation)
    for shown, ones in kinds.items():
        others = kinds.get(_shown_by_other(wanted, shown), [])
        for _, one in ones:
            stop = edit(one.mistake, group.expected).stop
            yield from ((one, other) for start, other in others if start >= stop)


def _shown(left: LeftBehind, observation: Observation) -> Showing:
    """What one mistake shows."""
    return left.over, observation.looked_at(left.edited)


def _shown_by_both(group: GroupToSearch, observation: Observation) -> Showing:
    """What both together must show."""
    heddles = Counter(dict(counts(observation.heddles or {})))
    if observation.over < 0:
        heddles.subtract(shaft for end in group.expected[observation.over :] for shaft in end)
    return observation.over, observation.looked_at(counts(heddles))


def _shown_by_other(wanted: Showing, one: Showing) -> Showing:
    """What the other must show."""
    heddles = Counter(dict(wanted[1]))
    heddles.subtract(dict(one[1]))
    return wanted[0] - one[0], counts(heddles)
