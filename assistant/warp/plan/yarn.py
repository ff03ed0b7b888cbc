"""Yarn: how many ends of each, how much the warp takes, and whether a sett is near what its thickness suggests."""

import math
from collections import Counter
from dataclasses import dataclass
from typing import NamedTuple

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp.lengths import (
    LEAST_PER_KG,
    METRES,
    METRES_PER_KG_OF_A_YARD_PER_LB,
    MOST_PER_KG,
    SPAN,
    per,
    per_kilogram,
)
from assistant.warp.model import Warp, Yarn

AGREE = 0.2  # a label and a measured length may differ by this part before it is worth a word
NO_YARN = "yarn not given"  # as JSON calls it


@dataclass(frozen=True, slots=True)
class YarnPlan:
    """One yarn of the warp, its name "" where none is given.

    Metres and grams are None where the length, or the count, is not known.
    """

    key: str
    name: str
    ends: int
    metres: float | None
    grams: float | None

    def as_json(self) -> dict[str, object]:
        """Every field by name."""
        rounded = {name: _rounded(getattr(self, name)) for name in ("metres", "grams")}
        return {"key": self.key, "name": self.name or NO_YARN, "ends": self.ends, **rounded}


def metres_per_kg(yarn: Yarn) -> float | None:
    """As given, else from the count on the label. Raises PlanError for what is no yarn."""
    if yarn.metres_per_kg is None:
        return per_kilogram(yarn.count) if yarn.count else None
    if not LEAST_PER_KG <= yarn.metres_per_kg <= MOST_PER_KG:
        what = "{yarn}: metres_per_kg is {number}; look for a wrong number"
        raise PlanError(what, yarn=yarn.name, number=f"{yarn.metres_per_kg:g}")
    return yarn.metres_per_kg


def warp_length(cloth: float, take_up: float, shrinkage: float, waste: float) -> float:
    """The length to wind for a length of finished cloth.

    `shrinkage` is the part of the woven length lost in washing, `take_up` the part of the warp lost in bending around
    the weft; `waste`, in the unit of `cloth`, is what cannot be woven.
    """
    return cloth / (1 - shrinkage) / (1 - take_up) + waste


def yarn_plans(warp: Warp, metres: float | None) -> tuple[YarnPlan, ...]:
    """Every yarn that is used, for a warp of so many metres, the most used first."""
    used = Counter(end.yarn for end in warp.every_end())
    return tuple(_yarn_plan(warp.yarns.get(key, Yarn(key, "")), ends, metres) for key, ends in used.most_common())


def label_cautions(warp: Warp) -> tuple[Tell, ...]:
    """Each yarn whose count and metres_per_kg do not agree."""
    labels = [
        (yarn, per_kilogram(yarn.count), yarn.metres_per_kg)
        for yarn in warp.yarns.values()
        if yarn.count and yarn.metres_per_kg
    ]
    return tuple(
        Tell("label and file differ", yarn=yarn.name, label=yarn.count, reckoned=round(label), given=round(per_kg))
        for yarn, label, per_kg in labels
        if abs(label / per_kg - 1) > AGREE
    )


def _yarn_plan(yarn: Yarn, ends: int, metres: float | None) -> YarnPlan:
    if metres is None:
        return YarnPlan(yarn.key, yarn.name, ends, None, None)
    total, per_kg = ends * metres, metres_per_kg(yarn)
    return YarnPlan(yarn.key, yarn.name, ends, total, total / per_kg * 1000 if per_kg else None)


def _rounded(number: float | None) -> float | None:
    return None if number is None else round(number, 1)


OPEN = 0.5  # of the closest plain weave: below this a cloth is as open as gauze
_CLOSEST_PLAIN, _CLOSEST_TWILL = 1 / 2, 2 / 3  # ends to ends and crossings: 1/1 plain weave, 2/2 twill


class Closest(NamedTuple):
    """The most ends that lie side by side in a balanced cloth, per unit."""

    plain_weave: float
    twill: float


def diameters(metres_per_kilogram: float) -> float:
    """How many threads of a yarn lie side by side in an inch.

    T. R. Ashenhurst, A Treatise on Textile Calculations and the Structure of Fabrics (1884), from memory: the square
    root of the yards in a pound, less a tenth for worsted, which lies between his cotton and his woollen.
    """
    return 0.9 * math.sqrt(metres_per_kilogram / METRES_PER_KG_OF_A_YARD_PER_LB)


def closest(warp: Warp) -> Closest | None:
    """From the mean diameter of the ends whose yarn is known; None where none is."""
    known = [(ends, metres_per_kg(warp.yarns[key])) for key, ends in _used(warp).items() if key in warp.yarns]
    thickness = [(ends, 1 / diameters(per_kg)) for ends, per_kg in known if per_kg]
    if not thickness:
        return None
    ends = sum(ends for ends, _ in thickness)
    per_inch = ends / sum(ends * inches for ends, inches in thickness)
    per_unit_length = per_inch * SPAN[warp.unit] * METRES[warp.unit] / METRES["inch"]
    return Closest(per_unit_length * _CLOSEST_PLAIN, per_unit_length * _CLOSEST_TWILL)


def sett_cautions(warp: Warp, sett: float | None) -> tuple[Tell, ...]:
    """That the sett is closer than a 2/2 twill can be woven, or as open as gauze."""
    most = closest(warp)
    if most is None or sett is None or OPEN * most.plain_weave <= sett <= most.twill:
        return ()
    how = "sett close" if sett > most.twill else "sett open"
    plain_weave = per(round(most.plain_weave), warp.unit)
    return (Tell(how, sett=round(sett, 2), plain_weave=plain_weave, twill=round(most.twill)),)


def _used(warp: Warp) -> Counter[str]:
    return Counter(end.yarn for end in warp.every_end())
