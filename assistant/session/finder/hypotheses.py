"""What may have happened in a group, given what was observed when it was closed."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace

from assistant.session.finder.closing import Observation
from assistant.session.finder.effects import Counts, Effect, effect
from assistant.session.finder.group import Group
from assistant.session.finder.mistakes import Mistake, mistakes
from assistant.session.finder.repair import Repair, repair
from assistant.warp.notation import Ends, Shafts


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
    left: Effect


def possible(group: Group, observation: Observation) -> list[Possible]:
    """Every single mistake, whether or not it fits the observation."""
    rated = mistakes(group, observation.most_off)
    return [Possible(mistake, rate, effect(group.expected, mistake)) for mistake, rate in rated]


def singles(group: Group, observation: Observation, every: Iterable[Possible]) -> tuple[Hypothesis, ...]:
    """Those that explain the observation alone. Those that cannot be told apart are one, weights summed."""
    fitting = (hypothesis(group, one.left, one.rate, one.mistake) for one in every if observation.fits(one.left))
    return merged(fitting, observation)


def hypothesis(group: Group, left: Effect, weight: float, *made: Mistake) -> Hypothesis:
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
