"""Two mistakes at once: what else it may have been, and where to look when no single mistake fits the answers."""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate, islice

from assistant.session.finder.closing import Observation
from assistant.session.finder.effects import Effect, edit, effect
from assistant.session.finder.group import Group
from assistant.session.finder.hypotheses import Hypothesis, Possible, hypothesis, merged, possible
from assistant.session.finder.parts import NOTHING, Part, part, rest, whole
from assistant.session.finder.questions import NO_END, Answer, Ask, Question, Side

SAMPLE = 200  # pairs that stand for all, while single mistakes are searched
MOST_TRIED = 40_000  # pairs worked out at most
MOST_PAIRS = 1_000  # the likeliest, which are searched when no single mistake fits

Pair = tuple[Possible, Possible]


def sample(group: Group, observation: Observation, every: Iterable[Possible]) -> tuple[Hypothesis, ...]:
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
        if observation.fits(left := effect(group.expected, one.mistake, other.mistake))
    )
    return merged(fitting, observation)


def two_mistakes(
    group: Group, observation: Observation, answers: Sequence[tuple[Question, Answer]], error: float
) -> tuple[Hypothesis, ...]:
    """The likeliest pairs that explain the observation and the answers, of which some may be wrong."""
    fitting = []
    for one, other in islice(_adding_up(group, observation, possible(group, observation)), MOST_TRIED):
        left = effect(group.expected, one.mistake, other.mistake)
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


def answered(question: Question, left: Effect) -> Answer:
    """The true answer, given what is on the loom."""
    match question.ask:
        case Ask.SHAFTS if question.end > len(left.loom):
            return NO_END
        case Ask.SHAFTS:
            return left.loom[question.end - 1 if question.side is Side.FIRST else -question.end]
        case Ask.COUNT:
            return sum(question.shaft in end for end in left.loom[: question.end])
        case Ask.HEDDLES:
            return dict(left.heddles).get(question.shaft, 0)


def _adding_up(group: Group, observation: Observation, every: Iterable[Possible]) -> Iterator[Pair]:
    """Pairs of mistakes, the earlier first, whose effects add up to the observation."""
    kinds: dict[Part, list[tuple[int, Possible]]] = defaultdict(list)
    for one in every:
        kinds[part(one.left, observation)].append((edit(one.mistake, group.expected).start, one))
    kinds.pop(NOTHING, None)
    wanted = whole(group, observation)
    for shown, ones in kinds.items():
        others = kinds.get(rest(wanted, shown), [])
        for _, one in ones:
            stop = edit(one.mistake, group.expected).stop
            yield from ((one, other) for start, other in others if start >= stop)
