"""A group being read back: what was heard, what is confirmed, what is to be read again. Ends count from 1."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from assistant.finder.mistakes import MistakeKind
from assistant.readback.alignment import ANY, ReadThrough, Traced, trace
from assistant.readback.hearing import NO_HEDDLE, Hearing, TypedShaft
from assistant.readback.threadings import Beliefs, weigh
from assistant.warp.notation import Ends, Shafts

DOUBT = 0.002  # a belief in a mistake below this is none
SURE = 0.98  # a belief in a mistake from this on is reported
RAISED = 3.0  # what was heard speaks this much for a mistake at the next end: too much to leave it at that
READINGS = 2  # of an end before a mistake in it is reported: in one the weaver may have lost the place


@dataclass(frozen=True, slots=True)
class Good:
    """Everything read so far is as expected."""

    confirmed: int  # ends of the group known to be right, all from the first on
    next_end: int  # where the weaver is taken to read on; the end after the last at the end of the group


class Why(StrEnum):
    """Why an end is asked for again."""

    OTHERWISE = "otherwise"  # it was read otherwise than expected
    UNREAD = "unread"  # nothing was read of it
    ONCE_MORE = "once more"  # it was read as expected, and otherwise before
    UNLIKELY = "unlikely"  # what was read around it does not fit what is expected
    TOO_MANY = "too many"  # the group has no such end


@dataclass(frozen=True, slots=True)
class AskAgain:
    """It cannot be told whether something was misheard or is threaded otherwise: read these ends once more."""

    first: int
    last: int  # may be the one after the last of the group: is there another end?
    why: Why = field(default=Why.UNREAD, compare=False)  # the first of them is asked for
    read: Shafts = field(default=(), compare=False)  # of the first of them


@dataclass(frozen=True, slots=True)
class Difference:
    """The threading is not as expected."""

    end: int  # the first end that reads otherwise; the one after the last where there are ends too many
    since: int  # the mistake may as well have been made at any end from this one on: they read the same
    expected: Shafts  # () beyond the end of the group
    read: Shafts  # () where no end is left to read
    kinds: tuple[MistakeKind, ...]  # the likeliest, with those that read the same; () where several are wrong
    belief: float  # the probability that the threading differs at this end


Judgement = Good | AskAgain | Difference


@dataclass(frozen=True, slots=True)
class Reading:
    """A group and everything heard of it so far."""

    expected: Ends
    shafts: int  # on the loom
    hearing: Hearing
    per_call: int = 4  # ends called at a time when the group was threaded
    confirmed: int = 0  # ends known to be right, all from the first on
    next_end: int = 1  # where the weaver is taken to read next, counted from 1
    asked: int = 0  # the last end asked for again, counted from 1; 0 where the weaver simply reads on
    checked: bool = False  # every end was confirmed, and the weaver found no further one
    throughs: tuple[ReadThrough, ...] = ()  # what was heard and is not settled
    begun: tuple[int, ...] = ()  # typed of an end of which more shafts are to come
    as_before: bool = False  # judged as in journals up to version 6: what was right once stays so when asked again

    def __post_init__(self) -> None:
        if max(map(max, self.expected)) > self.shafts or self.shafts > self.hearing.most:
            raise ValueError("the loom has every shaft of the group, and the confusion table every shaft of the loom")

    def hear(self, numbers: Sequence[int]) -> tuple["Reading", Judgement]:
        """Take an utterance, read from `next_end` on. One in which no number was heard is asked for again.

        Numbers that were typed are `TypedShaft`; such an end is taken when all its shafts are.
        """
        if not numbers:
            return self, AskAgain(self.next_end, max(self.next_end, self.asked))
        numbers = (*self.begun, *numbers)
        shafts = max(map(len, self.expected[self.next_end - 1 : self.next_end]), default=0)
        if _typed(numbers) and len(numbers) < shafts:
            if numbers[-1] != NO_HEDDLE:
                return replace(self, begun=numbers), Good(self.confirmed, self.next_end)
            numbers = (TypedShaft(NO_HEDDLE),) * shafts
        return replace(self, begun=())._judged(self._with(numbers))

    def finish(self) -> tuple["Reading", Judgement]:
        """The weaver has no further end in this group."""
        throughs = self._with(self.begun)
        return replace(self, begun=())._judged((*throughs[:-1], replace(throughs[-1], to_the_end=True)))

    def back(self, to_end: int) -> "Reading":
        """Begin again at an end, after a repair or from a landmark: what was heard of it and after it is forgotten.

        Begins earlier, at the first end not confirmed, where that is before it.
        """
        to_end = min(to_end, self.confirmed + 1)
        if to_end < 1:
            raise ValueError(f"there is no end {to_end}; ends count from 1")
        return replace(self, confirmed=to_end - 1, next_end=to_end, asked=0, checked=False, throughs=(), begun=())

    @property
    def unsettled(self) -> bool:
        """Something was read that is not confirmed."""
        return bool(self.asked or self.begun or any(one.heard or one.to_the_end for one in self.throughs))

    def _with(self, numbers: tuple[int, ...]) -> tuple[ReadThrough, ...]:
        """What was heard, with these numbers in the last one, or, where ends were asked for again, in a new one."""
        if self.throughs and not self.asked:
            return (*self.throughs[:-1], self.throughs[-1].more(numbers))
        return (*self.throughs, ReadThrough(self.next_end - 1, numbers))

    def _judged(self, throughs: tuple[ReadThrough, ...]) -> tuple["Reading", Judgement]:
        beliefs = weigh(self.expected, self.shafts, self.per_call, self.confirmed, throughs, self.hearing)
        traces = [trace(self.expected, one, self.hearing, set_right=self.as_before) for one in throughs]
        ended = throughs[-1].to_the_end
        reached = len(self.expected) if ended else max(traced.reached for traced in traces)
        unsure = self._unsure(reached, traces, beliefs)
        here = replace(self, confirmed=min([max(self.confirmed, reached), *unsure]), checked=False)
        for end in range(here.confirmed, reached + 1):
            readings = sum(one.start <= end <= traced.reached for one, traced in zip(throughs, traces, strict=True))
            if (readings >= READINGS and beliefs.at(end) >= SURE) or self._surely_otherwise(end, traces):
                return here._again(throughs, end), self._difference(end, beliefs, traces)
        if beliefs.at(reached) >= DOUBT if ended else beliefs.raised(reached) > RAISED or self._too_many(traces[-1]):
            unsure.append(reached)
        if unsure or (not ended and traces[-1].reached < self.next_end):
            again = here._again(throughs, max(unsure, default=here.confirmed))
            return again, AskAgain(again.next_end, again.asked, *self._why(here.confirmed, traces))
        if ended:
            return replace(here, next_end=reached + 1, asked=0, checked=True, throughs=()), Good(reached, reached + 1)
        return here._read_on(traces)

    def _unsure(self, reached: int, traces: list[Traced], beliefs: Beliefs) -> list[int]:
        """The ends read, counted from 0, not read as expected often enough, or in which a mistake is to be believed.

        Once is enough, but twice for one that was also heard otherwise: the second reading may be the misheard one.
        What was typed last is what it says. One that was asked for again is right only when it was read right since.
        """
        right = Counter(end for traced in traces for end in traced.right(self.expected))
        otherwise = {end for traced in traces for end in traced.heard.keys() - traced.right(self.expected)}
        typed = {end: heard == self.expected[end] for end, heard in _all_typed(traces)}
        asked = range(0 if self.as_before else self.asked)
        unread = set(asked) - traces[-1].right(self.expected)
        return [
            end
            for end in range(self.confirmed, reached)
            if end in unread
            or (not typed.get(end) and (right[end] < 1 + (end in otherwise) or beliefs.at(end) >= DOUBT))
        ]

    def _surely_otherwise(self, end: int, traces: list[Traced]) -> bool:
        """It was typed otherwise twice, and alike; or twice a further end was read after the last of the group."""
        if end == len(self.expected):
            return sum(map(self._too_many, traces)) >= READINGS
        typed = Counter(heard for at, heard in _all_typed(traces) if at == end and heard != self.expected[end])
        return max(typed.values(), default=0) >= READINGS

    def _too_many(self, traced: Traced) -> bool:
        """More was read than the group has ends."""
        return not self.as_before and traced.reached == len(self.expected) and bool(traced.rest)

    def _why(self, end: int, traces: list[Traced]) -> tuple[Why, Shafts]:
        """Why an end, counted from 0, is asked for again, and what was read of it last."""
        if end == len(self.expected):
            return Why.TOO_MANY, traces[-1].rest
        heard = next((traced.heard[end] for traced in reversed(traces) if end in traced.heard), ())
        if heard != self.expected[end]:
            return (Why.OTHERWISE if heard else Why.UNREAD), heard
        before = any(traced.heard.get(end, heard) != heard for traced in traces)
        return (Why.ONCE_MORE if before else Why.UNLIKELY), heard

    def _read_on(self, traces: list[Traced]) -> tuple["Reading", Judgement]:
        """On from where the weaver is: at the furthest end, if only what was asked for was read again."""
        current = traces[-1]
        if current.reached <= self.asked:
            current = max(traces, key=lambda traced: traced.reached)
        next_end = current.reached + 1
        throughs = (ReadThrough(current.reached, current.rest),)
        return replace(self, next_end=next_end, asked=0, throughs=throughs), Good(self.confirmed, next_end)

    def _again(self, throughs: tuple[ReadThrough, ...], last: int) -> "Reading":
        """The same, with the ends from the first not confirmed up to `last`, counted from 0, asked for again."""
        return replace(self, next_end=self.confirmed + 1, asked=max(self.confirmed, last) + 1, throughs=throughs)

    def _difference(self, end: int, beliefs: Beliefs, traces: list[Traced]) -> Difference:
        likeliest = beliefs.likeliest(end)
        read = (*likeliest[0].instead, *self.expected[likeliest[0].on :], ())[0] if likeliest else (ANY,)
        kinds = tuple(threading.kind for threading in likeliest if threading.kind)
        since = likeliest[0].since if likeliest else end
        expected = (*self.expected, ())[end]
        if self._surely_otherwise(end, traces):
            read = self._why(end, traces)[1]
            return Difference(end + 1, since + 1, expected, read, kinds, 1.0)
        if ANY in read:
            read = next((traced.heard[end] for traced in reversed(traces) if end in traced.heard), ())
        return Difference(end + 1, since + 1, expected, read, kinds, beliefs.at(end))


def _typed(numbers: Sequence[int]) -> bool:
    return bool(numbers) and all(isinstance(number, TypedShaft) for number in numbers)


def _all_typed(traces: list[Traced]) -> Iterator[tuple[int, Shafts]]:
    """The ends that were typed, counted from 0, with what was typed of them, in the order in which that was done."""
    return ((end, heard) for traced in traces for end, heard in traced.heard.items() if _typed(heard))
