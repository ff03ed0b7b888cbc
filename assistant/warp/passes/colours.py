"""Yarns by name: told where they change, end by end, and as they lie side by side."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, groupby
from typing import Protocol, TypeVar, cast, runtime_checkable

from assistant.meaning import Tell
from assistant.warp.model import Warp
from assistant.warp.passes.walk import Call, Item


@runtime_checkable
class Coloured(Protocol):
    """What has a yarn, by its key."""

    @property
    def yarn(self) -> str: ...


@runtime_checkable
class HoldsEnds(Protocol):
    """What holds several ends, one of a yarn or some of others."""

    @property
    def ends(self) -> Sequence[Coloured]: ...


class Yarned(Protocol):
    """What has a yarn or several, by their keys."""

    @property
    def yarns(self) -> tuple[str, ...]: ...


YarnedT = TypeVar("YarnedT", bound=Yarned)


def yarn_name(warp: Warp, key: str) -> str:
    """The name of a yarn; "" where none is given, or the warp has but one."""
    return warp.yarns[key].name if key and len(warp.yarns) > 1 else ""


def one_by_one(warp: Warp, call: Call[YarnedT], items: Callable[[YarnedT, Tell], Iterable[Item]]) -> Sequence[Item]:
    """The items of each unit, made with its number and yarns for a caption, after these where they change."""
    found: list[Item] = []
    before = call.before.yarns if call.before else None
    for number, unit in enumerate(call.units, call.first):
        names = tuple(filter(None, (yarn_name(warp, key) for key in unit.yarns)))
        if names and unit.yarns != before:
            found.append(Item(Tell("yarn", yarn=names)))
        found.extend(items(unit, _numbered(number, names)))
        before = unit.yarns
    return found


def _numbered(number: int, yarns: tuple[str, ...]) -> Tell:
    if not yarns:
        return Tell("caption: number", number=number)
    return Tell("caption: number and yarn", number=number, yarn=" + ".join(yarns))


@dataclass(frozen=True, slots=True)
class Band:
    """So many ends of one yarn beside each other; `colour` is "#rrggbb"; both texts are "" where not told."""

    yarn: str
    colour: str
    ends: int


def bands(warp: Warp, units: Iterable[object]) -> tuple[Band, ...]:
    """The yarns of some units of a pass, from the first on; none where the units have no yarn, as heddles."""
    alike = list(units)
    if alike and isinstance(alike[0], HoldsEnds):  # asked once: it takes as long as all the rest
        alike = list(chain.from_iterable(unit.ends for unit in cast(list[HoldsEnds], alike)))
    if not alike or not isinstance(alike[0], Coloured):
        return ()
    keys = (unit.yarn for unit in cast(list[Coloured], alike))
    return tuple(_band(warp, key, len(list(run))) for key, run in groupby(keys))


def repeated(lying: tuple[Band, ...]) -> tuple[tuple[Band, ...], int]:
    """The shortest row of bands that, so many times over, gives all of them."""
    many = len(lying)
    whole = (size for size in range(1, many) if many % size == 0)
    size = next((size for size in whole if lying[:size] * (many // size) == lying), many)
    return lying[:size], many // size if size else 1


def _band(warp: Warp, key: str, ends: int) -> Band:
    yarn = warp.yarns.get(key)
    return Band(yarn.name, yarn.colour, ends) if yarn else Band("", "", ends)
