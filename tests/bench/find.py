"""Finding a mistake in its group, beside plain bisection and beside looking at every end from the clip.

Mistakes are made as often as the finder supposes, on the groups of the example warps and on invented ones; those count
that closing shows. Each rival is asked to find the first end that is not where it should be, its answers all right.

    python tests/bench/find.py --runs 2000 --wrong-answers 0.05
"""

import random
import sys
import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "finder"))

from mistaken import Case, called, cases, search
from parts.options import asking, between, count

from assistant.finder import Ask, Landmark, Observation, Outcome, Question, Search

SLACK, MORE = 1.25, 0.5  # the most questions: SLACK × entropy + MORE
LARGEST, SHAFTS = 120, 24
MOST_MS = 50


@dataclass
class Tally:
    """Sums over cases."""

    cases: int = 0
    found: int = 0
    questions: int = 0
    ends: int = 0
    bits: float = 0.0
    wrong: int = 0

    def add(self, found: bool, questions: int, ends: int, bits: float = 0.0, wrong: bool = False) -> None:
        """One more case."""
        self.cases += 1
        self.found += found
        self.questions += questions
        self.ends += ends
        self.bits += bits
        self.wrong += wrong

    def mean(self, total: float) -> float:
        """A sum as a mean over the cases."""
        return total / max(self.cases, 1)


def bisection(case: Case) -> tuple[bool, int, int]:
    """Look at the middle of what is left: where it is right, the mistake lies after it."""
    expected, landmark = case.group.expected, Landmark()
    low, high, questions, ends = 1, len(expected) + 1, 0, 0
    while low < high:
        middle = (low + high) // 2
        question = Question(Ask.SHAFTS, middle)
        questions += 1
        ends += landmark.counted(question)
        landmark = Landmark(first=middle)
        if case.answer(question) == expected[middle - 1]:
            low = middle + 1
        else:
            high = middle
    return low == first_wrong(case), questions, ends


def every_end(case: Case) -> tuple[bool, int, int]:
    """Look at the ends from the clip on, until one is wrong."""
    looked = min(first_wrong(case), len(case.group.expected))
    return True, looked, looked


def first_wrong(case: Case) -> int:
    """The first end that is not as expected; one past the last where all are."""
    return case.repair.first or len(case.group.expected) + 1


def seconds(search: Search) -> float:
    """What choosing its question takes."""
    start = time.perf_counter()
    search.question()
    return time.perf_counter() - start


def milliseconds() -> float:
    """The longest that choosing a first question takes, for the largest groups; of each the best of three."""
    rng = random.Random(1)
    by_chance = tuple((rng.randint(1, SHAFTS),) for _ in range(LARGEST))
    straight = tuple((at % SHAFTS + 1,) for at in range(LARGEST))
    left: tuple[dict[int, int] | None, ...] = (None, {})
    seen = [Observation(over, heddles) for over in (-4, -1, 0, 1, 4) for heddles in left]
    worst = 0.0
    for ends in (by_chance, straight):
        for observation in seen:
            for error in (0.0, 0.05):
                begun = Search.of(called((ends, SHAFTS), 4), observation, error)
                worst = max(worst, min(seconds(replace(begun)) for _ in range(3)))
    return 1000 * worst


def main() -> None:
    parser = asking(__doc__)
    parser.add_argument("--runs", type=count, default=10_000, help="mistakes looked for (%(default)s)")
    parser.add_argument("--seed", type=int, default=1, help="another one makes other mistakes (%(default)s)")
    parser.add_argument("--wrong-answers", type=between(0, 0.5), default=0.0, help="share of answers (%(default)s)")
    options = parser.parse_args()
    error = options.wrong_answers
    kinds: dict[str, Tally] = defaultdict(Tally)
    finder, halves, all_ends = Tally(), Tally(), Tally()
    rivals: list[tuple[Tally, Callable[[Case], tuple[bool, int, int]]]] = [(halves, bisection), (all_ends, every_end)]
    answering = random.Random(options.seed)
    for case in cases(random.Random(options.seed), options.runs):
        begun = Search.of(case.group, case.observation, error)
        bits = begun.bits if not error else Search.of(case.group, case.observation, 0.0).bits
        told = search(case, answering, error, begun)
        wrong = told.verdict.outcome is Outcome.FOUND and not told.found(case)
        for tally in (finder, kinds[case.mistake.kind]):
            tally.add(told.found(case), told.questions, told.counted, bits, wrong)
        for tally, rival in rivals:
            tally.add(*rival(case))
    print(f"{options.runs} mistakes, {100 * error:g} % of answers wrong, seed {options.seed}")
    print(f"{'':14}{'cases':>7}{'found':>9}{'wrong':>8}{'questions':>11}{'ends':>7}{'bits':>7}{'bound':>7}")
    for name, tally in [*sorted(kinds.items()), ("all", finder)]:
        bits = tally.mean(tally.bits)
        print(
            f"{name:14}{tally.cases:7}{100 * tally.mean(tally.found):8.2f}%{100 * tally.mean(tally.wrong):7.2f}%"
            f"{tally.mean(tally.questions):11.3f}{tally.mean(tally.ends):7.1f}{bits:7.3f}{SLACK * bits + MORE:7.3f}"
        )
    for name, tally in (("plain bisection", halves), ("every end", all_ends)):
        print(
            f"{name:16} finds the first wrong end in {100 * tally.mean(tally.found):.1f} %; "
            f"{tally.mean(tally.questions):.2f} questions, {tally.mean(tally.ends):.1f} ends counted: "
            f"{tally.questions / finder.questions:.2f} and {tally.ends / finder.ends:.2f} times the finder's"
        )
    print(f"questions over entropy: {finder.questions / finder.bits:.3f}")
    print(f"choosing a question, {LARGEST} ends on {SHAFTS} shafts: at worst {milliseconds():.1f} ms (under {MOST_MS})")


if __name__ == "__main__":
    main()
