"""Lengths as weavers write them: "18.4cm", "7 1/4in", "2.5 m", "3yd"; how they are told; and yarn counts.

A yarn count, "16/2 Ne", says how long a yarn is for its weight, in one of the systems that labels use.
"""

import re
from dataclasses import dataclass
from fractions import Fraction

from assistant.errors import PlanError, SequenceError
from assistant.meaning import Tell
from assistant.warp.model import Unit
from assistant.warp.spelling import shown

YARD = 0.9144  # metres, exactly: NIST SP 811, appendix B.8
METRES = {"inch": 0.0254, "cm": 0.01}  # an inch is 2.54 cm exactly: NIST SP 811, too
SPAN = {"inch": 1, "cm": 10}  # sett and reed are counted over so many units
LONGEST_LENGTH = 100_000.0  # metres

_WRITTEN = {
    **dict.fromkeys(("in", "inch", "inches", '"', "″"), 0.0254),
    **dict.fromkeys(("ft", "foot", "feet"), 0.3048),
    **dict.fromkeys(("yd", "yds", "yard", "yards"), YARD),
    **{"mm": 0.001, "cm": 0.01},
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 1.0),
}
_NUMBER = re.compile(r"(\d{1,9}(?:\.\d{1,9})?)?(?:(?:^|(?<=\d)[ -]+)(\d{1,4})/(\d{1,4}))?", re.ASCII)


def length(text: str, name: Tell, unit: Unit) -> float:
    """The length in `unit`, which is also what a bare number counts in; `name` is what to call it in complaints.

    Raises PlanError where it cannot be read, is 0, or is longer than any warp.
    """
    told = text.strip().replace("\n", " ")
    written = re.split(r"[\d\s./]", told)[-1]
    value = _value(told.removesuffix(written).rstrip())
    if value is None or (written and written.lower() not in _WRITTEN):
        what = "{name} is {text}; write a length, for instance 18.4cm or 7 1/4in"
        raise PlanError(what, name=name, text=shown(text))
    metres = value * _WRITTEN.get(written.lower(), METRES[unit])
    if not 0 < metres <= LONGEST_LENGTH:
        what = "{name} is {text}; write a length greater than 0 and no more than 100 km"
        raise PlanError(what, name=name, text=shown(text))
    return metres / METRES[unit]


def _value(number: str) -> float | None:
    """A decimal, a fraction, or a whole number and a fraction; None for anything else."""
    found = _NUMBER.fullmatch(number)
    if not found or not number:
        return None
    whole, above, below = found.groups()
    if below is None:
        return float(whole)
    if int(below) == 0 or "." in (whole or ""):
        return None
    return float(int(whole or 0) + Fraction(int(above), int(below)))


def plain(number: float, places: int = 2) -> str:
    """The number to so many decimals, without a tail of zeros: "12.6", "1,224"."""
    text = f"{number:,.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def measured(number: float, unit: Unit) -> Tell:
    """A length in the warp's unit, as a complaint has it: "12.6 inches", "45.2 cm"."""
    rounded = round(float(number), 1 if unit == "cm" else 2)
    whole = int(rounded) if rounded.is_integer() else rounded
    if unit == "cm":
        return Tell("{number:,} cm", number=whole)
    return Tell("{number:,} inch" if whole == 1 else "{number:,} inches", number=whole)


def long(number: float, unit: Unit) -> Tell:
    """A length in the warp's unit, as is told: to a tenth of a cm, or a hundredth of an inch."""
    if unit == "cm":
        return Tell("centimetres", number=round(number, 1))
    inches = round(number, 2)
    return Tell("inches", count=1 if inches == 1 else 2, number=inches)


def per(number: float, unit: Unit) -> Tell:
    """A sett or reed, as is told: so many an inch, or in 10 cm."""
    return Tell(f"per {unit}", number=round(number, 2))


POUND = 0.45359237  # kilograms, exactly: NIST SP 811, appendix B.8
METRES_PER_KG_OF_A_YARD_PER_LB = YARD / POUND

_FOR_INSTANCE = "write for instance 16/2 Ne, 28/2 Nm, 40 tex, 8400 m/kg or 4200 yd/lb"
LEAST_PER_KG, MOST_PER_KG = 10.0, 10_000_000.0  # metres per kilogram: beyond these it is no yarn


@dataclass(frozen=True, slots=True)
class System:
    """A way of counting; `one` is the metres per kilogram of a yarn of count 1."""

    sign: str
    one: float
    by_weight: bool  # the count rises with the weight of a length, not with the length of a weight


_PER_POUND = METRES_PER_KG_OF_A_YARD_PER_LB
SYSTEMS = {  # hanks and weights: ISO 1144:2016 and ASTM D2260, from memory
    "ne": System("Ne", 840 * _PER_POUND, False),  # cotton: hanks of 840 yards in a pound
    "nel": System("NeL", 300 * _PER_POUND, False),  # linen: leas of 300 yards in a pound
    "nek": System("NeK", 560 * _PER_POUND, False),  # worsted: hanks of 560 yards in a pound
    "nm": System("Nm", 1000.0, False),  # metres in a gram
    "m/kg": System("m/kg", 1.0, False),
    "yd/lb": System("yd/lb", _PER_POUND, False),
    "tex": System("tex", 1_000_000.0, True),  # grams in a kilometre
    "den": System("den", 9_000_000.0, True),  # grams in nine kilometres
}
_SYSTEM = "|".join(sorted(SYSTEMS, key=len, reverse=True))
_COUNTED = r"\d{1,7}(?:\.\d{1,4})?"
_COUNT = re.compile(
    rf"(?:(?P<before>{_SYSTEM})\s*)?(?P<count>{_COUNTED})(?:\s*/\s*(?P<plies>{_COUNTED}))?\s*(?P<after>{_SYSTEM})?"
    rf"(?:\s*[x×]\s*(?P<times>\d{{1,3}}))?",
    re.IGNORECASE | re.ASCII,
)


def per_kilogram(text: str) -> float:
    """The metres in a kilogram of the whole yarn: half as many for two plies.

    16/2 and 2/16 are both two plies of 16; with tex or den the plies stand behind, as in 20 tex x 2.
    Raises SequenceError, without a place, where the count cannot be read.
    """
    found = _COUNT.fullmatch(text.strip())
    if not found or bool(found["before"]) == bool(found["after"]):
        raise SequenceError("the count {text} cannot be read", _FOR_INSTANCE, text=shown(text))
    system = SYSTEMS[(found["before"] or found["after"]).lower()]
    if found["plies"] and (system.by_weight or "/" in system.sign or found["times"]):
        todo = "write for instance 16/2 Ne or 20 tex x 2"
        raise SequenceError("the plies in {text} cannot be read", todo, text=shown(text))
    count, plies = float(found["count"]), float(found["times"] or 1)
    if found["plies"]:  # the smaller number is the plies
        plies, count = sorted((count, float(found["plies"])))
    if not (count and plies and plies.is_integer()):
        raise SequenceError("the count {text} is of no yarn", _FOR_INSTANCE, text=shown(text))
    metres = (system.one / count if system.by_weight else system.one * count) / plies
    if not LEAST_PER_KG <= metres <= MOST_PER_KG:
        what = "the count {text} comes to {metres} m/kg"
        raise SequenceError(what, "look for a number wrong", text=shown(text), metres=f"{metres:,.6g}")
    return metres
