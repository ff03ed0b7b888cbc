"""What a weaver at the loom sees when the finder asks, and does when it is told what sets a group right."""

import random
from dataclasses import replace

from assistant.finder import NO_END, NO_EYE, YES, Answer, Ask, Choice, Question, Side, Way
from assistant.loom.harness import Harness


def seen(loom: Harness, question: Question) -> Answer:
    """The true answer."""
    match question.ask:
        case Ask.SHAFTS:
            shafts = loom.shafts(question.end, question.side is Side.LAST)
            return NO_END if shafts is None else shafts or NO_EYE
        case Ask.COUNT:
            return loom.on_shaft(question.shaft, question.end)
        case Ask.HEDDLES:
            return loom.heddles_left(question.shaft)
        case Ask.RIGHT_UP_TO:
            there = replace(loom, draft=loom.draft[: len(loom.draft) - question.lacking])
            return int(there.right_up_to(question.end, question.side is Side.LAST))


def mistaken(loom: Harness, question: Question, truth: Answer, rng: random.Random) -> Answer:
    """What one says who is out by one end, or misreads: never the truth."""
    if question.ask is Ask.RIGHT_UP_TO:
        return 1 - int(truth == YES)
    if isinstance(truth, int):
        return truth + rng.choice([-1, 1]) if truth else 1
    near = [loom.shafts(end, question.side is Side.LAST) for end in (question.end - 1, question.end + 1) if end]
    other = [each for each in near if each and each != truth]
    if other and rng.random() < 0.5:
        return rng.choice(other)
    return rng.choice(sorted({NO_END, *(due.shafts for due in loom.draft)} - {truth}))


def do(loom: Harness, choice: Choice) -> None:
    """Take out and thread as told; all that hang, where what is to be threaded reaches the last end."""
    repair, ends = choice.repair, len(loom.draft)
    match repair.way:
        case Way.NOTHING:
            loom.float_ends()
        case Way.LEAVE:
            pass
        case Way.MOVE:
            for at in choice.moved:
                loom.take_out(at, 1)
                loom.thread(at, [at])
            loom.thread(len(loom.hanging) + 1, range(len(loom.hanging) + 1, ends + 1))
        case Way.LAY_ASIDE:
            loom.take_out(repair.first, 1)
            loom.thread(ends, [ends])
        case Way.ADD_END:
            loom.one_more(repair.first)
        case Way.ONE_OUT:
            loom.one_out(repair.first)
            loom.in_hand.clear()
            loom.thread_last(repair.threaded)
            loom.float_ends()
        case Way.JOIN:
            loom.join(repair.first)
        case Way.PART:
            loom.hang(repair.first + 1, [loom.one_out(repair.first)], repair.heddle)
        case Way.FREE:
            loom.loose += loom.hanging.pop(repair.first - 1).ends
        case _:
            stop = repair.first + repair.threaded
            loom.take_out(repair.first, repair.taken_out if stop <= ends else len(loom.hanging))
            loom.thread(repair.first, range(repair.first, stop))
            if stop > ends:
                loom.float_ends()


def set_right(loom: Harness, choice: Choice) -> int:
    """Do it; the ends over then (short: negative). Only what is left of ends threaded anew is still counted."""
    do(loom, choice)
    if choice.repair.way is not Way.REDO:
        loom.in_hand.clear()
    return len(loom.in_hand) or sum(len(hung.ends) for hung in loom.hanging) - sum(due.ends for due in loom.draft)
