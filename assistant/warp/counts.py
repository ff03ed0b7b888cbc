"""Yarn counts: how long a yarn is for its weight, in the systems that labels use."""

import re
from dataclasses import dataclass

from assistant.errors import SequenceError
from assistant.warp.lengths import YARD
from assistant.warp.spelling import shown

POUND = 0.45359237  # kilograms, exactly: NIST SP 811, appendix B.8
METRES_PER_KG_OF_A_YARD_PER_LB = YARD / POUND

_FOR_INSTANCE = "write for instance 16/2 Ne, 28/2 Nm, 40 tex, 8400 m/kg or 4200 yd/lb"
LEAST, MOST = 10.0, 10_000_000.0  # metres per kilogram: beyond these it is no yarn


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
_SIGN = "|".join(sorted(SYSTEMS, key=len, reverse=True))
_NUMBER = r"\d{1,7}(?:\.\d{1,4})?"
_COUNT = re.compile(
    rf"(?:(?P<before>{_SIGN})\s*)?(?P<count>{_NUMBER})(?:\s*/\s*(?P<plies>{_NUMBER}))?\s*(?P<after>{_SIGN})?"
    rf"(?:\s*[x×]\s*(?P<times>\d{{1,3}}))?",
    re.IGNORECASE | re.ASCII,
)


def metres_per_kg(text: str) -> float:
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
    if not LEAST <= metres <= MOST:
        what = "the count {text} comes to {metres} m/kg"
        raise SequenceError(what, "look for a number wrong", text=shown(text), metres=f"{metres:,.6g}")
    return metres
