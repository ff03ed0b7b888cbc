"""The yarns and beams of a sequence file, to read and to write."""

import re
from typing import Any

from assistant.errors import PlanError, SequenceError
from assistant.meaning import Tell
from assistant.warp import colour_order
from assistant.warp.counts import per_kilogram
from assistant.warp.groups import name
from assistant.warp.lengths import METRES, length
from assistant.warp.model import Beam, Unit, Yarn
from assistant.warp.source import Field, given
from assistant.warp.spelling import shown

METRE_PLACES = 6  # decimals of a length in metres
TAKE_UP_PLACES = 6  # decimals of a take-up, two less in per cent


def read_yarns(field: Field) -> dict[str, Yarn]:
    """Key -> yarn."""
    return {key: _yarn(key, at, value) for key, at, value in field.pairs(Tell("yarn"))}


def _yarn(key: str, at: Field, value: Field) -> Yarn:
    if not colour_order.is_key(key):
        todo = "use letters, digits, - and _, a letter first; its full name goes under name:"
        raise at.error("{name} cannot be the key of a yarn", todo, name=shown(key))
    keys = value.entries(("name", "colour", "metres_per_kg", "count"), {})
    return Yarn(
        key=key,
        name=given(keys, "name", name, key),
        colour=given(keys, "colour", _colour, ""),
        metres_per_kg=given(keys, "metres_per_kg", Field.measure, None),
        count=given(keys, "count", _count, ""),
    )


def _colour(field: Field) -> str:
    colour = field.scalar()
    if not re.fullmatch("#[0-9A-Fa-f]{6}", colour):
        todo = 'write # and six digits in quotes, for instance "#c9b48a"'
        raise field.error("{name} is {text}", todo, text=shown(colour))
    return colour


def _count(field: Field) -> str:
    """A yarn count, as written."""
    text = field.text()
    try:
        per_kilogram(text)
    except SequenceError as error:
        raise field.error(error.what, error.todo) from None
    return text


def read_beams(field: Field, unit: Unit) -> dict[str, Beam]:
    """Key -> beam."""
    found = {}
    for key, at, value in field.pairs(Tell("beam")):
        if not colour_order.is_key(key):
            todo = "use letters, digits, - and _, a letter first; its full name goes under name:"
            raise at.error("{name} cannot be the key of a beam", todo, name=shown(key))
        keys = value.entries(("name", "length", "take_up"), {})
        found[key] = Beam(
            key=key,
            name=given(keys, "name", name, key),
            metres=given(keys, "length", lambda field: _metres(field, unit), None),
            take_up=given(keys, "take_up", _take_up, None),
        )
    return found


def _metres(field: Field, unit: Unit) -> float:
    """A length, to a thousandth of a millimetre."""
    text = field.text()
    try:
        metres = round(length(text, Tell(str(field.name)), unit) * METRES[unit], METRE_PLACES)
    except PlanError:
        metres = 0.0
    if not metres:
        raise field.error("{name} is {text}", "write a length, for instance 3 m, 3.5 yd or 120 in", text=shown(text))
    return metres


def _take_up(field: Field) -> float:
    """Per cent, as the part of the warp that is lost."""
    value = field.scalar()
    written = re.fullmatch(r"([0-9]{1,2}(?:\.[0-9]{1,4})?)(?: ?%)?", value)
    if not written:
        todo = "write per cent as a number below 100, for instance 5"
        raise field.error("{name} is {text}", todo, text=shown(value))
    return round(float(written[1]) / 100, TAKE_UP_PLACES)


def yarn_keys(yarn: Yarn) -> dict[str, Any]:
    return {
        "name": yarn.name,
        "colour": yarn.colour or None,
        "metres_per_kg": short(yarn.metres_per_kg),
        "count": yarn.count or None,
    }


def beam_keys(beam: Beam) -> dict[str, Any]:
    """What is written of a beam."""
    return {
        "name": beam.name,
        "length": None if beam.metres is None else f"{beam.metres:.{METRE_PLACES}f}".rstrip("0").rstrip(".") + " m",
        "take_up": None if beam.take_up is None else short(round(100 * beam.take_up, TAKE_UP_PLACES - 2)),
    }


def short(number: float | None) -> float | None:
    """The number, without decimals where there are none."""
    return int(number) if number is not None and number.is_integer() else number
