"""Every command: a file of this folder that has COMMANDS is a family of them, and needs no mention elsewhere."""

from collections.abc import Iterator
from importlib import import_module
from pkgutil import iter_modules
from typing import Any

from assistant.cli.command import Command


def commands() -> list[Command[Any]]:
    """In the order in which a warp meets them."""
    return sorted(_found(), key=lambda command: command.when)


def _found() -> Iterator[Command[Any]]:
    package = import_module(__package__)
    for module in sorted(iter_modules(package.__path__), key=lambda module: module.name):
        yield from getattr(import_module(f"{__package__}.{module.name}"), "COMMANDS", ())
