"""Yarns by name, told where they change."""

from collections.abc import Iterator

from assistant.warp.model import Warp
from assistant.warp.passes.walk import Item


def yarn_name(warp: Warp, key: str) -> str:
    """The name of a yarn; "" where none is given, or the warp has but one."""
    return warp.yarns[key].name if key and len(warp.yarns) > 1 else ""


def changed(warp: Warp, key: str, before: str | None) -> Iterator[Item]:
    """The yarn, where it is not the one before."""
    name = yarn_name(warp, key)
    if name and key != before:
        yield Item("yarn", {"yarn": name})
