"""The ways in which a group may read: as expected, with one mistake, or with several; and how far to believe each."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import accumulate

import numpy as np

from assistant.finder.mistakes import RATES, MistakeKind
from assistant.readback.alignment import AHEAD, ANY, Floats, ReadThrough, Whole, align, log_missed, read_out, weights
from assistant.readback.hearing import Hearing
from assistant.warp.notation import Ends, Shafts

MUDDLED = 0.00005  # several mistakes from one end on, for each end: assumption, no source
MOST_MUDDLED = 4  # ends of a muddle after which the threading may be right again


@dataclass(frozen=True, slots=True)
class Threading:
    """A group as expected before end `at` (counted from 0), then `instead`, then as expected from end `on`."""

    kind: MistakeKind | None  # None: nothing is wrong, or more than one thing
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
        yield from _left_out(expected, at, 1, MistakeKind.SKIPPED)
        yield from _repeated(expected, at, 1, MistakeKind.DOUBLED)
        yield from _repeated(expected, at, 1, MistakeKind.TWO_IN_ONE)
        yield from _left_out(expected, at, per_call, MistakeKind.CALL_MISSED)
        yield from _repeated(expected, at, per_call, MistakeKind.CALL_DOUBLED)
        yield from _wrong_shaft(expected, at, shafts)
        yield from _swapped(expected, at)
        yield from _muddled(expected, at)


def _left_out(expected: Ends, at: int, count: int, kind: MistakeKind) -> Iterator[Threading]:
    """`count` ends left out: what follows moves up, and shows once it differs from what it stands in for."""
    on = at + count
    if on > len(expected) or expected[at : at + 1] == expected[on : on + 1]:
        return
    since = at
    while since and expected[since - 1] == expected[since - 1 + count]:
        since -= 1
    yield Threading(kind, at, (), on, RATES[kind] / count * (at - since + 1), since)


def _repeated(expected: Ends, at: int, count: int, kind: MistakeKind) -> Iterator[Threading]:
    """`count` ends twice in a row: what follows moves down, and shows once it differs from what stood there."""
    on = at - count
    if on < 0 or expected[at : at + 1] == expected[on : on + 1]:
        return
    since = on
    while since and expected[since - 1] == expected[since - 1 + count]:
        since -= 1
    yield Threading(kind, at, (), on, RATES[kind] / count * (on - since + 1), since)


def _wrong_shaft(expected: Ends, at: int, shafts: int) -> Iterator[Threading]:
    """One shaft of the end is another, or, of several, is missed."""
    for end in expected[at : at + 1]:
        others = list(_other_shafts(end, shafts))
        for other in others:
            rate = RATES[MistakeKind.WRONG_SHAFT] / len(others)
            yield Threading(MistakeKind.WRONG_SHAFT, at, (other,), at + 1, rate, at)


def _other_shafts(end: Shafts, shafts: int) -> Iterator[Shafts]:
    for place in range(len(end)):
        before, after = end[:place], end[place + 1 :]
        if before or after:
            yield before + after
        yield from ((*before, shaft, *after) for shaft in range(1, shafts + 1) if shaft not in end)


def _swapped(expected: Ends, at: int) -> Iterator[Threading]:
    first, second = expected[at : at + 1], expected[at + 1 : at + 2]
    if second and first != second:
        yield Threading(MistakeKind.SWAPPED, at, second + first, at + 2, RATES[MistakeKind.SWAPPED], at)


def _muddled(expected: Ends, at: int) -> Iterator[Threading]:
    """Anything at all, for a few ends or for the rest of the group; or nothing more."""
    left = len(expected) - at
    lengths = sorted({0, *range(2, min(left, MOST_MUDDLED) + 1), left}) if left else []
    for length in lengths:
        instead = tuple((ANY,) * len(end) for end in expected[at : at + length])
        on = at + length if length else len(expected)
        yield Threading(None, at, instead, on, MUDDLED / len(lengths), at)


@dataclass(frozen=True, slots=True)
class Beliefs:
    """Every threading with its posterior probability; the first is the one expected."""

    threadings: tuple[Threading, ...]
    posterior: Floats

    def at(self, end: int) -> float:
        """That the threading reads otherwise first at this end, counted from 0."""
        return float(sum(self.posterior[number] for number in self._first_at(end)))

    def raised(self, end: int) -> float:
        """How many times as probable that is as before anything was heard."""
        odds = sum(self.threadings[number].odds for number in self._first_at(end))
        return self.at(end) * sum(threading.odds for threading in self.threadings) / odds if odds else 1.0

    def likeliest(self, end: int) -> list[Threading]:
        """The most probable of those that read otherwise first at this end, and others that read the same."""
        here = sorted(self._first_at(end), key=lambda number: -float(self.posterior[number]))
        ways = [self.threadings[number] for number in here]
        return [way for way in ways if (way.instead, way.on) == (ways[0].instead, ways[0].on)]

    def _first_at(self, end: int) -> list[int]:
        return [number for number, threading in enumerate(self.threadings) if number and threading.at == end]


def weigh(
    expected: Ends, shafts: int, per_call: int, confirmed: int, throughs: tuple[ReadThrough, ...], hearing: Hearing
) -> Beliefs:
    """The beliefs about a group of which the first `confirmed` ends are known to read as expected."""
    ends = range(confirmed, max(each.stop(expected) for each in throughs) + 1)
    others = tuple(threadings(expected, shafts, ends, per_call))
    every = (as_expected(expected), *others)
    logs = np.log([threading.odds for threading in every])
    for each in throughs:
        logs += _likelihood(expected, every, each, hearing)
    return Beliefs(every, np.exp(logs - np.logaddexp.reduce(logs)))


def _likelihood(expected: Ends, every: tuple[Threading, ...], one: ReadThrough, hearing: Hearing) -> Floats:
    """The logarithm of the probability of what was heard, for each threading, wherever the reading stopped.

    Where steps were threaded again the group ends with the last step, or as many before it as ends had been counted.
    """
    length = len(one.heard) + AHEAD
    said, lengths = _rows(expected, every, one.start, length)
    last = align(said, weights(one.heard, hearing), np.logaddexp)[-1]
    places = np.arange(length + 1)
    if not one.to_the_end:
        return np.asarray(np.logaddexp.reduce(np.where(places <= lengths[:, np.newaxis], last, -np.inf), axis=1))
    unread = log_missed(hearing) * np.maximum(lengths - length, 0)
    whole = last[np.arange(len(every)), np.minimum(lengths, length)] + unread
    cut = last[np.arange(len(every)), np.minimum(lengths[0], length)] + unread[0]
    may_lack = (lengths > lengths[0]) & ([threading.at < len(expected) for threading in every])
    return np.asarray(np.where(may_lack, np.logaddexp(whole, cut) - np.log(2), whole))


def _rows(expected: Ends, every: tuple[Threading, ...], start: int, length: int) -> tuple[Whole, Whole]:
    """[threading, number]: what each threading reads from end `start` on; and how many numbers that is in all."""
    flat = read_out(expected)
    offsets = list(accumulate(map(len, expected), initial=0))
    rows = np.zeros((len(every), length), dtype=np.int64)
    lengths = np.empty(len(every), dtype=np.int64)
    for row, threading in enumerate(every):
        instead = read_out(threading.instead)
        before, after = offsets[threading.at], offsets[threading.on]
        kept = flat[offsets[start] : min(before, offsets[start] + length)]
        read = (kept + instead + flat[after : after + length])[:length]
        rows[row, : len(read)] = read
        lengths[row] = before - offsets[start] + len(instead) + len(flat) - after
    return rows, lengths
