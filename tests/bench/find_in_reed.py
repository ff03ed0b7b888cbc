"""Mistakes made in sleying a physical reed, looked for by the finder, and set right as it says.

A group counts as right only where every end then lies in its own dent. Groups have 8 to 120 ends, 1 to 4 in a dent,
some have empty dents: half of them those of the example warps, half invented. The rival is plain bisection by counting.
The bound is 1.25 times the entropy of what is to be done, and half a question.

    python tests/bench/find_in_reed.py --count 2000
    python tests/bench/find_in_reed.py --count 500 --mistakes 2 --wrong-answers 0.05
"""

import random
import sys
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path
from time import process_time

sys.path.insert(0, str(Path(__file__).parent.parent / "loom"))

from parts.options import asking, between, count
from reed import LISTED, UNLISTED
from resleying import SLIPS, Resleyed, any_sleying, resley

from assistant.finder.reed import ReedSearch
from assistant.finder.sleying import Sleying

SLACK, MORE = 1.25, 0.5
TRIES = 50  # groups in which a mistake of a kind leaves no mark
LARGEST = 120  # ends


def cases(rng: random.Random, wanted: int, many: int, wrong_answers: float) -> Iterator[Resleyed]:
    """So many groups with so many mistakes each; with one, each kind as often."""
    for number in range(wanted):
        kinds = [list(SLIPS)[number % len(SLIPS)]] if many == 1 else rng.choices(list(SLIPS), k=many)
        tried = (resley(any_sleying(rng), kinds, rng, wrong_answers) for _ in range(TRIES))
        yield next(filter(None, tried))


def line(name: str, told: Sequence[Resleyed]) -> str:
    """Shares of the cases, and what they took."""
    many = len(told)
    shares = (
        sum(one.right for one in told),
        sum(one.called_right and not one.right for one in told),
        sum(not one.called_right for one in told),
    )
    means = (
        sum(one.to_repair for one in told),
        sum(SLACK * one.bits + MORE for one in told),
        sum(one.to_look_at for one in told),
        sum(one.bisected for one in told),
        sum(one.counted_by_bisection for one in told),
        sum(len(one.asked) for one in told),
        sum(one.taken_out for one in told),
    )
    return (
        f"{name:24}{many:6}{''.join(f'{100 * each / many:8.2f}%' for each in shares)}"
        f"{''.join(f'{each / many:8.1f}' for each in means)}{sum(again for one in told for _, again in one.asked):7}"
    )


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
    parser = asking(__doc__)
    parser.add_argument("--count", type=count, default=2_000, help="groups with mistakes (%(default)s)")
    parser.add_argument("--mistakes", type=count, default=1, help="in each group (%(default)s)")
    parser.add_argument("--seed", type=int, default=1, help="another one makes other mistakes (%(default)s)")
    parser.add_argument("--wrong-answers", type=between(0, 0.5), default=0.0, help="share of answers (%(default)s)")
    options = parser.parse_args()
    by_kind: dict[str, list[Resleyed]] = defaultdict(list)
    every = list(cases(random.Random(options.seed), options.count, options.mistakes, options.wrong_answers))
    for one in every:
        for kind in set(one.kinds):
            by_kind[kind].append(one)
    share = 100 * options.wrong_answers
    print(f"{options.count} groups with {options.mistakes} each, {share:g} % of answers wrong, seed {options.seed}")
    print(
        "asked, bound, looked: until the first repair; bisected, counted: by the rival; in all: until nothing is found"
    )
    heads = ("right", "so called", "not", "asked", "bound", "looked", "bisected", "counted", "in all", "out", "again")
    print(f"{'':24}{'cases':>6}" + "".join(f"{head:>9}" if n < 3 else f"{head:>8}" for n, head in enumerate(heads)))
    for kind in (*LISTED, *UNLISTED):
        if by_kind[kind]:
            print(line(kind, by_kind[kind]))
    for name, kinds in (("all that are listed", LISTED), ("all", SLIPS)):
        some = [one for one in every if set(one.kinds) <= set(kinds)]
        if some:
            print(line(name, some))
    print(f"starting a search and its first question, {LARGEST} dents: at worst {slowest():.0f} ms of processor")


if __name__ == "__main__":
    main()
