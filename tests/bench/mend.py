"""Mistakes of all kinds made on a physical loom, looked for by the finder, and set right as it says.

A repair is right only where the loom then hangs as the draft says. Groups have 8 to 120 ends on 2 to 24 shafts: half of
them those of the example warps, half invented. The cheapest choice is done. The rivals are plain bisection by shafts,
which finds nothing that no shaft shows and looks at nothing twice, reading the whole group back, and threading anew all
from the first end that comes out.

    python tests/bench/mend.py --count 5000
    python tests/bench/mend.py --count 1000 --mistakes 2 --wrong-answers 0.05
    python tests/bench/mend.py --count 2000 --pairs
"""

import random
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "loom"))

from mending import Group, Mended, any_group, example_groups, kinds_of, mend, with_pairs
from parts.mistaken_groups import by_kind, options, table, title
from slips import slips

SHARES: dict[str, Callable[[Mended], bool]] = {
    "right": lambda one: one.right and one.found,
    "wrongly": lambda one: one.found and not one.right and not one.called_right,
    "called so": lambda one: one.found and not one.right and one.called_right,
    "not found": lambda one: not one.found,
}
TOTALS: dict[str, Callable[[Sequence[Mended]], int]] = {
    "most": lambda told: max(one.most for one in told),
    "again": lambda told: sum(one.again for one in told),
    "in row": lambda told: sum(one.in_a_row for one in told),
}


def cases(
    rng: random.Random, wanted: int, many: int, wrong_answers: float, pairs: bool
) -> Iterator[tuple[Group, Mended]]:
    """So many groups with so many mistakes each; with one, each kind as often."""
    examples, kinds = example_groups(), list(slips(pairs))
    while wanted:
        group = with_pairs(rng) if pairs else any_group(rng, examples)
        made = [kinds[wanted % len(kinds)]] if many == 1 else kinds_of(rng, many, kinds)
        mended = mend(group, made, rng, wrong_answers)
        if mended and len(mended.kinds) == many:
            wanted -= 1
            yield group, mended


def main() -> None:
    chosen = options(__doc__, 5_000, "groups with several ends in some heddles, and floating ends")
    every: list[Mended] = []
    read = 0
    rng = random.Random(chosen.seed)
    for group, mended in cases(rng, chosen.count, chosen.mistakes, chosen.wrong_answers, chosen.pairs):
        every.append(mended)
        read += len(group.draft)
    print(title(chosen))
    rows = [*by_kind(every, lambda one: one.kinds, slips(chosen.pairs)), ("all", every)]
    for line in table(rows, SHARES, {"asked": lambda one: one.questions}, TOTALS):
        print(line)
    many = len(every)
    counted, halved = sum(one.counted for one in every) / many, sum(one.halved for one in every) / many
    whole = sum(one.whole for one in every) / many
    print(f"ends counted: {counted:.1f} a group, {whole:.1f} where each look asked again begins at its side;")
    print(f"plain bisection: {halved:.1f}; read back whole: {read / many:.1f}")
    out, anew = sum(one.out for one in every) / many, sum(one.anew for one in every) / many
    print(f"ends that came out: {out:.1f} a group; threading anew all from the first of them: {anew:.1f}")
    ways = Counter(way for one in every for way in one.ways)
    print("done: " + ", ".join(f"{way} {count}" for way, count in ways.most_common()))


if __name__ == "__main__":
    main()
