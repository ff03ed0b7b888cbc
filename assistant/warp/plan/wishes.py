"""What a weaver adds to the sequence file, or has in mind before there is one, when asking for a plan."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp import lengths
from assistant.warp.lengths import METRES, SPAN
from assistant.warp.model import Unit
from assistant.warp.spelling import shown

MOST_REEDS = 50
MOST_PIECES = 1000
MOST_LOST = 90.0  # per cent
WASTE = {"inch": 27.0, "cm": 70.0}  # loom waste of a floor loom: common practice, no source
LOST = "10"  # per cent of take-up, warp or weft, and of shrinkage: common practice, no source
DRAWN_IN = "5"  # per cent of the width in the reed: common practice, no source
KEPT_BY_TYING = 0.1  # of the loom waste, in the knots: tying saves about 3/4 yd an end; common practice, no source


class PutUp(NamedTuple):
    """What a yarn is sold by: a skein or cone, as it is written, by its length or by its weight."""

    written: str
    metres: float | None = None
    grams: float | None = None


@dataclass(frozen=True, slots=True)
class Wishes:
    """Lengths and widths in the unit of the warp, parts from 0 to 1, paces in seconds an end (or a heddle)."""

    waste: float
    waste_tied: float
    cloth: float | None = None  # finished, of each piece
    width: float | None = None  # finished
    pieces: int = 1
    hem: float = 0.0  # finished, turned in at each end of a piece
    fringe: float = 0.0  # unwoven, at each end of a piece
    sample: float = 0.0  # as woven, before the pieces
    take_up: float = 0.1
    weft_take_up: float = 0.1
    shrinkage: float = 0.1
    width_shrinkage: float = 0.1
    draw_in: float = 0.05
    picks: float | None = None  # per unit, as sett is counted, as woven
    weft: str = ""  # the key of a yarn in the file, or a count as its label has it
    put_up: PutUp | None = None
    weft_put_up: PutUp | None = None
    reed_width: float | None = None
    section: float | None = None
    reeds: tuple[float, ...] = ()
    paces: Mapping[str, float] = field(default_factory=dict, hash=False)

    @property
    def of_cloth(self) -> bool:
        """Whether more is asked of the cloth than how long a warp it takes."""
        return bool(self.width or self.picks or self.weft)


def wishes(
    unit: Unit,
    *,
    cloth: str | None = None,
    width: str | None = None,
    pieces: str | None = None,
    hem: str | None = None,
    fringe: str | None = None,
    sample: str | None = None,
    take_up: str | None = None,
    weft_take_up: str | None = None,
    shrinkage: str | None = None,
    width_shrinkage: str | None = None,
    draw_in: str | None = None,
    waste: str | None = None,
    waste_tied: str | None = None,
    picks: str | None = None,
    weft: str | None = None,
    put_up: str | None = None,
    weft_put_up: str | None = None,
    reed_width: str | None = None,
    section: str | None = None,
    reeds: str | None = None,
    paces: Mapping[str, float] | None = None,
) -> Wishes:
    """The options as a weaver writes them; a bare length counts in the unit of the warp. Raises PlanError."""

    def read(text: str | None, name: Tell) -> float | None:
        return None if text is None else lengths.length(text, name, unit)

    def part(text: str | None, name: Tell, usual: str = LOST) -> float:
        return _part(usual if text is None else text, name)

    lost = read(waste, Tell("the loom waste")) or WASTE[unit]
    shrinks = part(shrinkage, Tell("the shrinkage"))
    return Wishes(
        waste=lost,
        waste_tied=read(waste_tied, Tell("the loom waste of a tied warp")) or lost * KEPT_BY_TYING,
        cloth=read(cloth, Tell("the length of cloth")),
        width=read(width, Tell("the width of cloth")),
        pieces=1 if pieces is None else whole(pieces, Tell("the number of pieces"), MOST_PIECES),
        hem=read(hem, Tell("the hem")) or 0.0,
        fringe=read(fringe, Tell("the fringe")) or 0.0,
        sample=read(sample, Tell("the sample")) or 0.0,
        take_up=part(take_up, Tell("the take-up")),
        weft_take_up=part(weft_take_up, Tell("the take-up of the weft")),
        shrinkage=shrinks,
        width_shrinkage=shrinks if width_shrinkage is None else _part(width_shrinkage, Tell("the shrinkage in width")),
        draw_in=part(draw_in, Tell("the draw-in"), DRAWN_IN),
        picks=None if picks is None else per_unit(picks, Tell("the picks"), unit),
        weft=weft or "",
        put_up=None if put_up is None else _put_up(put_up),
        weft_put_up=None if weft_put_up is None else _put_up(weft_put_up),
        reed_width=read(reed_width, Tell("the width of the reed")),
        section=read(section, Tell("the width of a section")),
        reeds=_reeds(reeds) if reeds is not None else (),
        paces=paces or {},
    )


_PER = {"": None, "/in": "inch", "/inch": "inch", "/cm": "cm", "/10cm": "cm"}


def per_unit(text: str, name: Tell, unit: Unit) -> float:
    """A sett or picks in the unit's measure, an inch or 10 cm, in which a bare number counts: "20", "8/cm", "20/in"."""
    number, slash, over = text.replace(" ", "").partition("/")
    value, written = _number(number), f"{slash}{over}".lower()
    if not value > 0 or written not in _PER:
        what = "{name}: {text} cannot be read; write how many in an inch or in 10 cm, for instance 20, 20/in or 8/cm"
        raise PlanError(what, name=name, text=shown(text))
    over_unit = _PER[written]
    if over_unit is None:
        return value
    over_metres = METRES[over_unit] * (1 if written == "/cm" else SPAN[over_unit])
    return value / over_metres * METRES[unit] * SPAN[unit]


def whole(text: str, name: Tell, most: int, least: int = 1) -> int:
    """A whole number from `least` to `most`."""
    if not re.fullmatch(r"\d{1,7}", text.strip(), re.ASCII) or not least <= int(text) <= most:
        what = "{name} is {text}; write a whole number from {least} to {most}"
        raise PlanError(what, name=name, text=shown(text), least=least, most=most)
    return int(text)


_WEIGHTS = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}  # an ounce is a sixteenth of a pound


def _put_up(text: str) -> PutUp:
    """A weight or a length with its unit: "250g", "1/2 lb", "1680yd"."""
    found = re.fullmatch(r"(.*[\d\s])(g|kg|oz|lb)", text.strip(), re.IGNORECASE | re.DOTALL)
    if found:
        weight = lengths.quantity(found[1].strip())
        if weight:
            return PutUp(text.strip(), grams=weight * _WEIGHTS[found[2].lower()])
    elif re.search(r"[a-z]\s*$", text, re.IGNORECASE):
        return PutUp(text.strip(), metres=lengths.length(text, Tell("the skein or cone"), "cm") * METRES["cm"])
    what = "the skein or cone is {text}; write its weight or its length, for instance 250g, 1/2lb or 1680yd"
    raise PlanError(what, text=shown(text))


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
