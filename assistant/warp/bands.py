"""Yarns as they lie side by side."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import cast

from assistant.warp.model import Warp
from assistant.warp.passes.colours import Coloured


@dataclass(frozen=True, slots=True)
class Band:
    """So many ends of one yarn beside each other; `colour` is "#rrggbb"; both texts are "" where not told."""

    yarn: str
    colour: str
    ends: int


def bands(warp: Warp, units: Iterable[object]) -> tuple[Band, ...]:
    """The yarns of some units of a pass, from the first on; none where the units have no yarn, as heddles."""
    alike = list(units)
    if not alike or not isinstance(alike[0], Coloured):  # asked once: it takes as long as all the rest
        return ()
    keys = (unit.yarn for unit in cast(list[Coloured], alike))
    return tuple(_band(warp, key, len(list(run))) for key, run in groupby(keys))


def _band(warp: Warp, key: str, ends: int) -> Band:
    yarn = warp.yarns.get(key)
    return Band(yarn.name, yarn.colour, ends) if yarn else Band("", "", ends)
