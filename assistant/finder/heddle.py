"""Several ends in one heddle, as the finder has them: its shafts, each as often as ends hang in it.

(1, 1) are two ends in a heddle on shaft 1, (3, 3, 7, 7) two in one on each of shafts 3 and 7. One end is as ever.
"""

from assistant.warp.notation import Ends, Shafts


def one(heddle: Shafts) -> Shafts:
    """The shafts of each of its ends."""
    return tuple(sorted(set(heddle))) if len(heddle) > 1 else heddle


def held(heddle: Shafts) -> int:
    """The ends in it."""
    return len(heddle) // len(set(heddle)) if len(heddle) > 1 else 1


def holding(shafts: Shafts, ends: int) -> Shafts:
    """A heddle on these shafts with so many ends."""
    return tuple(sorted(shafts * ends))


def more(heddle: Shafts) -> Shafts:
    """With one end more."""
    return holding(one(heddle), held(heddle) + 1)


def fewer(heddle: Shafts) -> Shafts:
    """With one end less; one of several."""
    return holding(one(heddle), held(heddle) - 1)


def hung(order: Ends, ends: int) -> Ends:
    """So many ends, threaded in this order; the last heddle may lack some of its own."""
    hanging = []
    for each in order:
        if ends <= 0:
            break
        hanging.append(each if held(each) <= ends else holding(one(each), ends))
        ends -= held(each)
    return tuple(hanging)
