"""Ends one by one, with their yarns by name, told where they change."""

from collections.abc import Callable, Sequence
from typing import Protocol, TypeVar, runtime_checkable

from assistant.meaning import Tell
from assistant.warp.model import Warp
from assistant.warp.passes.walk import Call, Item


@runtime_checkable
class Coloured(Protocol):
    """What has a yarn, by its key."""

    @property
    def yarn(self) -> str: ...


Unit = TypeVar("Unit", bound=Coloured)


def yarn_name(warp: Warp, key: str) -> str:
    """The name of a yarn; "" where none is given, or the warp has but one."""
    return warp.yarns[key].name if key and len(warp.yarns) > 1 else ""


def one_by_one(warp: Warp, call: Call[Unit], item: Callable[[Unit, Tell], Item]) -> Sequence[Item]:
    """An item for each unit, made with its number and yarn for a caption, after its yarn where that changes."""
    items = []
    before = call.before.yarn if call.before else None
    for number, unit in enumerate(call.units, call.first):
        name = yarn_name(warp, unit.yarn)
        if name and unit.yarn != before:
            items.append(Item(Tell("yarn", yarn=name)))
        items.append(item(unit, _numbered(number, name)))
        before = unit.yarn
    return items


def _numbered(number: int, yarn: str) -> Tell:
    return (
        Tell("caption: number and yarn", number=number, yarn=yarn) if yarn else Tell("caption: number", number=number)
    )
