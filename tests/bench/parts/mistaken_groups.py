"""What the benchmarks of mistakes in groups share: what is asked for, and a table of what came out, by kind."""

import argparse
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TypeVar

from parts.options import asking, between, count

T = TypeVar("T")  # what came of a group

NAME, CASES, CELL = 24, 6, 11  # characters


def options(doc: str | None, groups: int, pairs: str = "") -> argparse.Namespace:
    """How many groups, mistakes in each, wrong answers, and from which seed; `pairs` is what that option does."""
    parser = asking(doc)
    parser.add_argument("--count", type=count, default=groups, help="groups with mistakes (%(default)s)")
    parser.add_argument("--mistakes", type=count, default=1, help="in each group (%(default)s)")
    parser.add_argument("--seed", type=int, default=1, help="another one makes other mistakes (%(default)s)")
    parser.add_argument("--wrong-answers", type=between(0, 0.5), default=0.0, help="share of answers (%(default)s)")
    if pairs:
        parser.add_argument("--pairs", action="store_true", help=pairs)
    return parser.parse_args()


def title(chosen: argparse.Namespace) -> str:
    """What was run, in a line."""
    share = 100 * chosen.wrong_answers
    return f"{chosen.count} groups with {chosen.mistakes} each, {share:g} % of answers wrong, seed {chosen.seed}"


def table(
    rows: Iterable[tuple[str, Sequence[T]]],
    shares: Mapping[str, Callable[[T], bool]],
    means: Mapping[str, Callable[[T], float]],
    totals: Mapping[str, Callable[[Sequence[T]], int]],
) -> Iterable[str]:
    """A line for each row that has cases: their number, shares of them, means over them, and what is had of all."""
    yield " " * NAME + f"{'cases':>{CASES}}" + "".join(f"{head:>{CELL}}" for head in (*shares, *means, *totals))
    for name, told in rows:
        if told:
            cells = [f"{100 * sum(map(each, told)) / len(told):.2f}%" for each in shares.values()]
            cells += [f"{sum(map(each, told)) / len(told):.2f}" for each in means.values()]
            cells += [str(each(told)) for each in totals.values()]
            yield f"{name:{NAME}}{len(told):{CASES}}" + "".join(f"{cell:>{CELL}}" for cell in cells)


def by_kind(told: Sequence[T], kinds: Callable[[T], Iterable[str]], named: Iterable[str]) -> list[tuple[str, list[T]]]:
    """The cases that hold a mistake of each kind named."""
    return [(kind, [one for one in told if kind in kinds(one)]) for kind in named]
