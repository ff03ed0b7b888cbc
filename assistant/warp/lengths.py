"""Lengths as weavers write them: "18.4cm", "7 1/4in", "2.5 m", "3yd"; and how they are told."""

import re
from fractions import Fraction

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp.model import Unit
from assistant.warp.spelling import shown

YARD = 0.9144  # metres, exactly: NIST SP 811, appendix B.8
METRES = {"inch": 0.0254, "cm": 0.01}  # an inch is 2.54 cm exactly: NIST SP 811, too
SPAN = {"inch": 1, "cm": 10}  # sett and reed are counted over so many units
LONGEST_LENGTH = 100_000.0  # metres

_METRIC = {
    **{"mm": 0.001, "cm": 0.01},
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 1.0),
}
_WRITTEN = {
    **dict.fromkeys(("in", "inch", "inches", '"', "″"), 0.0254),
    **dict.fromkeys(("ft", "foot", "feet"), 0.3048),
    **dict.fromkeys(("yd", "yds", "yard", "yards"), YARD),
    **_METRIC,
}
_NUMBER = re.compile(r"(\d{1,9}(?:\.\d{1,9})?)?(?:(?:^|(?<=\d)[ -]+)(\d{1,4})/(\d{1,4}))?", re.ASCII)


def length(text: str, name: Tell, unit: Unit) -> float:
    """The length in `unit`, which is also what a bare number counts in; `name` is what to call it in complaints.

    Raises PlanError where it cannot be read, is 0, or is longer than any warp.
    """
    told = text.strip().replace("\n", " ")
    written = re.split(r"[\d\s./]", told)[-1]
    value = quantity(told.removesuffix(written).rstrip())
    if value is None or (written and written.lower() not in _WRITTEN):
        what = "{name} is {text}; write a length, for instance 18.4cm or 7 1/4in"
        raise PlanError(what, name=name, text=shown(text))
    metres = value * _WRITTEN.get(written.lower(), METRES[unit])
    if not 0 < metres <= LONGEST_LENGTH:
        what = "{name} is {text}; write a length greater than 0 and no more than 100 km"
        raise PlanError(what, name=name, text=shown(text))
    return metres / METRES[unit]


def quantity(number: str) -> float | None:
    """A decimal, a fraction, or a whole number and a fraction: "7.25", "1/4", "7 1/4"; None for anything else."""
    found = _NUMBER.fullmatch(number)
    if not found or not number:
        return None
    whole, above, below = found.groups()
    if below is None:
        return float(whole)
    if int(below) == 0 or "." in (whole or ""):
        return None
    return float(int(whole or 0) + Fraction(int(above), int(below)))


def unit_written(text: str) -> Unit | None:
    """The unit that a length is written in, metric or not; None where that is not said."""
    written = re.split(r"[\d\s./]", text.strip())[-1].lower()
    return "cm" if written in _METRIC else "inch" if written in _WRITTEN else None


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


def of_yarn(metres: float, unit: Unit) -> Tell:
    """A length of yarn in the units of the warp's weaver."""
    if unit == "inch":
        return Tell("yards", number=round(metres / YARD, 1))
    return Tell("metres", number=round(metres, 1))
