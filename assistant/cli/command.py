"""What a command is: declared in one place, with its options as one typed value."""

import argparse
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from enum import IntEnum
from inspect import get_annotations
from typing import TYPE_CHECKING, Any, Generic, TypeVar

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

Options = TypeVar("Options", bound="DataclassInstance")

_ARGUMENT = "argument"


class When(IntEnum):
    """When a weaver comes to need a command; the help lists them in this order."""

    AT_FIRST = 0
    BEFORE_THE_LOOM = 1
    AT_THE_LOOM = 2
    BESIDE = 3
    SETTING_UP = 4


@dataclass(frozen=True)
class Either:
    """Options of which one is given at most, or exactly one."""

    required: bool = False


@dataclass(frozen=True)
class Argument:
    """How a field of the options is typed: as an option of these names, or by its place where there is none."""

    names: tuple[str, ...]
    either: Either | None
    settings: Mapping[str, Any]  # of argparse's add_argument

    def add(self, to: "argparse._ActionsContainer", field_name: str) -> None:
        """Declare it to a parser."""
        if self.names:
            to.add_argument(*self.names, dest=field_name, **self.settings)
        else:
            to.add_argument(field_name, **self.settings)


def argument(*names: str, either: Either | None = None, **settings: Any) -> Any:
    """A field of a command's options; `settings` are those of argparse's add_argument."""
    return field(metadata={_ARGUMENT: Argument(names, either, settings)})


def flag(*names: str, either: Either | None = None, help: str) -> Any:
    """A field that is True where the option is given."""
    return argument(*names, either=either, action="store_true", help=help)


@dataclass(frozen=True)
class Command(Generic[Options]):
    """One command: what it is called, what it takes and what it does, with its exit code where that is not 0.

    `run` raises HeddlecallError for what cannot be done, and imports what it needs when it is called.
    """

    name: str
    about: str
    options: type[Options]  # a frozen dataclass; every field is an `argument`
    run: Callable[[Options], int | None]
    when: When
    instead: Mapping[str, Argument] = field(default_factory=dict)  # by field, where this command has it otherwise
    under: tuple["Command[Any]", ...] = ()  # commands of this one: heddlecall models add

    def arguments(self) -> dict[str, Argument]:
        """How every field is typed: the command's own first, then those it shares."""
        declared = {each.name: each.metadata[_ARGUMENT] for each in fields(self.options)} | dict(self.instead)
        order = (name for part in self.options.__mro__ for name in get_annotations(part))
        return {name: declared[name] for name in order}

    def declare(self, parser: argparse.ArgumentParser) -> None:
        """Add the arguments to the parser of this command."""
        groups: dict[int, argparse._ActionsContainer] = {}
        for name, declared in self.arguments().items():
            either = declared.either
            if either and id(either) not in groups:
                groups[id(either)] = parser.add_mutually_exclusive_group(required=either.required)
            declared.add(groups[id(either)] if either else parser, name)
