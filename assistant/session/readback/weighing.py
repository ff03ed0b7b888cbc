"""How much each way of threading a group is to be believed, after all that was heard of it."""

from dataclasses import dataclass
from itertools import accumulate

import numpy as np

from assistant.session.readback.alignment import Floats, Whole, align
from assistant.session.readback.hearing import Hearing
from assistant.session.readback.passes import AHEAD, Pass
from assistant.session.readback.steps import log_missed, weights
from assistant.session.readback.threadings import Threading, as_expected, read_out, threadings
from assistant.warp.notation import Ends


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
    expected: Ends, shafts: int, per_call: int, confirmed: int, passes: tuple[Pass, ...], hearing: Hearing
) -> Beliefs:
    """The beliefs about a group of which the first `confirmed` ends are known to read as expected."""
    ends = range(confirmed, max(each.stop(expected) for each in passes) + 1)
    others = tuple(threadings(expected, shafts, ends, per_call))
    every = (as_expected(expected), *others)
    logs = np.log([threading.odds for threading in every])
    for each in passes:
        logs += _likelihood(expected, every, each, hearing)
    return Beliefs(every, np.exp(logs - np.logaddexp.reduce(logs)))


def _likelihood(expected: Ends, every: tuple[Threading, ...], one: Pass, hearing: Hearing) -> Floats:
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
