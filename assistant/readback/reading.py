"""A group being read back: what was heard, what is confirmed, what is to be read again. Ends count from 1."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.finder.mistakes import MistakeKind
from assistant.readback.alignment import ANY, ReadThrough, Traced, trace
from assistant.readback.hearing import Hearing
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


@dataclass(frozen=True, slots=True)
class AskAgain:
    """It cannot be told whether something was misheard or is threaded otherwise: read these ends once more."""

    first: int
    last: int  # may be the one after the last of the group: is there another end?


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

    def __post_init__(self) -> None:
        if max(map(max, self.expected)) > self.shafts or self.shafts > self.hearing.most:
            raise ValueError("the loom has every shaft of the group, and the confusion table every shaft of the loom")

    def hear(self, numbers: Sequence[int]) -> tuple["Reading", Judgement]:
        """Take an utterance, read from `next_end` on. One in which no number was heard is asked for again."""
        if not numbers:
            return self, AskAgain(self.next_end, max(self.next_end, self.asked))
        return self._judged(self._with(tuple(numbers)))

    def finish(self) -> tuple["Reading", Judgement]:
        """The weaver has no further end in this group."""
        throughs = self._with(())
        return self._judged((*throughs[:-1], replace(throughs[-1], to_the_end=True)))

    def back(self, to_end: int) -> "Reading":
        """Begin again at an end, after a repair or from a landmark: what was heard of it and after it is forgotten.

        Begins earlier, at the first end not confirmed, where that is before it.
        """
        to_end = min(to_end, self.confirmed + 1)
        if to_end < 1:
            raise ValueError(f"there is no end {to_end}; ends count from 1")
        return replace(self, confirmed=to_end - 1, next_end=to_end, asked=0, checked=False, throughs=())

    def _with(self, numbers: tuple[int, ...]) -> tuple[ReadThrough, ...]:
        """What was heard, with these numbers in the last one, or, where ends were asked for again, in a new one."""
        if self.throughs and not self.asked:
            return (*self.throughs[:-1], self.throughs[-1].more(numbers))
        return (*self.throughs, ReadThrough(self.next_end - 1, numbers))

    def _judged(self, throughs: tuple[ReadThrough, ...]) -> tuple["Reading", Judgement]:
        beliefs = weigh(self.expected, self.shafts, self.per_call, self.confirmed, throughs, self.hearing)
        traces = [trace(self.expected, one, self.hearing) for one in throughs]
        ended = throughs[-1].to_the_end
        reached = len(self.expected) if ended else max(traced.reached for traced in traces)
        unsure = self._unsure(reached, traces, beliefs)
        here = replace(self, confirmed=min([max(self.confirmed, reached), *unsure]), checked=False)
        for end in range(here.confirmed, reached + 1):
            readings = sum(one.start <= end <= traced.reached for one, traced in zip(throughs, traces, strict=True))
            if readings >= READINGS and beliefs.at(end) >= SURE:
                return here._again(throughs, end), self._difference(end, beliefs, traces)
        if beliefs.at(reached) >= DOUBT if ended else beliefs.raised(reached) > RAISED:
            unsure.append(reached)
        if unsure or (not ended and traces[-1].reached < self.next_end):
            again = here._again(throughs, max(unsure, default=here.confirmed))
            return again, AskAgain(again.next_end, again.asked)
        if ended:
            return replace(here, next_end=reached + 1, asked=0, checked=True, throughs=()), Good(reached, reached + 1)
        return here._read_on(traces)

    def _unsure(self, reached: int, traces: list[Traced], beliefs: Beliefs) -> list[int]:
        """The ends read, counted from 0, not heard as expected often enough, or in which a mistake is to be believed.

        Once is enough, but twice for one that was also heard otherwise: the second reading may be the misheard one.
        """
        right = Counter(end for traced in traces for end in traced.right(self.expected))
        otherwise = {end for traced in traces for end in traced.heard.keys() - traced.right(self.expected)}
        return [
            end
            for end in range(self.confirmed, reached)
            if right[end] < 1 + (end in otherwise) or beliefs.at(end) >= DOUBT
        ]

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
        read = (*likeliest[0].instead, *self.expected[likeliest[0].on :], ())[0]
        kinds = tuple(threading.kind for threading in likeliest if threading.kind)
        if ANY in read:
            read = next((traced.heard[end] for traced in reversed(traces) if end in traced.heard), ())
        expected = (*self.expected, ())[end]
        return Difference(end + 1, likeliest[0].since + 1, expected, read, kinds, beliefs.at(end))
