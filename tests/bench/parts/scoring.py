"""What the hearing benchmark counts: words right and wrong, parts of a whole, false activations, delays."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
from parts.wanted import Heard

NEAR_S = 0.35  # after the end of a word, up to which what is heard to end there is meant for it


class Said(NamedTuple):
    """What was said in a sound, and when, in seconds since that began."""

    label: str  # as Heard has it; "": nothing that is to be heard
    start_s: float
    end_s: float


@dataclass(frozen=True)
class Score:
    """Words that were to be heard."""

    said: int = 0
    right: int = 0
    wrong: int = 0  # for which another word was heard

    def __add__(self, other: "Score") -> "Score":
        return Score(self.said + other.said, self.right + other.right, self.wrong + other.wrong)

    @property
    def missed(self) -> int:
        """For which nothing was heard."""
        return self.said - self.right - self.wrong

    def __str__(self) -> str:
        return f"{100 * self.right / self.said:.1f} ({100 * self.wrong / self.said:.1f})" if self.said else "–"


@dataclass(frozen=True)
class Share:
    """Some of a whole."""

    of: int = 0
    some: int = 0

    def __add__(self, other: "Share") -> "Share":
        return Share(self.of + other.of, self.some + other.some)

    def __str__(self) -> str:
        return f"{100 * self.some / self.of:.1f} % ({self.some} of {self.of})" if self.of else "–"


@dataclass(frozen=True)
class Rate:
    """What was heard where nothing is to be heard."""

    found: int = 0
    seconds: float = 0.0

    def __add__(self, other: "Rate") -> "Rate":
        return Rate(self.found + other.found, self.seconds + other.seconds)

    def __str__(self) -> str:
        hours = self.seconds / 3600
        return f"{self.found / hours:.1f} ({self.found} in {hours:.2f} h)" if hours else "–"


@dataclass(frozen=True)
class Delays:
    """Seconds from the end of a word to when it was heard."""

    each: list[float] = field(default_factory=list)

    def __add__(self, other: "Delays") -> "Delays":
        return Delays(self.each + other.each)

    def __str__(self) -> str:
        return " / ".join(f"{1000 * np.percentile(self.each, share):.0f}" for share in (50, 95)) if self.each else "–"


@dataclass(frozen=True)
class AtMost:
    """The largest of some figures."""

    figure: float
    places: int  # that are printed

    def __add__(self, other: "AtMost") -> "AtMost":
        return AtMost(max(self.figure, other.figure), self.places)

    def __str__(self) -> str:
        return f"{self.figure:.{self.places}f}"


Cell = Score | Share | Rate | Delays | AtMost  # of a table; printed as it reads, and added to others of its kind
Results = dict[tuple[str, str], Any]  # a cell by its row and ear; of one kind throughout a row


def gather(results: Results, ear: str, cells: Iterable[tuple[str, Cell]]) -> None:
    """Add these to what came of the ear in each row."""
    for row, cell in cells:
        before = results.get((row, ear))
        results[row, ear] = cell if before is None else before + cell


def together(each: Iterable[Results]) -> Results:
    """All of these in one."""
    results: Results = {}
    for one in each:
        for (row, ear), cell in one.items():
            gather(results, ear, [(row, cell)])
    return results


def score(heard: list[Heard], said: Iterable[Said]) -> Score:
    """Of the words that are to be heard; one for which a right and a wrong word were heard is wrong."""
    total = Score()
    for each in said:
        labels = [one.label for one in _meant(heard, each)]
        wrong = any(label != each.label for label in labels)
        total += Score(1, bool(labels) and not wrong, wrong)
    return total


def taken(heard: list[Heard], said: Iterable[Said]) -> Share:
    """How many of the words that are not to be heard were."""
    each = [any(_meant(heard, one)) for one in said]
    return Share(len(each), sum(each))


def delays(heard: list[Heard], said: Iterable[Said]) -> Delays:
    """Of the right words."""
    return Delays(
        [one.decided_s - each.end_s for each in said for one in _meant(heard, each) if one.label == each.label]
    )


def _meant(heard: list[Heard], said: Said) -> list[Heard]:
    return [each for each in heard if said.start_s < each.end_s < said.end_s + NEAR_S]
