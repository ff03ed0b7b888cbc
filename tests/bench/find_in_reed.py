"""Mistakes made in sleying a physical reed, looked for by the finder, and set right as it says.

A group counts as right only where every end then lies in its own dent. Groups have 8 to 120 ends, 1 to 4 in a dent,
some have empty dents: half of them those of the example warps, half invented. The rival is plain bisection by counting.
The bound is 1.25 times the entropy of what is to be done, and half a question.

    python tests/bench/find_in_reed.py --count 2000
    python tests/bench/find_in_reed.py --count 500 --mistakes 2 --wrong-answers 0.05
"""

import random
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from time import process_time

sys.path.insert(0, str(Path(__file__).parent.parent / "loom"))

from parts.mistaken_groups import by_kind, options, table, title
from reed import LISTED, UNLISTED
from resleying import SLIPS, Resleyed, any_sleying, resley

from assistant.finder.reed import ReedSearch
from assistant.finder.sleying import Sleying

SLACK, MORE = 1.25, 0.5
TRIES = 50  # groups in which a mistake of a kind leaves no mark
LARGEST = 120  # ends


SHARES: dict[str, Callable[[Resleyed], bool]] = {
    "right": lambda one: one.right,
    "called so": lambda one: one.called_right and not one.right,
    "not": lambda one: not one.called_right,
}
MEANS: dict[str, Callable[[Resleyed], float]] = {
    "asked": lambda one: one.to_repair,
    "bound": lambda one: SLACK * one.bits + MORE,
    "looked": lambda one: one.to_look_at,
    "bisected": lambda one: one.bisected,
    "counted": lambda one: one.counted_by_bisection,
    "in all": lambda one: len(one.asked),
    "out": lambda one: one.taken_out,
}
TOTALS: dict[str, Callable[[Sequence[Resleyed]], int]] = {
    "again": lambda told: sum(again for one in told for _, again in one.asked)
}


def cases(rng: random.Random, wanted: int, many: int, wrong_answers: float) -> Iterator[Resleyed]:
    """So many groups with so many mistakes each; with one, each kind as often."""
    for number in range(wanted):
        kinds = [list(SLIPS)[number % len(SLIPS)]] if many == 1 else rng.choices(list(SLIPS), k=many)
        tried = (resley(any_sleying(rng), kinds, rng, wrong_answers) for _ in range(TRIES))
        yield next(filter(None, tried))


def slowest() -> float:
    """Milliseconds of processor until a first question is there, at most: one end a dent."""
    group = Sleying((1,) * LARGEST, tuple((at * 7 % 24 + 1,) for at in range(LARGEST)), tuple(range(10, LARGEST, 10)))
    took = []
    for over in (-1, 0, 1, 2):
        start = process_time()
        assert ReedSearch.of(group, over).question
        took.append(process_time() - start)
    return 1000 * max(took)


def main() -> None:
    chosen = options(__doc__, 2_000)
    every = list(cases(random.Random(chosen.seed), chosen.count, chosen.mistakes, chosen.wrong_answers))
    print(title(chosen))
    print(
        "asked, bound, looked: until the first repair; bisected, counted: by the rival; in all: until nothing is found"
    )
    listed = [one for one in every if set(one.kinds) <= set(LISTED)]
    kinds = by_kind(every, lambda one: one.kinds, (*LISTED, *UNLISTED))
    for line in table([*kinds, ("all that are listed", listed), ("all", every)], SHARES, MEANS, TOTALS):
        print(line)
    print(f"starting a search and its first question, {LARGEST} dents: at worst {slowest():.0f} ms of processor")


if __name__ == "__main__":
    main()
