"""From what lies on the loom to what sets it right."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from operator import ne

from assistant.finder.heddle import fewer, held, more, one
from assistant.warp.notation import Ends, Shafts

NEW_END = 6  # ends worth threading again to spare hanging a new one over the back: assumption, no source
MOST_TAKEN_OUT = 12  # ends worth threading again to spare a repair heddle: assumption, no source


class Way(StrEnum):
    """How a group is set right."""

    NOTHING = "nothing"  # every end is where it should be: only the count was off
    THREAD_ON = "thread on"  # what is there is right: thread the ends that lack, nothing comes out
    REDO = "redo"  # take ends out and thread them again
    REPAIR_HEDDLE = "repair heddle"  # put one heddle in between, for the end in hand or a new one
    MOVE = "move"  # take out only the ends that are on a wrong shaft, or in the way, each threaded where it hangs
    LAY_ASIDE = "lay aside"  # take one end out for good, and hang a new one as the last
    ADD_END = "add end"  # hang a new end in a heddle that lacks one of several
    ONE_OUT = "one out"  # as LAY_ASIDE, of the ends in one heddle
    JOIN = "join"  # an end that is in a heddle of its own goes to those in the one before
    PART = "part"  # one of the ends in a heddle gets the next, its own, which is put in between
    FREE = "free"  # take an end out of its heddle, and let it hang in none
    LEAVE = "leave"  # leave it as it hangs, and mark the group


@dataclass(frozen=True, slots=True)
class Repair:
    """Take `taken_out` ends out from end `first` on, then thread `threaded` ends from end `first` as expected."""

    way: Way
    first: int = 0  # from 1, counted from the first end of the group; 0 where nothing is to be done
    taken_out: int = 0
    threaded: int = 0
    heddle: Shafts = ()  # REPAIR_HEDDLE: the shafts it, or they, go on


def repair(expected: Ends, loom: Ends, over: int, yarns: Sequence[str] = ()) -> Repair:
    """What sets the loom right, ends being taken out in one row; `yarns` of the ends expected, none where alike.

    A repair heddle is the better way for one end on a wrong shaft, or for one end skipped before ends of one yarn,
    where more than MOST_TAKEN_OUT ends would have to come out.
    """
    if loom == expected:
        return Repair(Way.NOTHING)
    anew = redone(expected, loom, over)
    first, lacking = anew.first, len(expected) - len(loom)
    ways = (0, 1) if alike(yarns[first - 1 :]) else (1,)
    for out in ways:  # to take out: none for an end skipped, one for an end on a wrong shaft
        by_itself = over == lacking == 1 - out and loom[first - 1 + out :] == expected[first:]
        if by_itself and anew.taken_out > MOST_TAKEN_OUT:
            return Repair(Way.REPAIR_HEDDLE, first, out, 1, expected[first - 1])
    return anew


def in_place(expected: Ends, loom: Ends, over: int, yarns: Sequence[str] = ()) -> Repair | None:
    """What sets right the ends of one heddle, or of two beside each other, where all others may stay; None elsewhere.

    Heddles as in `heddle.py`.
    """
    first = _right(expected, loom) + 1
    there, due = loom[first - 1 : first + 1], expected[first - 1 : first + 1]
    after, due_after = loom[first:], expected[first:]
    beside_all = over == 0 and len(loom) == len(expected) + 1 and expected in (loom[1:], loom[:-1])
    if beside_all and held(there[0]) == 1:
        place = 1 if loom[1:] == expected and first == 1 else len(loom)
        return Repair(Way.FREE, place, 1, 0, one(loom[first - 1]))
    if not there or not due:
        return None
    lasting = alike(yarns[first - 1 :])
    if over == 1 and there[0] == fewer(due[0]) and after == due_after and lasting:
        return Repair(Way.ADD_END, first, 1, 1, one(due[0]))
    if over == 0 and there == (fewer(due[0]), one(due[0])) and after[1:] == due_after:
        return Repair(Way.JOIN, first, 2, 1, one(due[0]))
    return None


def shared(expected: Ends, loom: Ends, over: int) -> bool:
    """An end is in the heddle before its own, and no other is wrong."""
    first = _right(expected, loom)
    due = expected[first : first + 2]
    alone = len(due) == 2 and held(due[1]) == 1
    return over == 0 and alone and loom[first:] == (more(due[0]), *expected[first + 2 :])


def _right(expected: Ends, loom: Ends) -> int:
    """How many heddles from the first on are as expected, all where none of those that hang differs."""
    return next((at for at, differs in enumerate(map(ne, loom, expected)) if differs), len(expected))


def alike(yarns: Sequence[str]) -> bool:
    """Whether none of them would be missed for another."""
    return len(set(yarns)) <= 1


def redone(expected: Ends, loom: Ends, over: int) -> Repair:
    """Threading anew what is not as expected, in one row.

    A mistake that shifts the ends after it is redone from there to the end of the group; one that does not, up to the
    last end on a shaft that lacks, since its heddles lie in order: where none follows, the next heddle of that shaft is
    free.
    """
    wrong = [at for at, differs in enumerate(map(ne, loom, expected), 1) if differs]
    wrong = wrong or [min(len(loom), len(expected)) + 1]
    first = wrong[0]
    lacking = len(expected) - len(loom)
    last = len(expected) if over or lacking else _reach(expected, loom, first, wrong[-1])
    taken_out = last - lacking - first + 1
    return Repair(Way.REDO if taken_out else Way.THREAD_ON, first, taken_out, last - first + 1)


def _reach(expected: Ends, loom: Ends, first: int, last: int) -> int:
    """The last end that has to come out so that the heddles that lack from `first` on lie free in their order."""
    should, on = (Counter(shaft for end in ends[first - 1 : last] for shaft in end) for ends in (expected, loom))
    lacking = (should - on).keys()
    if not lacking:
        return last
    return next((at for at in range(len(expected), last, -1) if not lacking.isdisjoint(expected[at - 1])), last)
