"""Yarn counts as labels have them: "16/2 Ne", "12/15 Ne", "1.5/2 Nm", "R40 tex / 2", "3,360 yd/lb".

A count says how long a yarn is for its weight, in one of the systems that labels use. Some labels can be read in two
ways: then one reading is taken, and both are told as they would be written without a doubt.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp.lengths import YARD
from assistant.warp.spelling import shown

POUND = 0.45359237  # kilograms, exactly: NIST SP 811, appendix B.8
METRES_PER_KG_OF_A_YARD_PER_LB = YARD / POUND
LEAST_PER_KG, MOST_PER_KG = 10.0, 10_000_000.0  # metres per kilogram: beyond these it is no yarn
USUAL_PER_KG = (200.0, 200_000.0)  # most yarns that are woven by hand: of x and 1,000 x at most one lies between
MOST_PLIES_OF_A_YARN = 4  # cords have more; common practice, no source
MOST_DIGITS = 12

_FOR_INSTANCE = "write for instance 16/2 Ne, 28/2 Nm, 40 tex, 8400 m/kg or 4200 yd/lb"
_PLIES = "write for instance 16/2 Ne, 20 tex x 2, or R40 tex / 2 for 40 tex in all"


@dataclass(frozen=True, slots=True)
class System:
    """A way of counting; `one` is the metres per kilogram of a yarn of count 1."""

    sign: str
    one: float
    by_weight: bool  # the count rises with the weight of a length, not with the length of a weight

    @property
    def has_hanks(self) -> bool:
        """Whether the count is a number of hanks, and not plainly a length and a weight."""
        return not self.by_weight and "/" not in self.sign

    @property
    def in_thousands(self) -> bool:
        """Whether counts of 1,000 and more are common."""
        return not (self.has_hanks or self.sign == "tex")


_PER_POUND = METRES_PER_KG_OF_A_YARD_PER_LB
SYSTEMS = {  # hanks and weights: ISO 1144:2016 and ASTM D2260, from memory
    "ne": System("Ne", 840 * _PER_POUND, False),  # cotton: hanks of 840 yards in a pound
    "nel": System("NeL", 300 * _PER_POUND, False),  # linen: leas of 300 yards in a pound
    "nek": System("NeK", 560 * _PER_POUND, False),  # worsted: hanks of 560 yards in a pound
    "nm": System("Nm", 1000.0, False),  # metres in a gram
    "m/kg": System("m/kg", 1.0, False),
    "yd/lb": System("yd/lb", _PER_POUND, False),
    "tex": System("tex", 1_000_000.0, True),  # grams in a kilometre
    "dtex": System("dtex", 10_000_000.0, True),  # grams in ten kilometres
    "den": System("den", 9_000_000.0, True),  # grams in nine kilometres
}


@dataclass(frozen=True, slots=True)
class YarnCount:
    """What a label may mean: how that is written without a doubt, "12 Ne x 15", and the whole yarn's metres."""

    written: str
    metres_per_kg: float


@dataclass(frozen=True, slots=True)
class Label:
    """A label as it was read, and what else it may mean; None where there is no doubt."""

    read: YarnCount
    other: YarnCount | None = None


_SYSTEM = "|".join(sorted(SYSTEMS, key=len, reverse=True))
_SPACES = " \u00a0\u202f'’"  # between thousands, in some languages
_NUMBER = rf"\d(?:[\d.,]|[{_SPACES}](?=\d))*"
_LABEL = re.compile(
    rf"(?:(?P<before>{_SYSTEM})\s*)?(?P<whole>R\s*)?(?P<count>{_NUMBER})(?:\s*/\s*(?P<second>{_NUMBER}))?"
    rf"\s*(?P<after>{_SYSTEM})?(?:\s*(?P<by>[x×/])\s*(?P<times>\d{{1,3}}))?",
    re.IGNORECASE | re.ASCII,
)


def per_kilogram(text: str) -> float:
    """The metres in a kilogram of the whole yarn, by the reading that is taken. Raises as `label` does."""
    return label(text).read.metres_per_kg


def label(text: str) -> Label:
    """What stands on a label, read. Raises SequenceError, without a place, where it cannot be.

    The plies stand behind the slash, as in 16/2 and 12/15, unless the first number alone can be the plies, up to four
    and smaller: 2/16 is two plies of 16. Where a<b and both can be, 2/3, or none, 12/15, it may mean either.
    tex, dtex and den have plies behind an x; R is the count of the whole yarn (ISO 1139, from memory).
    Where a comma or point before three digits may part thousands or decimals, the reading is taken that makes it a
    usual yarn.
    """
    found = _LABEL.fullmatch(text.strip())
    if not found or bool(found["before"]) == bool(found["after"]):
        raise SequenceError("the count {text} cannot be read", _FOR_INSTANCE, text=shown(text))
    system = SYSTEMS[(found["before"] or found["after"]).lower()]
    if not _plies_fit(found, system):
        raise SequenceError("the plies in {text} cannot be read", _plies_meant(found, system), text=shown(text))
    readings = list(islice(_readings(found, system), 2))
    if not readings:
        raise SequenceError("the count {text} is of no yarn", _FOR_INSTANCE, text=shown(text))
    yarns = [each for each in readings if LEAST_PER_KG <= each.metres_per_kg <= MOST_PER_KG]
    if not yarns:
        what, metres = "the count {text} comes to {metres} m/kg", f"{readings[0].metres_per_kg:,.6g}"
        raise SequenceError(what, "look for a number wrong", text=shown(text), metres=metres)
    return Label(*yarns)


def _plies_fit(found: re.Match[str], system: System) -> bool:
    """Whether plies are written as the system has them, and once."""
    if found["second"] and found["times"]:
        return False
    if found["whole"]:
        return system.by_weight and found["by"] not in ("x", "X", "×")
    return system.has_hanks or not (found["second"] or found["by"] == "/")


def _plies_meant(found: re.Match[str], system: System) -> Tell:
    """What to write in place of 40/2 tex, which may mean 80 tex in all, or 40."""
    if not system.by_weight or not found["second"] or found["times"] or found["whole"]:
        return Tell(_PLIES)
    count, plies = f"{found['count']} {system.sign}", found["second"]
    what = "write {plied}, or {whole} where it is {count} in all"
    return Tell(what, plied=f"{count} x {plies}", whole=f"R{count} / {plies}", count=count)


def _readings(found: re.Match[str], system: System) -> Iterator[YarnCount]:
    """What it may mean, first the reading to take; none where its numbers are of no yarn."""
    counts, whole = _numbers(found["count"], system), found["whole"] is not None
    times = 1 if whole else int(found["times"] or 1)
    seconds = [] if whole or not found["second"] else _numbers(found["second"], system)
    if 0 in (times, *counts, *seconds):
        return
    if found["second"] and not whole:
        for first, second in zip(counts, seconds, strict=False):
            yield from (_reading(system, count, int(plies)) for count, plies in _plied(first, second))
        return
    readings = [_reading(system, count, times, whole) for count in counts]
    usual = [USUAL_PER_KG[0] <= each.metres_per_kg < USUAL_PER_KG[1] for each in readings]
    if usual == [False, True]:
        yield from reversed(readings)
    else:
        yield from readings[:1]


def _plied(first: float, second: float) -> list[tuple[float, float]]:
    """Count and plies of two numbers with a slash between, first the reading to take."""
    behind, ahead = (first, second), (second, first)
    if not second.is_integer():
        return [ahead] if first.is_integer() and first < second else []
    if not first.is_integer() or first >= second:
        return [behind]
    if first > MOST_PLIES_OF_A_YARN:
        return [behind, ahead]
    return [ahead] if second > MOST_PLIES_OF_A_YARN else [ahead, behind]


def _reading(system: System, count: float, plies: int, whole: bool = False) -> YarnCount:
    metres = (system.one / count if system.by_weight else system.one * count) / plies
    written = f"{'R' if whole else ''}{_plainly(count)} {system.sign}"
    return YarnCount(f"{written} x {plies}" if plies > 1 else written, metres)


def _plainly(number: float) -> str:
    """The number so that nothing in it can part thousands."""
    text = f"{number:.4f}".rstrip("0").rstrip(".")
    return f"{text}0" if re.search(r"\.\d{3}$", text) else text


def _numbers(text: str, system: System) -> list[float]:
    """What a number may be, first as English has it: the comma parts thousands, the point decimals; [] for none.

    A point may part thousands where a system's numbers run into them.
    """
    bare = re.sub(rf"(?<=\d)[{_SPACES}](?=\d{{3}}(?!\d))", "", text)
    if len(re.findall(r"\d", bare)) > MOST_DIGITS or re.search(rf"[{_SPACES}]", bare):
        return []
    if re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", bare):
        parted, decimal = float(re.sub("[.,]", "", bare)), float(bare.replace(",", "."))
        return [parted, decimal] if "," in bare else [decimal, parted] if system.in_thousands else [decimal]
    for point, comma in (".,", ",."):
        if re.fullmatch(rf"\d+(?:\{point}\d+)?|[1-9]\d{{0,2}}(?:\{comma}\d{{3}})+(?:\{point}\d+)?", bare):
            return [float(bare.replace(comma, "").replace(point, "."))]
    return []
