"""The warp cut into sections of a width, to tie on by."""

from itertools import pairwise
from typing import NamedTuple

from assistant.errors import PlanError
from assistant.warp.lengths import plain
from assistant.warp.model import Unit
from assistant.warp.plan.reed import InReed

MOST_SECTIONS = 1000
USUAL = {"inch": 1.0, "cm": 2.0}


class Section(NamedTuple):
    """Ends tied on together."""

    first_end: int
    ends: int
    width: float

    def as_json(self) -> dict[str, float]:
        """Every field by name."""
        return {"first_end": self.first_end, "ends": self.ends, "width": round(self.width, 4)}


def usual_width(lying: InReed, unit: Unit) -> float:
    """An inch or 2 cm, but no less than a dent and no more than a thousand sections."""
    return max(USUAL[unit], 1 / lying.per_inch_or_cm, lying.width / MOST_SECTIONS)


def sections(lying: InReed, width: float) -> tuple[Section, ...]:
    """Sections of whole dents, each as near to `width` as its last dent allows, from the first end on.

    A rest narrower than half a section goes with the last one. Raises PlanError where they are too narrow to tie.
    """
    per_section = lying.per_inch_or_cm * width  # dents
    number = max(1, int(lying.dents / per_section + 0.5))
    if per_section < 1 - 1e-9 or number > MOST_SECTIONS:
        raise PlanError(f"a section of {plain(width, 4)} is too narrow; write a width that holds some ends")
    borders = [min(lying.dents, round(i * per_section)) for i in range(number)] + [lying.dents]
    found = (_section(lying, before, last) for before, last in pairwise(borders))
    return tuple(section for section in found if section.ends)


def _section(lying: InReed, before: int, last: int) -> Section:
    """The ends in the dents after `before` up to `last`."""
    first = lying.sley.ends(before + 1).start
    ends = min(lying.sley.ends(last).stop - 1, lying.ends) - first + 1
    return Section(first, ends, (last - before) / lying.per_inch_or_cm)
