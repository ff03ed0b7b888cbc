"""Whether a sett is near what the thickness of the yarn suggests: advice, never a refusal."""

import math
from collections import Counter
from typing import NamedTuple

from assistant.warp.counts import METRES_PER_KG_OF_A_YARD_PER_LB
from assistant.warp.lengths import METRES, SPAN, per_unit, plain
from assistant.warp.model import Unit, Warp
from assistant.warp.plan.yarn import metres_per_kg

SOURCE = "Ashenhurst's diameters, 1884"
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


def sett_cautions(warp: Warp, sett: float | None) -> tuple[str, ...]:
    """A line where the sett is closer than a 2/2 twill can be woven, or as open as gauze."""
    most = closest(warp)
    if most is None or sett is None or OPEN * most.plain_weave <= sett <= most.twill:
        return ()
    how = "close" if sett > most.twill else "open"
    return (
        f"sett {plain(sett)} is {how} for this yarn, which lies closest at {_shown(most.plain_weave, warp.unit)} in "
        f"plain weave and {plain(most.twill, 0)} in 2/2 twill ({SOURCE}); weave a sample",
    )


def _shown(sett: float, unit: Unit) -> str:
    return per_unit(round(sett), unit)


def _used(warp: Warp) -> Counter[str]:
    return Counter(end.yarn for end in warp.every_end())
