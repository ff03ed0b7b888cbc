"""What every attack is: so many tries in so much time, each with a chance of its own, and a summary line at the end."""

import os
import random
import re
import sys
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Self

from parts.options import asking, between, count

HELD, NOT_HELD, NOT_TRIED = 0, 1, 3  # exit codes
ENDS = "HEDDLECALL_ATTACK_ENDS"  # in the environment: when all have to be done, by the clock that processes share
SHOWN = 20  # of what was found, a line each


class CannotBeTried(Exception):
    """This machine lacks what the attack needs; says what."""


@dataclass
class Tally:
    """What came of an attack so far."""

    tries: int = 0
    found: list[str] = field(default_factory=list)  # every way in which something did not hold
    counts: Counter[str] = field(default_factory=Counter)  # of tries by kind, for an attack to tell of
    told: list[str] = field(default_factory=list)  # lines to print before the summary: how many of what kind
    worst_s: float = 0.0  # of a single try
    worst_mb: float = 0.0  # resident

    def took(self, seconds: float, megabytes: float = 0.0) -> None:
        """What a try took."""
        self.worst_s, self.worst_mb = max(self.worst_s, seconds), max(self.worst_mb, megabytes)

    def add(self, other: Self) -> None:
        """What came of a share of the attack."""
        self.tries += other.tries
        self.found += other.found
        self.counts += other.counts
        self.told += other.told
        self.took(other.worst_s, other.worst_mb)


@dataclass(frozen=True)
class Wish:
    """How long an attack may go on: until so many tries were made, or so many seconds have gone.

    A share of it is the try `first` and every so-manieth after it.
    """

    tries: int
    seconds: float
    seed: int
    first: int = 0
    every: int = 1

    def chances(self, tally: Tally) -> Iterator[random.Random]:
        """A chance for each try, which is counted; the same seed gives the same chances."""
        end = time.monotonic() + self.seconds
        for number in range(self.first, self.tries, self.every):
            if number > self.first and time.monotonic() > end:  # one try at least
                break
            tally.tries += 1
            yield random.Random(f"{self.seed} {number}")


@dataclass(frozen=True)
class Summary:
    """The last line that an attack prints, as a value."""

    name: str
    verdict: str  # "held", "NOT HELD", or "not tried"
    tries: int
    found: int
    worst_s: float
    worst_mb: float
    took_s: float
    seed: int

    def __str__(self) -> str:
        return (
            f"{self.name}: {self.verdict}; {self.tries:,} tries, {self.found} found; "
            f"at worst {self.worst_s:.2f} s, {self.worst_mb:.0f} MB; took {self.took_s:.0f} s, seed {self.seed}"
        )

    @classmethod
    def read(cls, line: str) -> Self | None:
        """The summary that a line is, or None."""
        shape = (
            r"(\w+): (held|NOT HELD|not tried); ([\d,]+) tries, (\d+) found; "
            r"at worst ([\d.]+) s, (\d+) MB; took (\d+) s, seed (\d+)"
        )
        if not (read := re.fullmatch(shape, line)):
            return None
        name, verdict, tries, *figures, seed = read.groups()
        found, worst_s, worst_mb, took = figures
        counted = int(tries.replace(",", ""))
        return cls(name, verdict, counted, int(found), float(worst_s), float(worst_mb), float(took), int(seed))


def at_once(shares: int, attack: Callable[[Wish, Tally], None], wish: Wish, tally: Tally) -> None:
    """Attack in so many processes at once, forked from this one, each with its share of the tries.

    What comes of them is put into the tally in the order of the shares, however long each took.
    """
    wishes = [replace(wish, first=first, every=shares) for first in range(min(shares, wish.tries))]
    with ProcessPoolExecutor(shares, get_context("fork")) as pool:
        for came in pool.map(partial(_share, attack), wishes):
            tally.add(came)


def _share(attack: Callable[[Wish, Tally], None], wish: Wish) -> Tally:
    tally = Tally()
    try:
        attack(wish, tally)
    except Exception:
        tally.found.append(f"share {wish.first} broke off: {traceback.format_exc()}")
    return tally


def run(about: str | None, attack: Callable[[Wish, Tally], None], *, tries: int, seconds: int) -> None:
    """Read the options, attack, print what was found and the summary, and end with the exit code.

    `attack` goes by the wish, normally over its `chances`, and puts into the tally what it meets; it may raise
    CannotBeTried. `tries` and `seconds` are what it does without options.
    """
    name = Path(sys.argv[0]).stem
    wish = _wished(about, tries, seconds)
    tally, began, verdict = Tally(), time.monotonic(), "held"
    try:
        attack(wish, tally)
    except CannotBeTried as why:
        verdict = "not tried"
        tally.told.append(f"{name} cannot be tried here: {why}")
    except (Exception, KeyboardInterrupt, SystemExit) as broken:
        traceback.print_exc(file=sys.stdout)
        tally.found.append(f"the attack broke off: {type(broken).__name__} {broken}")
    if tally.found:
        verdict = "NOT HELD"
    more = [f"… and {len(tally.found) - SHOWN} more"] if len(tally.found) > SHOWN else []
    for line in [*tally.told, *tally.found[:SHOWN], *more]:
        print(line)
    took = time.monotonic() - began
    print(Summary(name, verdict, tally.tries, len(tally.found), tally.worst_s, tally.worst_mb, took, wish.seed))
    sys.exit({"held": HELD, "not tried": NOT_TRIED}.get(verdict, NOT_HELD))


def _wished(about: str | None, tries: int, seconds: int) -> Wish:
    parser = asking(about)
    parser.add_argument("--tries", type=count, default=tries, help="at most (%(default)s)")
    parser.add_argument("--seconds", type=between(0, 86400), default=seconds, help="at most, roughly (%(default)s)")
    parser.add_argument("--seed", type=count, default=1, help="of what is random (%(default)s)")
    asked = parser.parse_args()
    left = float(os.environ.get(ENDS, "inf")) - time.monotonic()
    return Wish(asked.tries, min(asked.seconds, max(left, 0.0)), asked.seed)
