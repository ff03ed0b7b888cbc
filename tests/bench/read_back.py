"""Groups threaded with mistakes of all kinds on a physical loom, read back by keys and by voice.

By voice so many of the numbers that are understood are taken for another; those that are not understood are said
again, and cost nothing but time. Crossed ends and a wrong colour show in no shaft, and no reading of shafts finds them.

    python tests/bench/read_back.py --count 2000
"""

import random
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "loom"))

from mending import SMALLEST, Group, any_group, example_groups
from parts.options import asking, between, count
from reading import ReadBack, Reads, by_keys, by_voice, read_back
from slips import SLIPS

MOST_ENDS = 60  # of a group


def group_of(rng: random.Random) -> Group:
    """Any group that is not too long to be read often."""
    examples = [each for each in example_groups() if SMALLEST <= len(each[0]) <= MOST_ENDS]
    while True:
        if len((group := any_group(rng, examples)).draft) <= MOST_ENDS:
            return group


def table(name: str, told: list[ReadBack]) -> list[str]:
    """A line for each kind of mistake, and one for groups that hang as they should."""
    rows = [f"{name:24}{'wrong':>7}{'named':>7}{'at end':>7}{'looked':>7}{'missed':>7}{'no shaft shows':>16}"]
    for kind in SLIPS:
        of_kind = [each for each in told if kind in each.made and not each.hangs_right]
        shown = [each for each in of_kind if each.first]
        found = Counter(
            "missed" if each.missed else "looked" if each.unclear else "at" if each.named == each.first else "named"
            for each in shown
        )
        numbers = (len(shown), found["named"] + found["at"], found["at"], found["looked"], found["missed"])
        rows += ["".join([f"{kind:24}", *(f"{n:7}" for n in numbers), f"{len(of_kind) - len(shown):16}"])] * bool(
            of_kind
        )
    return rows


def right_ones(rng: random.Random, reads: Reads, groups: int) -> str:
    """What groups that hang right are put through."""
    cases = [(group, read_back(group, (), rng, reads)) for group in (group_of(rng) for _ in range(groups))]
    ends, asked = sum(len(group.draft) for group, _ in cases), sum(told.asked for _, told in cases)
    named = sum(bool(told.named) for _, told in cases)
    often = f"asked again {asked} times ({100 * asked / ends:.1f} in 100 ends)"
    return f"right groups: {groups}, of {ends} ends: {often}, named in vain {named}"


def main() -> None:
    parser = asking(__doc__)
    parser.add_argument("--count", type=count, default=2_000, help="groups with a mistake, each way (%(default)s)")
    parser.add_argument("--seed", type=int, default=1, help="another one makes other mistakes (%(default)s)")
    parser.add_argument(
        "--misheard", type=between(0, 0.5), default=0.013, help="of the numbers understood (%(default)s)"
    )
    options = parser.parse_args()
    kinds = list(SLIPS)
    for name, reads in (("by keys", by_keys), (f"{options.misheard:.1%} misheard", by_voice(options.misheard))):
        rng = random.Random(options.seed)
        told = [read_back(group_of(rng), [kinds[at % len(kinds)]], rng, reads) for at in range(options.count)]
        print(*table(name, told), right_ones(rng, reads, options.count // 10), "", sep="\n", flush=True)


if __name__ == "__main__":
    main()
