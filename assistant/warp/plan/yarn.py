"""Yarn: how many ends of each, how much the warp takes, and whether a sett is near what its thickness suggests."""

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp.counts import (
    LEAST_PER_KG,
    METRES_PER_KG_OF_A_YARD_PER_LB,
    MOST_PER_KG,
    Label,
    label,
    per_kilogram,
)
from assistant.warp.lengths import METRES, SPAN, per
from assistant.warp.model import Warp, Yarn

AGREE = 0.2  # a label and a measured length may differ by this part before it is worth a word
NO_YARN = "yarn not given"  # as JSON calls it


@dataclass(frozen=True, slots=True)
class YarnPlan:
    """One yarn of the warp, its name "" where none is given.

    Metres and grams are None where the length, or the count, is not known; `label` where none was read for the count.
    """

    key: str
    name: str
    ends: int
    metres: float | None
    per_kg: float | None
    label: Label | None

    @property
    def grams(self) -> float | None:
        """What it weighs."""
        return grams(self.metres, self.per_kg)

    def as_json(self) -> dict[str, object]:
        """Every field by name."""
        rounded = {name: _rounded(getattr(self, name)) for name in ("metres", "grams")}
        read = {"metres_per_kg": _rounded(self.per_kg), **label_as_json(self.label)}
        return {"key": self.key, "name": self.name or NO_YARN, "ends": self.ends, **rounded, **read}


def label_as_json(label: Label | None) -> dict[str, object]:
    """How a label is read, and what else it may mean."""
    other = label.other if label else None
    return {"read_as": label.read.written if label else None, "or_else": other.written if other else None}


def grams(metres: float | None, per_kg: float | None) -> float | None:
    """What so many metres weigh; None where one of the two is not known."""
    return metres / per_kg * 1000 if metres is not None and per_kg else None


def metres_per_kg(yarn: Yarn) -> float | None:
    """As given, else from the count on the label. Raises PlanError for what is no yarn."""
    if yarn.metres_per_kg is None:
        return per_kilogram(yarn.count) if yarn.count else None
    if not LEAST_PER_KG <= yarn.metres_per_kg <= MOST_PER_KG:
        what = "{yarn}: metres_per_kg is {number}; look for a wrong number"
        raise PlanError(what, yarn=yarn.name, number=f"{yarn.metres_per_kg:g}")
    return yarn.metres_per_kg


def yarn_plans(
    warp: Warp, metres: float | None, by_beam: Mapping[str, float | None] | None = None
) -> tuple[YarnPlan, ...]:
    """Every yarn that is used, for a warp of so many metres, the most used first; `by_beam` where beams differ."""
    lengths = by_beam or {}
    used = Counter((end.yarn, end.beam) for end in warp.every_end())
    ends, wound = Counter[str](), dict[str, float | None]()
    for (key, beam), number in used.items():
        ends[key] += number
        length, before = lengths.get(beam, metres), wound.get(key, 0.0)
        wound[key] = None if length is None or before is None else before + number * length
    return tuple(
        _yarn_plan(warp.yarns.get(key, Yarn(key, "")), number, wound[key]) for key, number in ends.most_common()
    )


def label_cautions(warp: Warp) -> tuple[Tell, ...]:
    """Each yarn whose count and metres_per_kg do not agree, or whose count alone may mean two things."""
    return tuple(caution for yarn in warp.yarns.values() if yarn.count for caution in _label_caution(yarn))


def _label_caution(yarn: Yarn) -> Iterator[Tell]:
    found = label(yarn.count)
    readings = [each for each in (found.read, found.other) if each]
    if yarn.metres_per_kg is None:
        if found.other:
            yield in_doubt(found, yarn.count, yarn.name)
    elif all(abs(each.metres_per_kg / yarn.metres_per_kg - 1) > AGREE for each in readings):
        reckoned, given = round(found.read.metres_per_kg), round(yarn.metres_per_kg)
        yield Tell("label and file differ", yarn=yarn.name, label=yarn.count, reckoned=reckoned, given=given)


def in_doubt(found: Label, written: str, yarn: str) -> Tell:
    """How a label that may mean two things is read, and how to write either."""
    assert found.other
    return Tell(
        "label in doubt",
        yarn=yarn,
        label=written,
        read=found.read.written,
        metres=round(found.read.metres_per_kg),
        other=found.other.written,
        other_metres=round(found.other.metres_per_kg),
    )


def _yarn_plan(yarn: Yarn, ends: int, metres: float | None) -> YarnPlan:
    read = label(yarn.count) if yarn.count and yarn.metres_per_kg is None else None
    return YarnPlan(yarn.key, yarn.name, ends, metres, metres_per_kg(yarn), read)


def _rounded(number: float | None) -> float | None:
    return None if number is None else round(number, 1)


OPEN = 0.5  # of the closest plain weave: below this a cloth is as open as gauze
WARP_FACED = 3.0  # of the same, and so half as many again as lie side by side: above this no cloth is so close
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


def is_warp_faced(most: Closest | None, sett: float | None) -> bool:
    """Whether the sett is closer than a balanced cloth can be, and as close as one in which the warp covers the weft.

    Common practice, no source: such cloth is set about twice as close as plain weave, bands up to three times.
    """
    return most is not None and sett is not None and most.twill < sett <= WARP_FACED * most.plain_weave


def sett_cautions(warp: Warp, sett: float | None) -> tuple[Tell, ...]:
    """That the sett is closer than even a warp-faced cloth, or as open as gauze."""
    most = closest(warp)
    if most is None or sett is None or OPEN * most.plain_weave <= sett <= WARP_FACED * most.plain_weave:
        return ()
    how = "sett close" if sett > most.twill else "sett open"
    plain_weave = per(round(most.plain_weave), warp.unit)
    return (Tell(how, sett=round(sett, 2), plain_weave=plain_weave, twill=round(most.twill)),)


def _used(warp: Warp) -> Counter[str]:
    return Counter(end.yarn for end in warp.every_end())
