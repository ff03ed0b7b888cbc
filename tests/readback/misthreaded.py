"""Threadings with one mistake, made as a weaver makes it: for the tests of reading back."""

from collections.abc import Iterator
from random import Random

from assistant.finder.mistakes import MistakeKind
from assistant.warp.notation import Ends, Shafts

PER_CALL = 4
KINDS = (
    MistakeKind.SKIPPED, MistakeKind.DOUBLED, MistakeKind.TWO_IN_ONE, MistakeKind.WRONG_SHAFT, MistakeKind.SWAPPED,
    MistakeKind.CALL_MISSED, MistakeKind.CALL_DOUBLED,
)  # fmt: skip


def mistaken(expected: Ends, kind: MistakeKind, shafts: int, random: Random) -> Ends:
    """The group with a mistake at any end, or call, of it; perhaps one that cannot be seen."""
    at = random.randrange(len(expected))
    call = at - at % PER_CALL
    match kind:
        case MistakeKind.SKIPPED:
            return expected[:at] + expected[at + 1 :]
        case MistakeKind.DOUBLED | MistakeKind.TWO_IN_ONE:
            return _cut(expected[: at + 1] + expected[at:], len(expected), random)
        case MistakeKind.WRONG_SHAFT:
            return (*expected[:at], random.choice(list(_wrong(expected[at], shafts))), *expected[at + 1 :])
        case MistakeKind.SWAPPED:
            return expected[:at] + expected[at : at + 2][::-1] + expected[at + 2 :]
        case MistakeKind.CALL_MISSED:
            return expected[:call] + expected[call + PER_CALL :]
        case MistakeKind.CALL_DOUBLED:
            return _cut(expected[: call + PER_CALL] + expected[call:], len(expected), random)
    raise ValueError(kind)


def first_difference(expected: Ends, real: Ends) -> int:
    """The first end, counted from 1, that is otherwise; 0 where none is."""
    for end, (was, should) in enumerate(zip((*real, ()), (*expected, ()), strict=False), 1):
        if was != should:
            return end
    return 0


def _cut(real: Ends, size: int, random: Random) -> Ends:
    """A group runs out of ends where they were counted out, or takes as many more."""
    return real[: random.choice((size, len(real)))]


def _wrong(end: Shafts, shafts: int) -> Iterator[Shafts]:
    for place in range(len(end)):
        yield from ((*end[:place], to, *end[place + 1 :]) for to in range(1, shafts + 1) if to not in end)
