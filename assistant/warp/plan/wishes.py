"""What a weaver adds to the sequence file when asking for a plan."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp import lengths
from assistant.warp.model import Unit
from assistant.warp.spelling import shown

MOST_REEDS = 50
MOST_LOST = 90.0  # per cent
WASTE = {"inch": 27.0, "cm": 70.0}  # loom waste of a floor loom: common practice, no source
LOST = "10"  # per cent of take-up and of shrinkage: common practice, no source
KEPT_BY_TYING = 0.5  # of the loom waste: the old ends serve to tie on at the front; common practice, no source


@dataclass(frozen=True, slots=True)
class Wishes:
    """Lengths and widths in the unit of the warp, parts from 0 to 1, paces in seconds an end (or a heddle)."""

    waste: float
    waste_tied: float
    cloth: float | None = None  # finished
    take_up: float = 0.1
    shrinkage: float = 0.1
    reed_width: float | None = None
    section: float | None = None
    reeds: tuple[float, ...] = ()
    paces: Mapping[str, float] = field(default_factory=dict, hash=False)


def wishes(
    unit: Unit,
    *,
    cloth: str | None = None,
    take_up: str | None = None,
    shrinkage: str | None = None,
    waste: str | None = None,
    waste_tied: str | None = None,
    reed_width: str | None = None,
    section: str | None = None,
    reeds: str | None = None,
    paces: Mapping[str, float] | None = None,
) -> Wishes:
    """The options as a weaver writes them; a bare length counts in the unit of the warp. Raises PlanError."""

    def read(text: str | None, name: Tell) -> float | None:
        return None if text is None else lengths.length(text, name, unit)

    lost = read(waste, Tell("the loom waste")) or WASTE[unit]
    return Wishes(
        waste=lost,
        waste_tied=read(waste_tied, Tell("the loom waste of a tied warp")) or lost * KEPT_BY_TYING,
        cloth=read(cloth, Tell("the length of cloth")),
        take_up=_part(LOST if take_up is None else take_up, Tell("the take-up")),
        shrinkage=_part(LOST if shrinkage is None else shrinkage, Tell("the shrinkage")),
        reed_width=read(reed_width, Tell("the width of the reed")),
        section=read(section, Tell("the width of a section")),
        reeds=_reeds(reeds) if reeds is not None else (),
        paces=paces or {},
    )


def _part(text: str, name: Tell) -> float:
    """A percentage as a part of 1."""
    number = _number(text.strip().removesuffix("%").strip())
    if not 0 <= number <= MOST_LOST:
        what = "{name} is {text}; write per cent, from 0 to {most:.0f}"
        raise PlanError(what, name=name, text=shown(text), most=MOST_LOST)
    return number / 100


def _reeds(text: str) -> tuple[float, ...]:
    numbers = tuple(_number(reed.strip()) for reed in text.split(","))
    if len(numbers) > MOST_REEDS or not all(number > 0 for number in numbers):
        what = "the reeds are {text}; write dents per unit with commas between, as in 8,10,12"
        raise PlanError(what, text=shown(text))
    return numbers


def _number(text: str) -> float:
    """A plain decimal; NaN for anything else."""
    return float(text) if re.fullmatch(r"\d{1,6}(\.\d{1,6})?", text, re.ASCII) else math.nan
