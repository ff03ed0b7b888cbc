"""What sets a group right, as hands do it: the choices, each with what it costs, the cheapest sound one first.

Behind the heddles the ends hang in their order and cross none; on a shaft the heddles lie in theirs. So the end that
hangs as the seventh is the seventh of the draft, and stays where it is unless it is on a wrong shaft or in the way of
one that needs its heddle. What would put another yarn in place is no choice.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.finder.heddle import held, hung, more
from assistant.finder.repair import MOST_TAKEN_OUT, NEW_END, Repair, Way, alike, in_place, redone, shared
from assistant.warp.notation import Ends

ANEW = {  # what a way takes beside what comes out, in ends threaded again
    Way.REPAIR_HEDDLE: MOST_TAKEN_OUT,
    Way.PART: MOST_TAKEN_OUT,
    Way.LAY_ASIDE: NEW_END,
    Way.ONE_OUT: NEW_END,
    Way.ADD_END: NEW_END,
}


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to set a group right, or to leave it."""

    repair: Repair
    moved: tuple[int, ...] = ()  # MOVE: the ends, as they hang, that come out and are threaded where they should be

    @property
    def cost(self) -> tuple[int, int]:
        """What it takes, in ends threaded again; then the ends that come out."""
        out = self.repair.taken_out
        anew = ANEW.get(self.repair.way, 0)
        return out + anew, out


def choices(
    expected: Ends, loom: Ends, over: int, yarns: Sequence[str] = (), in_heddles: bool = False
) -> tuple[Choice, ...]:
    """The choices where so many ends are over (short: negative), the cheapest first, and last to leave it.

    `yarns` are those of the ends expected; none are told where all are of one. `in_heddles` as of a GroupToSearch.
    """
    if loom == expected:
        return (Choice(Repair(Way.NOTHING)),)
    anew = redone(expected, loom, over)
    if in_heddles:
        sound = [Choice(anew), *_in_heddle(expected, loom, over, yarns, anew.first)]
    else:
        sound = [Choice(anew), *_moving(expected, loom, anew), *_one_end(expected, loom, over, yarns, anew.first)]
    return (*sorted(sound, key=lambda each: each.cost), left(anew))


def _in_heddle(expected: Ends, loom: Ends, over: int, yarns: Sequence[str], first: int) -> list[Choice]:
    """What is done to the ends of a heddle, or, of those that hold one end, what is done to that."""
    beside = in_place(expected, loom, over, yarns)
    made = [Choice(beside)] if beside else []
    if shared(expected, loom, over):
        made += [Choice(Repair(Way.REDO, first, 1, 2)), Choice(Repair(Way.PART, first, 1, 2, expected[first]))]
    too_many = over == -1 and first <= min(len(loom), len(expected)) and loom[first - 1] == more(expected[first - 1])
    if too_many and loom[first:] == hung(expected[first:], sum(map(held, loom[first:]))) and alike(yarns[first - 1 :]):
        made.append(Choice(Repair(Way.ONE_OUT, first, 1, int(loom[first:] != expected[first:]))))
    if all(held(heddle) == 1 for heddle in (*expected[first - 1 :], *loom[first - 1 :])):
        made += _one_end(expected, loom, over, yarns, first)
    return made


def left(repair: Repair) -> Choice:
    """To do nothing of it."""
    return Choice(Repair(Way.LEAVE, repair.first))


def _moving(expected: Ends, loom: Ends, anew: Repair) -> list[Choice]:
    """To move ends, where that spares any."""
    moved = to_move(expected, loom)
    if not moved or len(moved) >= anew.taken_out:
        return []
    lacking = max(0, len(expected) - len(loom))
    return [Choice(Repair(Way.MOVE, moved[0], len(moved), len(moved) + lacking), moved)]


def to_move(expected: Ends, loom: Ends) -> tuple[int, ...]:
    """The ends, as they hang, that come out so that each can be threaded as expected in the heddles that are there.

    Those on a wrong shaft, and of each shaft the fewest others: an end stays if there are heddles enough before it, and
    between it and the one that stays before it. Where ends are on several shafts, fewer might do.
    """
    both = min(len(expected), len(loom))
    moved = {at for at in range(1, both + 1) if loom[at - 1] != expected[at - 1]}
    moved |= set(range(both + 1, len(loom) + 1))
    for shaft in sorted({shaft for end in expected for shaft in end}):
        moved |= _in_the_way(shaft, expected, loom, frozenset(moved))
    return tuple(sorted(moved))


def _in_the_way(shaft: int, expected: Ends, loom: Ends, wrong: frozenset[int]) -> set[int]:
    """Of the ends that are rightly on a shaft, the fewest that cannot stay in their heddles."""
    heddle = {at: number for number, at in enumerate((at for at, end in enumerate(loom, 1) if shaft in end), 1)}
    due = (at for at, end in enumerate(expected, 1) if shaft in end)
    spare = {at: heddle[at] - number for number, at in enumerate(due, 1) if at in heddle and at not in wrong}
    return set(spare) - set(_longest_not_falling(spare))


def _longest_not_falling(spare: dict[int, int]) -> list[int]:
    """The longest row of keys, in their order, whose values are 0 or more and never fall."""
    least: list[int] = []  # the last value of the best row of each length
    ends: list[int] = []  # and its key
    before: dict[int, int | None] = {}
    for at, value in spare.items():
        if value < 0:
            continue
        length = bisect_right(least, value)
        before[at] = ends[length - 1] if length else None
        least[length : length + 1], ends[length : length + 1] = [value], [at]
    row: list[int] = []
    at_last = ends[-1] if ends else None
    while at_last is not None:
        row.append(at_last)
        at_last = before[at_last]
    return row


def _one_end(expected: Ends, loom: Ends, over: int, yarns: Sequence[str], first: int) -> list[Choice]:
    """To hang one new end, or to put one into a heddle of its own."""
    made, one_yarn = [], alike(yarns[first - 1 :])
    if over == 1 and loom[first - 1 :] == expected[first:] and one_yarn:
        made.append(Choice(Repair(Way.REPAIR_HEDDLE, first, 0, 1, expected[first - 1])))
    if over == 0 and len(loom) == len(expected) and loom[first:] == expected[first:]:
        made.append(Choice(Repair(Way.REPAIR_HEDDLE, first, 1, 1, expected[first - 1])))
    if over == -1 and len(loom) == len(expected) and loom[first:] == expected[first - 1 : -1] and one_yarn:
        made.append(Choice(Repair(Way.LAY_ASIDE, first, 1, 1)))
    return made
