"""What mistakes leave behind.

The weaver threads a counted bundle, end by end, as the calls go. "On the loom" is what is seen afterwards: the shafts
of every end from the clip on. Heddles are over when they were counted out for the group and hold no end; where more
were used than counted out, they are short.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from assistant.session.finder.mistakes import Fault, Mistake
from assistant.warp.notation import Ends

Counts = frozenset[tuple[int, int]]  # shaft and number, where not 0


@dataclass(frozen=True, slots=True)
class Effect:
    """What mistakes leave: the shafts on the loom from the clip on, ends over, heddles over on each shaft (not 0)."""

    loom: Ends
    over: int
    heddles: Counts
    edited: Counts  # the same without the heddles of the last ends, where the bundle was used up before them


@dataclass(frozen=True, slots=True)
class Edit:
    """The ends from `start` to before `stop` (from 0) are threaded as `instead`."""

    start: int
    stop: int
    instead: Ends


def edit(mistake: Mistake, expected: Ends) -> Edit:
    """What a mistake does to the order in which the heddles are taken."""
    at, after = mistake.at - 1, mistake.at - 1 + mistake.ends
    match mistake.fault:
        case Fault.SKIPPED | Fault.CALL_MISSED:
            return Edit(at, after, ())
        case Fault.DOUBLED | Fault.CALL_DOUBLED | Fault.TWO_IN_ONE:
            return Edit(after, after, expected[at:after])
        case Fault.WRONG_SHAFT:
            return Edit(at, after, (mistake.found,))
        case Fault.SWAPPED:
            return Edit(at, at + 2, (expected[at + 1], expected[at]))
        case Fault.BUNDLE | Fault.HEDDLES:
            return Edit(len(expected), len(expected), ())


def effect(expected: Ends, *made: Mistake) -> Effect:
    """What mistakes, in their order and not overlapping, make of a group that should lie as expected.

    The ends of the bundle go, one after another, where the edited order says, until either runs out.
    """
    bundle, order = len(expected), expected
    heddles: Counter[int] = Counter()
    for mistake in reversed(made):
        change = edit(mistake, expected)
        order = order[: change.start] + change.instead + order[change.stop :]
        heddles.update(_shafts(expected[change.start : change.stop]))
        match mistake.fault:
            case Fault.BUNDLE:
                bundle += mistake.ends
            case Fault.HEDDLES:
                heddles[mistake.shaft] += mistake.ends
            case Fault.TWO_IN_ONE:  # the second end takes no heddle
                pass
            case _:
                heddles.subtract(_shafts(change.instead))
    edited = counts(heddles)
    heddles.update(_shafts(order[bundle:]))
    return Effect(order[:bundle], bundle - len(order), counts(heddles), edited)


def _shafts(ends: Ends) -> list[int]:
    return [shaft for end in ends for shaft in end]


def counts(heddles: Mapping[int, int]) -> Counts:
    """Those that are not 0."""
    return frozenset((shaft, count) for shaft, count in heddles.items() if count)
