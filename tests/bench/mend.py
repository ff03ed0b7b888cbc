"""Mistakes of all kinds made on a physical loom, looked for by the finder, and set right as it says.

A repair is right only where the loom then hangs as the draft says. Groups have 8 to 120 ends on 2 to 24 shafts: half of
them those of the example warps, half invented. The cheapest choice is done. The rivals are plain bisection by shafts,
which finds nothing that no shaft shows and looks at nothing twice, reading the whole group back, and threading anew all
from the first end that comes out.

    python tests/bench/mend.py --count 5000
    python tests/bench/mend.py --count 1000 --mistakes 2 --wrong-answers 0.05
"""

import random
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "loom"))

from mending import Group, Mended, any_group, example_groups, kinds_of, mend
from parts.options import asking, between, count
from slips import SLIPS


def cases(rng: random.Random, wanted: int, many: int, wrong_answers: float) -> Iterator[tuple[Group, Mended]]:
    """So many groups with so many mistakes each; with one, each kind as often."""
    examples, kinds = example_groups(), list(SLIPS)
    while wanted:
        group = any_group(rng, examples)
        mended = mend(group, [kinds[wanted % len(kinds)]] if many == 1 else kinds_of(rng, many), rng, wrong_answers)
        if mended and len(mended.kinds) == many:
            wanted -= 1
            yield group, mended


def line(name: str, told: Sequence[Mended]) -> str:
    """Shares of the cases and the questions they took."""
    many = len(told)
    right = sum(one.right and one.found for one in told)
    not_found = sum(not one.found for one in told)
    called = sum(one.called_right and not one.right for one in told)
    wrongly = many - right - not_found - called
    shares = "".join(f"{100 * each / many:10.2f}%" for each in (right, wrongly, called, not_found))
    questions = sum(one.questions for one in told) / many
    return (
        f"{name:20}{many:6}{shares}{questions:8.2f}{max(one.most for one in told):6}"
        f"{sum(one.again for one in told):7}{sum(one.in_a_row for one in told):7}"
    )


def main() -> None:
    parser = asking(__doc__)
    parser.add_argument("--count", type=count, default=5_000, help="groups with mistakes (%(default)s)")
    parser.add_argument("--mistakes", type=count, default=1, help="in each group (%(default)s)")
    parser.add_argument("--seed", type=int, default=1, help="another one makes other mistakes (%(default)s)")
    parser.add_argument("--wrong-answers", type=between(0, 0.5), default=0.0, help="share of answers (%(default)s)")
    options = parser.parse_args()
    by_kind: dict[str, list[Mended]] = defaultdict(list)
    every: list[Mended] = []
    read = 0
    for group, mended in cases(random.Random(options.seed), options.count, options.mistakes, options.wrong_answers):
        every.append(mended)
        read += len(group.draft)
        for kind in set(mended.kinds):
            by_kind[kind].append(mended)
    share = 100 * options.wrong_answers
    print(f"{options.count} groups with {options.mistakes} each, {share:g} % of answers wrong, seed {options.seed}")
    heads = "".join(f"{head:>11}" for head in ("right", "wrongly", "called so", "not found"))
    print(f"{'':20}{'cases':>6}{heads}{'asked':>8}{'most':>6}{'again':>7}{'in row':>7}")
    for kind in SLIPS:
        if by_kind[kind]:
            print(line(kind, by_kind[kind]))
    print(line("all", every))
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
