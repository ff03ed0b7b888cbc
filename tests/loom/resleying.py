"""A weaver who has sleyed a group, tells the dent it ended in, answers the finder, and does what it says.

After each repair she looks again, until nothing is found.
"""

import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import cycle

from mending import example_groups, invented
from reed import LISTED, UNLISTED, Hands, Reed, Shafts

from assistant.finder.reed import ReedAnswer, ReedAsk, ReedQuestion, ReedRepair, ReedSearch, Resley
from assistant.finder.sleying import Sleying

SLIPS = LISTED | UNLISTED
ROUNDS = 6  # searches at most


@dataclass
class Resleyed:
    """What came of a group."""

    kinds: tuple[str, ...]
    right: bool = False
    called_right: bool = False
    bits: float = 0.0  # uncertainty about the repair before the first question
    to_repair: int = 0  # questions until the first repair
    to_look_at: int = 0  # ends counted and dents looked at for it
    looked_at: int = 0  # in all
    named: int = 0  # the first dent that was said to differ
    differs: int = 0  # the first that did
    taken_out: int = 0  # ends
    bisected: int = 0  # questions of plain bisection by counting
    counted_by_bisection: int = 0
    asked: list[tuple[ReedQuestion, bool]] = field(default_factory=list)  # and whether it was told to be asked again


_examples = cache(example_groups)


def any_sleying(rng: random.Random) -> Sleying:
    """A group of an example warp, or invented, with 1 to 4 ends a dent, or by turns, some with empty ones."""
    draft, _ = rng.choice(_examples()) if rng.random() < 0.5 else invented(rng)
    repeat = rng.choice([(1,), (2,), (2,), (2,), (3,), (4,), (1, 2), (2, 3), (2, 0, 3), (1, 1, 0)])
    left, due = len(draft), []
    for held in cycle(repeat):
        if not left:
            break
        due.append(min(held, left))
        left -= due[-1]
    apart = rng.choice([8, 10, 12, 15])
    first = rng.randint(1, apart)
    return Sleying(tuple(due), tuple(each.shafts for each in draft), tuple(range(first, len(due), apart)))


def resley(group: Sleying, kinds: Sequence[str], rng: random.Random, wrong_answers: float = 0.0) -> Resleyed | None:
    """Sley a group with mistakes of these kinds, look for them and do what is said; None where none left a mark."""
    hands = Hands(list(group.due), list(range(1, len(group.shafts) + 1)))
    for kind in kinds:
        SLIPS[kind](hands, rng)
    reed = hands.done(group.due, group.shafts)
    if reed.right():
        return None
    looking = ReedSearch.of(group, reed.over)
    told = Resleyed(tuple(kinds), bits=looking.bits, differs=reed.differs)
    told.bisected, told.counted_by_bisection = bisection(reed)
    for number in range(ROUNDS):
        repair = search(looking, reed, told, rng, wrong_answers)
        if not number:
            told.to_repair, told.to_look_at, told.named = len(told.asked), told.looked_at, repair.dent
        if repair.way is Resley.NOTHING:
            told.called_right = True
            break
        reed.sley(repair.first, repair.last)
        told.taken_out += repair.last - repair.first + 1
        looking = ReedSearch.of(group, reed.over, mended=True)
    told.right = reed.right()
    return told


def search(looking: ReedSearch, reed: Reed, told: Resleyed, rng: random.Random, wrong_answers: float) -> ReedRepair:
    """Answer what is asked; what is to be done then."""
    while (question := looking.question) is not None:
        told.asked.append((question, looking.again))
        told.looked_at += looked_at(question, reed)
        truth = seen(reed, question)
        looking = looking.answer(mistaken(reed, question, truth, rng) if rng.random() < wrong_answers else truth)
    assert looking.verdict is not None
    return looking.verdict.repair


def looked_at(question: ReedQuestion, reed: Reed) -> int:
    """Ends counted, or dents looked at."""
    dents = question.last - question.first + 1
    return reed.count(question.first, question.last) if question.ask is ReedAsk.COUNT else dents


def seen(reed: Reed, question: ReedQuestion) -> ReedAnswer:
    """What a weaver who looks sees."""
    match question.ask:
        case ReedAsk.DENT:
            return reed.in_dent(question.first)
        case ReedAsk.COUNT:
            return reed.count(question.first, question.last)
        case ReedAsk.ALONG:
            return int(reed.along(question.first, question.last))


def mistaken(reed: Reed, question: ReedQuestion, truth: ReedAnswer, rng: random.Random) -> ReedAnswer:
    """What one says who is out by one, or overlooks something: never the truth."""
    match question.ask:
        case ReedAsk.ALONG:
            return 1 - int(truth == 1)
        case ReedAsk.COUNT:
            assert isinstance(truth, int)
            return truth + rng.choice([-1, 1]) if truth else 1
        case ReedAsk.DENT:
            near = {reed.in_dent(dent) for dent in (question.first - 1, question.first + 1) if dent}
            others: list[tuple[Shafts, ...]] = sorted((near | {(), ((1,),)}) - {truth})
            return rng.choice(others)


def bisection(reed: Reed) -> tuple[int, int]:
    """Count up to the middle of what is left: where it is right, the mistake lies after it. Questions and ends counted.

    What has been counted is not counted again.
    """
    low, high, known, questions, ends = 1, len(reed.due) + 1, 0, 0, 0
    while low < high:
        middle = (low + high) // 2
        questions += 1
        ends += reed.count(known + 1, middle)
        if reed.count(1, middle) == sum(reed.due[:middle]):
            low, known = middle + 1, middle
        else:
            high = middle
    return questions, ends
