"""The ways in which a group may read: as expected, with one mistake, or with several close together."""

from collections.abc import Iterator
from dataclasses import dataclass

from assistant.session.finder.mistakes import RATES, Fault
from assistant.warp.notation import Ends, Shafts

ANY = 0  # in place of a shaft: any shaft at all
MUDDLED = 0.00005  # several mistakes from one end on, for each end: assumption, no source
MOST_MUDDLED = 4  # ends of a muddle after which the threading may be right again


@dataclass(frozen=True, slots=True)
class Threading:
    """A group as expected before end `at` (counted from 0), then `instead`, then as expected from end `on`."""

    fault: Fault | None  # None: nothing is wrong, or more than one thing
    at: int  # the first end that reads otherwise than expected
    instead: Ends
    on: int
    odds: float  # beforehand, to the threading expected
    since: int  # made at any end from this one to `at`, the mistake reads the same


def as_expected(expected: Ends) -> Threading:
    """The threading without a mistake."""
    return Threading(None, len(expected), (), len(expected), 1.0, len(expected))


def threadings(expected: Ends, shafts: int, ends: range, per_call: int) -> Iterator[Threading]:
    """All others that show first at one of these ends; the end after the last is one. `per_call` ends were called."""
    for at in ends:
        yield from _left_out(expected, at, 1, Fault.SKIPPED, RATES[Fault.SKIPPED])
        yield from _repeated(expected, at, 1, Fault.DOUBLED, RATES[Fault.DOUBLED])
        yield from _repeated(expected, at, 1, Fault.TWO_IN_ONE, RATES[Fault.TWO_IN_ONE])
        yield from _left_out(expected, at, per_call, Fault.CALL_MISSED, RATES[Fault.CALL_MISSED] / per_call)
        yield from _repeated(expected, at, per_call, Fault.CALL_DOUBLED, RATES[Fault.CALL_DOUBLED] / per_call)
        yield from _wrong_shaft(expected, at, shafts)
        yield from _swapped(expected, at)
        yield from _muddled(expected, at)


def _left_out(expected: Ends, at: int, count: int, fault: Fault, rate: float) -> Iterator[Threading]:
    """`count` ends left out: what follows moves up, and shows once it differs from what it stands in for."""
    on = at + count
    if on > len(expected) or expected[at : at + 1] == expected[on : on + 1]:
        return
    since = at
    while since and expected[since - 1] == expected[since - 1 + count]:
        since -= 1
    yield Threading(fault, at, (), on, rate * (at - since + 1), since)


def _repeated(expected: Ends, at: int, count: int, fault: Fault, rate: float) -> Iterator[Threading]:
    """`count` ends twice in a row: what follows moves down, and shows once it differs from what stood there."""
    on = at - count
    if on < 0 or expected[at : at + 1] == expected[on : on + 1]:
        return
    since = on
    while since and expected[since - 1] == expected[since - 1 + count]:
        since -= 1
    yield Threading(fault, at, (), on, rate * (on - since + 1), since)


def _wrong_shaft(expected: Ends, at: int, shafts: int) -> Iterator[Threading]:
    """One shaft of the end is another, or, of several, is missed."""
    for end in expected[at : at + 1]:
        others = list(_other_shafts(end, shafts))
        for other in others:
            yield Threading(Fault.WRONG_SHAFT, at, (other,), at + 1, RATES[Fault.WRONG_SHAFT] / len(others), at)


def _other_shafts(end: Shafts, shafts: int) -> Iterator[Shafts]:
    for place in range(len(end)):
        before, after = end[:place], end[place + 1 :]
        if before or after:
            yield before + after
        yield from ((*before, shaft, *after) for shaft in range(1, shafts + 1) if shaft not in end)


def _swapped(expected: Ends, at: int) -> Iterator[Threading]:
    first, second = expected[at : at + 1], expected[at + 1 : at + 2]
    if second and first != second:
        yield Threading(Fault.SWAPPED, at, second + first, at + 2, RATES[Fault.SWAPPED], at)


def _muddled(expected: Ends, at: int) -> Iterator[Threading]:
    """Anything at all, for a few ends or for the rest of the group; or nothing more."""
    left = len(expected) - at
    lengths = sorted({0, *range(2, min(left, MOST_MUDDLED) + 1), left}) if left else []
    for length in lengths:
        instead = tuple((ANY,) * len(end) for end in expected[at : at + length])
        on = at + length if length else len(expected)
        yield Threading(None, at, instead, on, MUDDLED / len(lengths), at)


def read_out(ends: Ends) -> list[int]:
    """The shafts as they are read out, one after another."""
    return [shaft for end in ends for shaft in end]
