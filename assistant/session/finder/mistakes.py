"""The single mistakes made in threading a group, and how often each is made."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import chain, pairwise

from assistant.session.finder.group import Group
from assistant.warp.notation import Shafts


class Fault(StrEnum):
    """A kind of mistake."""

    SKIPPED = "skipped"  # an end's step is passed over: the next lie one end early; it and its heddles are over
    DOUBLED = "doubled"  # a step is threaded twice, in two heddles: the next lie one end late; the last lacks
    TWO_IN_ONE = "two in one"  # two ends share a heddle: on the loom as DOUBLED, but no heddle too many is used
    WRONG_SHAFT = "wrong shaft"  # an end is in a heddle of another shaft, or misses one of its shafts; nothing shifts
    SWAPPED = "swapped"  # two neighbours of different shafts are in each other's heddles; no count shows it
    CALL_MISSED = "call missed"  # as SKIPPED, for all ends of a call
    CALL_DOUBLED = "call doubled"  # as DOUBLED, for all ends of a call
    BUNDLE = "bundle"  # the bundle holds too many or too few ends; all there are, are threaded right
    HEDDLES = "heddles"  # too many or too few heddles were counted out on one shaft; all ends are threaded right


# Mistakes for each end, call, group, or shaft of a group threaded: assumption, no source.
RATES: Mapping[Fault, float] = {
    Fault.SKIPPED: 0.003,  # an end
    Fault.DOUBLED: 0.001,
    Fault.TWO_IN_ONE: 0.002,
    Fault.WRONG_SHAFT: 0.003,  # shared out evenly over the ways to be wrong
    Fault.SWAPPED: 0.002,
    Fault.CALL_MISSED: 0.002,  # a call
    Fault.CALL_DOUBLED: 0.002,
    Fault.BUNDLE: 0.010,  # a group: off by one end; half as often by two, and so on
    Fault.HEDDLES: 0.005,  # a shaft: likewise
}
FURTHER = 0.5
USUALLY_OFF = 4  # ends or heddles by which a counting is off at most, unless more were observed
STAYING = frozenset({Fault.WRONG_SHAFT, Fault.SWAPPED, Fault.HEDDLES})  # these shift no end


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake in a group. `ends` is how many ends (or heddles) it is about: over positive, short negative."""

    fault: Fault
    at: int = 0  # the first end concerned, from 1; 0 where it lies in no end
    ends: int = 1
    found: Shafts = ()  # WRONG_SHAFT: where the end is instead
    shaft: int = 0  # HEDDLES: of which shaft

    @property
    def rate(self) -> float:
        """How often it is made, before WRONG_SHAFT is shared out."""
        rate = RATES[self.fault]
        return rate * FURTHER ** (abs(self.ends) - 1) if self.fault in (Fault.BUNDLE, Fault.HEDDLES) else rate


def mistakes(group: Group, most_off: int = 0) -> Iterator[tuple[Mistake, float]]:
    """Every single mistake in a group, with its rate; a counting may be off by USUALLY_OFF, or by `most_off`."""
    plain = chain(_at_ends(group), _at_calls(group), _miscounted(group, max(most_off, USUALLY_OFF)))
    yield from ((each, each.rate) for each in plain)
    for at, end in enumerate(group.expected, 1):
        wrong = [Mistake(Fault.WRONG_SHAFT, at, found=found) for found in _wrong(end, group.shafts)]
        yield from ((each, each.rate / len(wrong)) for each in wrong)


def _at_ends(group: Group) -> Iterator[Mistake]:
    for at in range(1, len(group.expected) + 1):
        yield Mistake(Fault.SKIPPED, at)
        yield Mistake(Fault.DOUBLED, at)
    for at, (end, following) in enumerate(pairwise(group.expected), 1):
        yield Mistake(Fault.TWO_IN_ONE, at)
        if end != following:
            yield Mistake(Fault.SWAPPED, at)


def _at_calls(group: Group) -> Iterator[Mistake]:
    for start, stop in pairwise((*group.call_starts, len(group.expected))):
        yield Mistake(Fault.CALL_MISSED, start + 1, stop - start)
        yield Mistake(Fault.CALL_DOUBLED, start + 1, stop - start)


def _miscounted(group: Group, most: int) -> Iterator[Mistake]:
    """Off by 1 to `most`; of a bundle at least one end is left."""
    for off in range(1, most + 1):
        yield Mistake(Fault.BUNDLE, ends=off)
        if off < len(group.expected):
            yield Mistake(Fault.BUNDLE, ends=-off)
        for shaft in sorted({shaft for end in group.expected for shaft in end}):
            yield Mistake(Fault.HEDDLES, ends=off, shaft=shaft)
            yield Mistake(Fault.HEDDLES, ends=-off, shaft=shaft)


def _wrong(end: Shafts, shafts: int) -> Iterator[Shafts]:
    """Every way to be on wrong shafts: one of them exchanged for another, or, of several, one missed."""
    others = [shaft for shaft in range(1, shafts + 1) if shaft not in end]
    for place in range(len(end)):
        for other in others:
            yield tuple(sorted((*end[:place], other, *end[place + 1 :])))
        if len(end) > 1:
            yield (*end[:place], *end[place + 1 :])
