"""What the work is cut into: groups that are alike, sections to tie on, and the time that each job takes."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby, pairwise
from typing import NamedTuple

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp.lengths import plain
from assistant.warp.model import Group, Warping
from assistant.warp.passes import PASSES
from assistant.warp.passes.order import ORDERS, OTHERWISE
from assistant.warp.passes.pace import Time, spelled, time
from assistant.warp.reed import InReed


class AlikeGroups(NamedTuple):
    """So many groups from the one at index `first` on, each of so many ends."""

    first: int
    times: int
    ends: int
    name: str  # of the first one: "edge", "stripe 1"
    until: str  # of the last one, or its number where all else is the same; "" for one alone


def alike(groups: Sequence[Group]) -> Iterator[AlikeGroups]:
    """The groups in order, equal neighbours together."""
    first = 0
    for ends, run in groupby(groups, key=lambda group: group.ends):
        names = [group.name for group in run]
        yield AlikeGroups(first, len(names), len(ends), names[0], until(names[0], names[-1]))
        first += len(names)


def until(first: str, last: str) -> str:
    """What to call the last of groups that stand together: its number where all else is as in the first; "" for one."""
    if first == last:
        return ""
    stem, _, number = last.rpartition(" ")
    return number if number.isdecimal() and first.rpartition(" ")[0] == stem else last


MOST_SECTIONS = 1000
USUAL_SECTION = {"inch": 1.0, "cm": 2.0}  # tied on: common practice, no source
LASHED_SECTION = {"inch": 0.5, "cm": 1.0}  # lashed on with a cord, so smaller: common practice, no source


class Section(NamedTuple):
    """Ends tied on together."""

    first_end: int
    ends: int
    width: float

    def as_json(self) -> dict[str, float]:
        """Every field by name."""
        return {"first_end": self.first_end, "ends": self.ends, "width": round(self.width, 4)}


def usual_width(lying: InReed, usual: float) -> float:
    """As `usual`, but no less than a dent and no more than a thousand sections."""
    return max(usual, 1 / lying.per_inch_or_cm, lying.width / MOST_SECTIONS)


def sections(lying: InReed, width: float) -> tuple[Section, ...]:
    """Sections of whole dents, each as near to `width` as its last dent allows, from the first end on.

    A rest narrower than half a section goes with the last one. Raises PlanError where they are too narrow to tie.
    """
    per_section = lying.per_inch_or_cm * width  # dents
    number = max(1, int(lying.dents / per_section + 0.5))
    if per_section < 1 - 1e-9 or number > MOST_SECTIONS:
        what = "a section of {width} is too narrow; write a width that holds some ends"
        raise PlanError(what, width=plain(width, 4))
    borders = [min(lying.dents, round(i * per_section)) for i in range(number)] + [lying.dents]
    found = (_section(lying, before, last) for before, last in pairwise(borders))
    return tuple(section for section in found if section.ends)


def _section(lying: InReed, before: int, last: int) -> Section:
    """The ends in the dents after `before` up to `last`."""
    first, stop = lying.held(before + 1).start, lying.held(last).stop
    return Section(first, stop - first, (last - before) / lying.per_inch_or_cm)


def times(ends: int, heddles: int, warping: Warping, paces: Mapping[str, float]) -> tuple[Time, ...]:
    """Every job once, in this order of work first; `paces` are the weaver's own, in seconds an end, or a heddle."""
    others = (job for job in PASSES if job not in OTHERWISE.values())
    return tuple(
        time(PASSES[job], heddles if PASSES[job].unit == "heddle" else ends, paces.get(job))
        for job in dict.fromkeys((*ORDERS[warping], *others))
    )


def duration(seconds: float) -> Tell:
    """A time that was measured, as is told: to five minutes from an hour on."""
    minutes = max(1, round(seconds / 60))
    return spelled(minutes if minutes < 60 else 5 * round(minutes / 5))
