"""Whole warps of 1,000 ends with mistakes of all kinds on a physical loom: what stays in the cloth.

Read back with so many of the numbers misheard, and with none, as by keys. Beside it the same mistakes made by a
weaver who closes no groups: every one stays unless reading back finds it.

    python tests/bench/coverage.py --runs 20 --per-1000 5
"""

import time
from copy import deepcopy
from dataclasses import replace

from parts.options import asking, between, count

from assistant.loom.harness import Harness
from assistant.rehearsal.coverage import Coverage, CoverageWish, Fates, read_back, thread
from assistant.rehearsal.slipping import Fate, Hands, Made
from assistant.warp.model import Warp
from assistant.warp.sequence import loads
from assistant.words.language import load
from assistant.words.printed import Printed

SEQUENCE = b"""
shafts: 8
yarns:
  ground: {name: white}
  figure: {name: blue}
blocks:
  rose: 1 2 3 4 1 4 3 2
  ray: 1..8, 7..2
groups:
  - {name: right edge, thread: 10(1 2), yarn: ground}
  - {name: rose, thread: 5(rose), yarn: "6 ground, 2 figure", times: 8}
  - {name: ray, thread: "2(ray), 1..8 7..4", yarn: ground, times: 8}
  - {name: block, thread: "5(5 6 7 8), 5(1 3 2 4)", yarn: "4 figure, 4 ground", times: 8}
  - {name: left edge, thread: 10(1 2), yarn: ground}
"""

ENGLISH = load("en")


def none_misheard(hands: Hands, hanging: list[Harness], wish: CoverageWish, run: int) -> list[Made]:
    """What becomes of the mistakes of a warp that hangs like this when it is read back and no number is misheard."""
    made, looms = deepcopy((hands.made, hanging))
    read_back(replace(hands, made=made), looms, ENGLISH, replace(wish, misheard=0.0), wish.chance(run))
    return made


def uncounted(warp: Warp, wish: CoverageWish, run: int) -> list[Made]:
    """What becomes of the same mistakes where no group is closed, when the warp is read back."""
    hands = wish.hands(warp, run)
    hanging = [work.done()[0] for work in hands.every_group()]
    for group, loom in enumerate(hanging):
        if loom.right:
            hands.gone(group, Fate.HARMLESS)
    read_back(hands, hanging, ENGLISH, wish, wish.chance(run))
    return hands.made


def main() -> None:
    options = asking(__doc__)
    options.add_argument("--runs", type=count, default=200, help="warps, of 1,000 ends each (%(default)s)")
    options.add_argument("--per-1000", type=between(0, 100), default=10.0, help="mistakes in 1,000 ends (%(default)s)")
    options.add_argument("--wrong-answers", type=between(0, 50), default=5.0, help="per cent of them (%(default)s)")
    options.add_argument("--misheard", type=between(0, 50), default=3.0, help="per cent of numbers read (%(default)s)")
    options.add_argument("--seed", type=int, default=0, help="another one makes other mistakes (%(default)s)")
    wished = options.parse_args()
    warp = loads(SEQUENCE, "coverage.yaml")
    wish = CoverageWish(wished.per_1000, wished.runs, wished.wrong_answers, wished.misheard, wished.seed)
    ours, heard_rightly, rival = Coverage(warp.ends, 0), list[Made](), list[Made]()
    seconds = {"threading, closing, searching": 0.0, "reading back": 0.0}
    for run in range(wish.runs):
        hands, rng = wish.hands(warp, run), wish.chance(run)
        began = time.perf_counter()
        closing, hanging = thread(hands, ENGLISH, wish, rng)
        threaded = time.perf_counter()
        heard_rightly += none_misheard(hands, hanging, wish, run)
        reads = time.perf_counter()
        ours.note(closing, read_back(hands, hanging, ENGLISH, wish, rng))
        seconds["threading, closing, searching"] += threaded - began
        seconds["reading back"] += time.perf_counter() - reads
        rival += uncounted(warp, wish, run)
    for line in ours.lines(Printed(ENGLISH))[len(ours.groups) :]:
        print(line)
    theirs = Fates.of(rival)
    print(f"{'':34}{'closed by groups':>18}{'uncounted':>12}{'ratio':>8}")
    compare("mistakes made", ours.fates.made, theirs.made)
    compare("left in the cloth, not read back", ours.fates.left_without_check, theirs.left_without_check)
    compare("left in the cloth, read back", ours.fates.left_in_cloth, theirs.left_in_cloth)
    print(f"{'left in the cloth, none misheard':34}{Fates.of(heard_rightly).left_in_cloth:18}")
    for what, spent in seconds.items():
        print(f"{what}: {spent / wish.runs:.2f} s a warp")


def compare(what: str, ours: int, rival: int) -> None:
    """One line: both, and how many times as many the rival has."""
    print(f"{what:34}{ours:18}{rival:12}{f'{rival / ours:8.1f}' if ours else '       -'}")


if __name__ == "__main__":
    main()
