"""Whole warps of 1,000 ends with mistakes: what stays in the cloth, with and without reading back.

Beside it the same mistakes made by a weaver who counts no groups: every one stays unless reading back finds it.

    python tests/bench/coverage.py --runs 20 --per-1000 5
"""

import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from parts.options import asking, between, count

from assistant.finder import Mistake, MistakeKind
from assistant.rehearsal.closing import Tried
from assistant.rehearsal.coverage import Coverage, CoverageWish, read_back, thread
from assistant.rehearsal.odds import Threaded, every_odds
from assistant.warp.sequence import loads
from assistant.words.language import load
from assistant.words.printed import Printed

SEQUENCE = b"""
shafts: 8
blocks:
  rose: 1 2 3 4 1 4 3 2
  ray: 1..8, 7..2
groups:
  - {name: right edge, thread: 10(1 2)}
  - {name: rose, thread: 5(rose), times: 8}
  - {name: ray, thread: "2(ray), 1..8 7..4", times: 8}
  - {name: block, thread: "5(5 6 7 8), 5(1 3 2 4)", times: 8}
  - {name: left edge, thread: 10(1 2)}
"""


def uncounted(tried: Sequence[Tried]) -> list[Threaded]:
    """The same mistakes where no groups are counted, hence no bundles: the ends go on as long as there are heddles."""
    first = {one.group: one.threaded for one in reversed(tried)}
    return [_without_bundle(first[group]) for group in sorted(first)]


def _without_bundle(threaded: Threaded) -> Threaded:
    made = tuple(mistake for mistake in threaded.made if mistake.kind is not MistakeKind.BUNDLE)
    over = Threaded.once(threaded.expected, made).over
    as_many = Mistake(MistakeKind.BUNDLE, ends=-over)
    return replace(Threaded.once(threaded.expected, (*made, as_many)), made=made)


def main() -> None:
    options = asking(__doc__)
    options.add_argument("--runs", type=count, default=100, help="warps, of 1,000 ends each (%(default)s)")
    options.add_argument("--per-1000", type=between(0, 1000), default=10.0, help="mistakes in 1,000 ends (%(default)s)")
    wished = options.parse_args()
    warp, language = loads(SEQUENCE, "coverage.yaml"), load("en")
    wish = CoverageWish(wished.per_1000, wished.runs)
    odds = every_odds(warp, None, wish.mistakes_per_1000)
    ours, rival = Coverage(warp.ends, 0), Coverage(warp.ends, 0)
    kinds: Counter[MistakeKind] = Counter()
    seconds = {"threading, closing, searching": 0.0, "reading back": 0.0}
    for run in range(wish.runs):
        rng = wish.chance(run)
        began = time.perf_counter()
        closing, closed = thread(warp, language, odds, wish, rng)
        threaded = time.perf_counter()
        ours.note_closing(closing, closed)
        ours.note_readings(read_back(warp, language, closed, wish, rng))
        seconds["threading, closing, searching"] += threaded - began
        seconds["reading back"] += time.perf_counter() - threaded
        kinds.update(mistake.kind for tried in closing.tried for mistake in tried.threaded.made)
        plain = uncounted(closing.tried)
        rival.made += sum(len(one.made) for one in plain)
        rival.left_without_check += sum(len(one.made) for one in plain if not one.right)
        rival.note_readings(read_back(warp, language, plain, wish, rng))
    for line in ours.lines(Printed(language))[len(ours.groups) :]:
        print(line)
    print("made:", ", ".join(f"{many} {kind}" for kind, many in kinds.most_common()))
    print(f"{'':34}{'closed by groups':>18}{'uncounted':>12}{'ratio':>8}")
    compare("mistakes made", ours.made, rival.made)
    compare("left in the cloth, not read back", ours.left_without_check, rival.left_without_check)
    compare("left in the cloth, read back once", ours.left_after_one_reading, rival.left_after_one_reading)
    compare("left in the cloth, read back twice", ours.left_in_cloth, rival.left_in_cloth)
    for what, spent in seconds.items():
        print(f"{what}: {spent / wish.runs:.2f} s a warp")
    for times, left in (("once", ours.left_after_one), ("twice", ours.left)):
        for group in left:
            print(f"left, read back {times}: {group.remaining()} of {group.made}")


def compare(what: str, ours: int, rival: int) -> None:
    """One line: both, and how many times as many the rival has."""
    print(f"{what:34}{ours:18}{rival:12}{f'{rival / ours:8.1f}' if ours else '       -'}")


if __name__ == "__main__":
    main()
