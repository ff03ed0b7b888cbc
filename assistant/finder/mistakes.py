"""The single mistakes made in threading a group, how often each is made, and what they leave behind.

The weaver threads a counted bundle, end by end, as the calls go. "On the loom" is what is seen afterwards: the shafts
of every end from the first on. Heddles are over when they were counted out for the group and hold no end; where more
were used than counted out, they are short.
"""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import chain, pairwise

from assistant.finder.heddle import fewer, held, hung, more, one
from assistant.warp.notation import Ends, Shafts

Counts = frozenset[tuple[int, int]]  # shaft and number, where not 0


@dataclass(frozen=True, slots=True)
class GroupToSearch:
    """A group as it should lie: shafts of every end, where its calls begin (from 0), shafts of the loom, yarns.

    `in_heddles`: heddles are counted in place of ends, each with the ends it is to hold (`heddle.py`).
    """

    expected: Ends
    call_starts: tuple[int, ...]
    shafts: int
    yarns: tuple[str, ...] = ()  # of every end; none where all are alike
    in_heddles: bool = False
    floating: tuple[int, int] = (0, 0)  # ends in no heddle, before the first and after the last


class MistakeKind(StrEnum):
    """A kind of mistake."""

    SKIPPED = "skipped"  # an end's step is passed over: the next lie one end early; it and its heddles are over
    DOUBLED = "doubled"  # a step is threaded twice, in two heddles: the next lie one end late; the last lacks
    TWO_IN_ONE = "two in one"  # two ends share a heddle: on the loom as DOUBLED, but no heddle too many is used
    WRONG_SHAFT = "wrong shaft"  # an end is in a heddle of another shaft, or misses one of its shafts; nothing shifts
    SWAPPED = "swapped"  # two neighbours of different shafts are in each other's heddles; no count shows it
    CALL_MISSED = "call missed"  # as SKIPPED, for all ends of a call
    CALL_DOUBLED = "call doubled"  # as DOUBLED, for all ends of a call
    BUNDLE = "bundle"  # the bundle holds too many or too few ends; all there are, are threaded right
    UNSEEN = (
        "unseen"  # two neighbours crossed behind the heddles, or one of another yarn; neither count nor shaft shows it
    )
    HEDDLES = "heddles"  # too many or too few heddles were counted out on one shaft; all ends are threaded right
    # Where heddles are counted; none of these shifts a heddle but by its own place.
    ONE_FEWER = "one fewer"  # a heddle of several ends lacks one of them, which is over
    ONE_MORE = "one more"  # an end too many is in a heddle; the last lacks
    PARTED = "parted"  # of several ends for one heddle the last is in another, beside it
    JOINED = "joined"  # an end is in the heddle before its own
    FLOATING = "floating"  # an end that should hang in no heddle is in one, before the first or after the last


# Mistakes for each end, call, group, or shaft of a group threaded: assumption, no source.
RATES: Mapping[MistakeKind, float] = {
    MistakeKind.SKIPPED: 0.003,  # an end
    MistakeKind.DOUBLED: 0.001,
    MistakeKind.TWO_IN_ONE: 0.002,
    MistakeKind.WRONG_SHAFT: 0.003,  # shared out evenly over the ways to be wrong
    MistakeKind.SWAPPED: 0.002,
    MistakeKind.UNSEEN: 0.003,
    MistakeKind.CALL_MISSED: 0.002,  # a call
    MistakeKind.CALL_DOUBLED: 0.002,
    MistakeKind.BUNDLE: 0.010,  # a group: off by one end; half as often by two, and so on
    MistakeKind.HEDDLES: 0.005,  # a shaft: likewise
    MistakeKind.ONE_FEWER: 0.003,  # a heddle of several ends
    MistakeKind.ONE_MORE: 0.002,  # a heddle
    MistakeKind.PARTED: 0.002,  # a heddle of several ends
    MistakeKind.JOINED: 0.002,  # a heddle of one end
    MistakeKind.FLOATING: 0.010,  # an edge with floating ends; shared out evenly over the shafts
}
FURTHER = 0.5
USUALLY_OFF = 4  # ends or heddles by which a counting is off at most, unless more were observed
STAYING = frozenset(
    {
        MistakeKind.WRONG_SHAFT,
        MistakeKind.SWAPPED,
        MistakeKind.UNSEEN,
        MistakeKind.HEDDLES,
        MistakeKind.ONE_FEWER,
    }
)  # these shift no end


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake in a group. `ends` is how many ends (or heddles) it is about: over positive, short negative."""

    kind: MistakeKind
    at: int = 0  # the first end concerned, from 1; 0 where it lies in no end
    ends: int = 1
    found: Shafts = ()  # WRONG_SHAFT, FLOATING: where the end is instead
    shaft: int = 0  # HEDDLES: of which shaft
    held: int = 0  # where heddles are counted: how many ends are in those that it is about; 0: as many as `ends`

    @property
    def over(self) -> int:
        """How many ends it leaves over; short: negative."""
        match self.kind:
            case MistakeKind.SKIPPED | MistakeKind.CALL_MISSED | MistakeKind.BUNDLE | MistakeKind.ONE_FEWER:
                return self.held or self.ends
            case MistakeKind.DOUBLED | MistakeKind.CALL_DOUBLED | MistakeKind.TWO_IN_ONE | MistakeKind.ONE_MORE:
                return -(self.held or self.ends)
            case _:
                return 0

    @property
    def rate(self) -> float:
        """How often it is made, before WRONG_SHAFT is shared out."""
        miscounted = self.kind in (MistakeKind.BUNDLE, MistakeKind.HEDDLES)
        return RATES[self.kind] * (FURTHER ** (abs(self.ends) - 1) if miscounted else 1)


def mistakes(group: GroupToSearch, most_off: int = 0) -> Iterator[tuple[Mistake, float]]:
    """Every single mistake in a group that a count or a shaft shows, with its rate.

    A counting may be off by USUALLY_OFF, or by `most_off`.
    """
    kinds = (_at_heddles if group.in_heddles else _at_ends)(group)
    plain = chain(kinds, _at_calls(group), _miscounted(group, max(most_off, USUALLY_OFF)))
    yield from ((each, each.rate) for each in plain)
    yield from _threaded_at_edges(group)
    for at, end in enumerate(group.expected, 1):
        wrong = [Mistake(MistakeKind.WRONG_SHAFT, at, found=found) for found in _wrong(end, group.shafts)]
        yield from ((each, each.rate / len(wrong)) for each in wrong)


def unseen(group: GroupToSearch) -> Iterator[Mistake]:
    """What no count and no shaft shows, at every end with its neighbour after it."""
    return (Mistake(MistakeKind.UNSEEN, at, 2) for at in range(1, len(group.expected)))


def _at_ends(group: GroupToSearch) -> Iterator[Mistake]:
    for at in range(1, len(group.expected) + 1):
        yield Mistake(MistakeKind.SKIPPED, at)
        yield Mistake(MistakeKind.DOUBLED, at)
    for at, (end, following) in enumerate(pairwise(group.expected), 1):
        yield Mistake(MistakeKind.TWO_IN_ONE, at)
        if end != following:
            yield Mistake(MistakeKind.SWAPPED, at)


def _at_heddles(group: GroupToSearch) -> Iterator[Mistake]:
    before: Shafts = ()
    for at, due in enumerate(group.expected, 1):
        ends = held(due)
        yield Mistake(MistakeKind.SKIPPED, at, held=ends)
        yield Mistake(MistakeKind.DOUBLED, at, held=ends)
        yield Mistake(MistakeKind.ONE_MORE, at, held=1)
        if ends > 1:
            yield Mistake(MistakeKind.ONE_FEWER, at, held=1)
            yield Mistake(MistakeKind.PARTED, at, held=1)
        if before and ends == 1:
            yield Mistake(MistakeKind.JOINED, at, held=1)
        if before and before != due:
            yield Mistake(MistakeKind.SWAPPED, at - 1)
        before = due


def _threaded_at_edges(group: GroupToSearch) -> Iterator[tuple[Mistake, float]]:
    for ends, at in zip(group.floating, (1, len(group.expected) + 1), strict=True):
        for shaft in range(1, group.shafts + 1) if ends else ():
            each = Mistake(MistakeKind.FLOATING, at, found=(shaft,), held=1)
            yield each, each.rate / group.shafts


def _at_calls(group: GroupToSearch) -> Iterator[Mistake]:
    for start, stop in pairwise((*group.call_starts, len(group.expected))):
        ends = sum(map(held, group.expected[start:stop])) if group.in_heddles else 0
        yield Mistake(MistakeKind.CALL_MISSED, start + 1, stop - start, held=ends)
        yield Mistake(MistakeKind.CALL_DOUBLED, start + 1, stop - start, held=ends)


def _miscounted(group: GroupToSearch, most: int) -> Iterator[Mistake]:
    """Off by 1 to `most`; of a bundle at least one end is left."""
    for off in range(1, most + 1):
        yield Mistake(MistakeKind.BUNDLE, ends=off)
        if off < len(group.expected):
            yield Mistake(MistakeKind.BUNDLE, ends=-off)
        for shaft in sorted({shaft for end in group.expected for shaft in end}):
            yield Mistake(MistakeKind.HEDDLES, ends=off, shaft=shaft)
            yield Mistake(MistakeKind.HEDDLES, ends=-off, shaft=shaft)


def _wrong(end: Shafts, shafts: int) -> Iterator[Shafts]:
    """Every way to be on wrong shafts: one of them exchanged for another, or, of several, one missed."""
    ends, end = held(end), one(end)
    others = [shaft for shaft in range(1, shafts + 1) if shaft not in end]
    for place in range(len(end)):
        for other in others:
            yield tuple(sorted((*end[:place], other, *end[place + 1 :]) * ends))
        if len(end) > 1:
            yield tuple(sorted((*end[:place], *end[place + 1 :]) * ends))


@dataclass(frozen=True, slots=True)
class LeftBehind:
    """What mistakes leave: the shafts on the loom from the first end on, ends over, heddles over on each (not 0)."""

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
    match mistake.kind:
        case MistakeKind.SKIPPED | MistakeKind.CALL_MISSED:
            return Edit(at, after, ())
        case MistakeKind.DOUBLED | MistakeKind.CALL_DOUBLED | MistakeKind.TWO_IN_ONE:
            return Edit(after, after, expected[at:after])
        case MistakeKind.WRONG_SHAFT:
            return Edit(at, after, (mistake.found,))
        case MistakeKind.SWAPPED:
            return Edit(at, at + 2, (expected[at + 1], expected[at]))
        case MistakeKind.ONE_FEWER:
            return Edit(at, after, (fewer(expected[at]),))
        case MistakeKind.ONE_MORE:
            return Edit(at, after, (more(expected[at]),))
        case MistakeKind.PARTED:
            return Edit(at, after, (fewer(expected[at]), one(expected[at])))
        case MistakeKind.JOINED:
            return Edit(at - 1, after, (more(expected[at - 1]),))
        case MistakeKind.FLOATING:
            return Edit(at, at, (mistake.found,))
        case MistakeKind.BUNDLE | MistakeKind.HEDDLES | MistakeKind.UNSEEN:
            return Edit(len(expected), len(expected), ())


def left_by(expected: Ends, *made: Mistake, in_heddles: bool = False, floating: int = 0) -> LeftBehind:
    """What mistakes, in their order and not overlapping, make of a group that should lie as expected.

    The ends of the bundle go, one after another, where the edited order says, until either runs out. `in_heddles` as
    of a GroupToSearch; so many ends of the bundle are to float after the last.
    """
    count = _ends if in_heddles else len
    bundle, order = count(expected) + floating, expected
    heddles: Counter[int] = Counter()
    for mistake in reversed(made):
        change = edit(mistake, expected)
        order = order[: change.start] + change.instead + order[change.stop :]
        heddles.update(_shafts(expected[change.start : change.stop]))
        match mistake.kind:
            case MistakeKind.BUNDLE:
                bundle += mistake.ends
            case MistakeKind.HEDDLES:
                heddles[mistake.shaft] += mistake.ends
            case MistakeKind.TWO_IN_ONE:  # the second end takes no heddle
                pass
            case MistakeKind.FLOATING:  # it is beside those of the draft
                bundle += 1
                heddles.subtract(_shafts(change.instead))
            case _:
                heddles.subtract(_shafts(change.instead))
    edited = counts(heddles)
    loom = hung(order, bundle) if in_heddles else order[:bundle]
    heddles.update(_shafts(order[len(loom) :]))
    return LeftBehind(loom, bundle - floating - count(order), counts(heddles), edited)


def _ends(heddles: Ends) -> int:
    return sum(map(held, heddles))


def _shafts(ends: Ends) -> list[int]:
    return [shaft for end in ends for shaft in one(end)]


def counts(heddles: Mapping[int, int]) -> Counts:
    """Those that are not 0."""
    return frozenset((shaft, count) for shaft, count in heddles.items() if count)
