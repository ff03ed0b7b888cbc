"""What is believed of a short group, against every mistake and every alignment written out."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import cache
from math import prod

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.finder.mistakes import RATES, MistakeKind
from assistant.readback.alignment import ANY, ReadThrough, read_out
from assistant.readback.hearing import Hearing, assumed
from assistant.readback.threadings import MUDDLED, weigh
from assistant.warp.notation import Ends

SHAFTS = 5
PER_CALL = 2
HEARING = assumed(SHAFTS)


@cache
def chance(said: tuple[int, ...], heard: tuple[int, ...], hearing: Hearing) -> float:
    """That these numbers, all said, are heard as those: the sum over every alignment, written out."""
    return sum(prod(steps) for steps in _alignments(said, heard, hearing))


def _alignments(said: tuple[int, ...], heard: tuple[int, ...], hearing: Hearing) -> Iterator[list[float]]:
    if not said and not heard:
        yield []
    if said:
        missed = hearing.missed * (1 - hearing.spurious)
        yield from ([missed, *rest] for rest in _alignments(said[1:], heard, hearing))
    if heard:
        yield from ([hearing.spurious / SHAFTS, *rest] for rest in _alignments(said, heard[1:], hearing))
    if said and heard:
        now = _heard(said[0], heard[0], hearing)
        yield from ([now, *rest] for rest in _alignments(said[1:], heard[1:], hearing))
    if len(said) > 1 and len(heard) > 1:
        now = hearing.turned * _heard(said[0], heard[1], hearing) * _heard(said[1], heard[0], hearing)
        yield from ([now, *rest] for rest in _alignments(said[2:], heard[2:], hearing))


def _heard(said: int, heard: int, hearing: Hearing) -> float:
    """One number said, and not missed."""
    table = 1 / SHAFTS if said == ANY else hearing.confusion[said - 1][heard - 1]
    return table * (1 - hearing.missed - hearing.turned) * (1 - hearing.spurious)


def single_mistakes(expected: Ends) -> Iterator[tuple[Ends, float, bool]]:
    """What each leaves, how often it is made, and whether a step is repeated, end by end and call by call."""
    n = len(expected)
    for at in range(n):
        before, end, after = expected[:at], expected[at], expected[at + 1 :]
        yield before + after, RATES[MistakeKind.SKIPPED], False
        yield (*before, end, end, *after), RATES[MistakeKind.DOUBLED] + RATES[MistakeKind.TWO_IN_ONE], True
        wrong = [(other,) for other in range(1, SHAFTS + 1) if (other,) != end]
        yield from (((*before, other, *after), RATES[MistakeKind.WRONG_SHAFT] / len(wrong), False) for other in wrong)
        if after:
            yield (*before, after[0], end, *after[1:]), RATES[MistakeKind.SWAPPED], False
        if at + PER_CALL <= n:
            upto = at + PER_CALL
            yield before + expected[upto:], RATES[MistakeKind.CALL_MISSED] / PER_CALL, False
            yield expected[:upto] + expected[at:], RATES[MistakeKind.CALL_DOUBLED] / PER_CALL, True
        lengths = {0, *range(2, min(4, n - at) + 1), n - at}
        for length in lengths:
            rest = expected[at + length :] if length else ()
            yield (*before, *[(ANY,)] * length, *rest), MUDDLED / len(lengths), False


def by_hand(expected: Ends, confirmed: int, passes: Sequence[ReadThrough]) -> dict[Ends, float]:
    """Each threading that reads as expected before end `confirmed` -> its posterior probability."""
    priors: dict[tuple[Ends, bool], float] = defaultdict(float)
    for real, rate, repeats in single_mistakes(expected):
        if real != expected and real[:confirmed] == expected[:confirmed]:
            priors[real, repeats] += rate
    priors[expected, False] = 1.0
    weights: dict[Ends, float] = defaultdict(float)
    for (real, repeats), prior in priors.items():
        weights[real] += prior * prod(_of_pass(expected, real, repeats, one) for one in passes)
    total = sum(weights.values())
    return {real: weight / total for real, weight in weights.items()}


def _of_pass(expected: Ends, real: Ends, repeats: bool, one: ReadThrough) -> float:
    said = tuple(read_out(real[one.start :]))
    if not one.to_the_end:
        return sum(chance(said[:stop], one.heard, HEARING) for stop in range(len(said) + 1))
    whole = chance(said, one.heard, HEARING)
    if not repeats or real[: len(expected)] == expected:
        return whole
    return (whole + chance(said[: len(expected) - one.start], one.heard, HEARING)) / 2


shafts = st.integers(1, SHAFTS)
heard = st.lists(shafts, min_size=3, max_size=5).map(tuple)


@settings(max_examples=15, deadline=None)
@given(st.data(), st.lists(shafts, min_size=2, max_size=5), heard, heard, st.booleans())
def test_beliefs_are_those_of_every_mistake_and_every_alignment_written_out(
    data: st.DataObject, group: list[int], first: tuple[int, ...], second: tuple[int, ...], ended: bool
) -> None:
    expected = tuple((shaft,) for shaft in group)
    confirmed = data.draw(st.integers(0, len(expected) - 1))
    passes = (ReadThrough(0, first), ReadThrough(confirmed, second, to_the_end=ended))
    beliefs = weigh(expected, SHAFTS, PER_CALL, confirmed, passes, HEARING)
    believed: dict[Ends, float] = defaultdict(float)
    for way, probability in zip(beliefs.threadings, beliefs.posterior, strict=True):
        believed[expected[: way.at] + way.instead + expected[way.on :]] += float(probability)
    assert believed == pytest.approx(by_hand(expected, confirmed, passes))


def test_a_second_hearing_multiplies_the_evidence() -> None:
    expected = ((1,), (2,), (3,), (4,))
    once = ReadThrough(0, (1, 2, 5, 4))
    beliefs = [weigh(expected, SHAFTS, PER_CALL, 0, (once,) * times, HEARING).at(2) for times in (1, 2, 3)]
    assert beliefs[0] < 0.2
    assert 0.8 < beliefs[1] < 0.98 < beliefs[2]
