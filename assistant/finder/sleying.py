"""The single mistakes made in sleying a group, how often each is made, and what they leave in the reed.

The weaver takes the ends in their order, dent by dent, as the calls go. Dents and ends count from 1, the first of the
group; an end that was threaded is never over in the reed, so a mistake shows in the dent that the group ends in.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import chain, pairwise, repeat

from assistant.warp.notation import Ends


@dataclass(frozen=True, slots=True)
class Sleying:
    """A group as it should lie in the reed."""

    due: tuple[int, ...]  # ends of the group in each dent, 0 where one is left empty
    shafts: Ends  # of every end
    marks: tuple[int, ...] = ()  # dents after which a mark lies, an inch or 2 cm from the last

    def first_end(self, dent: int) -> int:
        """The end that should be the first in a dent, or in the next one that holds any."""
        return sum(self.due[: dent - 1]) + 1


class SleyMistake(StrEnum):
    """A kind of mistake; `ELSE` is none of those named."""

    SKIPPED = "dent skipped"  # one or more are left empty, all that follow lie further on
    DOUBLED = "dent doubled"  # the ends of the next dent are in it, too
    CROWDED = "dent crowded"  # one end too many is in it: the next lie one end early
    THIN = "dent thin"  # one end too few is in it
    GAP_MISSED = "gap missed"  # a dent that is to be empty was not left so
    CROSSED = "ends crossed"  # the last end of a dent and the first of the next have changed places
    MISREAD = "number misread"  # all lies as it should
    ELSE = "something else"


# Mistakes for each dent sleyed: assumption, no source.
RATES = {
    SleyMistake.SKIPPED: 0.004,
    SleyMistake.DOUBLED: 0.002,
    SleyMistake.CROWDED: 0.002,
    SleyMistake.THIN: 0.001,
    SleyMistake.GAP_MISSED: 0.004,
    SleyMistake.CROSSED: 0.002,
}
MISREAD = 0.02  # for a group: that the number of a dent was told wrong
FURTHER = 0.25  # a skip of one dent more, to that of one less
LONGEST = 4  # dents skipped at once, unless more are over


@dataclass(frozen=True, slots=True)
class InDents:
    """A mistake, how likely it is, and what it leaves: the ends in each dent, in order but for a crossed pair."""

    mistake: SleyMistake
    dent: int  # the first that is not as it should be, 0 where all are
    weight: float
    held: tuple[int, ...]
    crossed: tuple[int, int] = (0, 0)  # the dents whose last and first end have changed places

    def over(self, group: Sleying) -> int:
        """Dents by which the group ends too far; short of its dent: negative."""
        return len(self.held) - len(group.due)


def in_dents(group: Sleying, over: int) -> Iterator[InDents]:
    """Every single mistake, each that leaves something of its own; one that does not fit the dents over counts less."""
    found: dict[object, InDents] = {}
    for each in chain(_misread(group), _crossed(group), _dealt_otherwise(group, max(LONGEST, over))):
        fitting = each if each.over(group) == over else replace(each, weight=each.weight * MISREAD)
        known = found.setdefault((each.held, each.crossed), fitting)
        if known is not fitting:
            likeliest = max(known, fitting, key=lambda one: one.weight)
            found[each.held, each.crossed] = replace(likeliest, weight=known.weight + fitting.weight)
    yield from found.values()


def _misread(group: Sleying) -> Iterator[InDents]:
    yield InDents(SleyMistake.MISREAD, 0, MISREAD, group.due)


def _crossed(group: Sleying) -> Iterator[InDents]:
    used = [dent for dent, ends in enumerate(group.due, 1) if ends]
    for dent, following in pairwise(used):
        rate = RATES[SleyMistake.CROSSED]
        yield InDents(SleyMistake.CROSSED, dent, rate, group.due, (dent, following))


def _dealt_otherwise(group: Sleying, longest: int) -> Iterator[InDents]:
    for mistake, weight, order in _orders(group.due, longest):
        held = _dealt(order, len(group.shafts), max(group.due))
        differing = (dent for dent, (is_, due) in enumerate(zip(held, group.due, strict=False), 1) if is_ != due)
        dent = next(differing, 0)
        if dent:
            yield InDents(mistake, dent, weight, held)


def _orders(due: tuple[int, ...], longest: int) -> Iterator[tuple[SleyMistake, float, tuple[int, ...]]]:
    """How many ends the weaver puts in each dent, by what mistake."""
    for at, ends in enumerate(due):
        before, after = due[:at], due[at + 1 :]
        for skipped in range(1, longest + 1):
            weight = RATES[SleyMistake.SKIPPED] * FURTHER ** (skipped - 1)
            yield SleyMistake.SKIPPED, weight, (*before, *(0,) * skipped, ends, *after)
        if not ends:
            yield SleyMistake.GAP_MISSED, RATES[SleyMistake.GAP_MISSED], (*before, *after)
            continue
        yield SleyMistake.CROWDED, RATES[SleyMistake.CROWDED], (*before, ends + 1, *after)
        if ends > 1:
            yield SleyMistake.THIN, RATES[SleyMistake.THIN], (*before, ends - 1, *after)
        if after and after[0]:
            yield SleyMistake.DOUBLED, RATES[SleyMistake.DOUBLED], (*before, ends + after[0], *after[1:])


def _dealt(order: tuple[int, ...], ends: int, usual: int) -> tuple[int, ...]:
    """The ends in each dent: as ordered, then the usual number, until they are used up."""
    held = []
    for wanted in chain(order, repeat(usual)):
        if not ends:
            break
        held.append(min(wanted, ends))
        ends -= held[-1]
    return tuple(held)
