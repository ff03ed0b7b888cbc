"""How long a warp is for the cloth that is wanted."""

from typing import NamedTuple

from assistant.warp.plan.wishes import Wishes


class Length(NamedTuple):
    """The way from finished cloth to the warp for it, in the unit of the warp."""

    finished: float  # all pieces, hems included
    woven: float  # in the loom, the sample included
    warp: float  # fringes and loom waste included


def length(wanted: Wishes, take_up: float | None = None) -> Length | None:
    """How long the warp is for the cloth that is wanted, its `take_up` that of a beam; None where no length is wanted.

    `shrinkage` is the part of the woven length lost in washing, `take_up` the part of the warp lost in bending around
    the weft. Fringes are not woven, and lose neither.
    """
    if wanted.cloth is None:
        return None
    finished = wanted.pieces * (wanted.cloth + 2 * wanted.hem)
    woven = finished / (1 - wanted.shrinkage) + wanted.sample
    bent = woven / (1 - (wanted.take_up if take_up is None else take_up))
    return Length(finished, woven, bent + wanted.pieces * 2 * wanted.fringe + wanted.waste)
