"""What a command is: declared in one place, with its options as one typed value."""

import argparse
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from enum import IntEnum
from inspect import get_annotations
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from assistant.warp.spelling import shown

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

Options = TypeVar("Options", bound="DataclassInstance")

_ARGUMENT = "argument"
YES_OR_NO = {"yes": True, "true": True, "on": True, "no": False, "false": False, "off": False}


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
    lasting: str = ""  # its name in the file of settings that stay; "" where it is no such setting
    among: Callable[[], Iterable[str]] | None = None  # what a shell may complete it to, beside names of files
    typed: bool = True  # on the command line; else it is known by the settings that stay alone

    def add(self, to: "argparse._ActionsContainer", field_name: str) -> None:
        """Declare it to a parser."""
        naming: dict[str, Any] = {"dest": field_name} if self.names else {}
        action = to.add_argument(*(self.names or (field_name,)), **naming, **self.settings)
        if self.among:
            action.completer = self._complete  # type: ignore[attr-defined]

    def _complete(self, prefix: str, **_: object) -> list[str]:
        """As argcomplete asks, whom nothing is told that goes wrong."""
        assert self.among
        return [name for name in self.among() if name.startswith(prefix)]

    def given(self, typed: Sequence[str]) -> bool:
        """Whether it is among the words of a command line."""
        no = [f"--no-{name[2:]}" for name in self.names if self.is_flag]
        return any(word.partition("=")[0] in (*self.names, *no) for word in typed)

    @property
    def is_flag(self) -> bool:
        """Whether it is yes or no."""
        return "action" in self.settings

    def read(self, text: str) -> Any:
        """The value that a text stands for, in a file as on the command line. Raises ArgumentTypeError, in one line."""
        if self.is_flag:
            if text.lower() not in YES_OR_NO:
                raise argparse.ArgumentTypeError(f"{shown(text)} is neither yes nor no")
            return YES_OR_NO[text.lower()]
        choices = self.settings.get("choices", ())
        if choices and text not in choices:
            raise argparse.ArgumentTypeError(f"{shown(text)} is none of {', '.join(choices)}")
        return self.settings.get("type", str)(text)


def argument(
    *names: str,
    either: Either | None = None,
    lasting: str = "",
    among: Callable[[], Iterable[str]] | None = None,
    **settings: Any,
) -> Any:
    """A field of a command's options; `settings` are those of argparse's add_argument."""
    return field(metadata={_ARGUMENT: Argument(names, either, settings, lasting, among)})


def setting(lasting: str, *, help: str, **settings: Any) -> Any:
    """A field that only the settings that stay give, for what something else comes before: a file, or a record."""
    return field(metadata={_ARGUMENT: Argument((), None, {"help": help, **settings}, lasting, typed=False)})


def flag(*names: str, either: Either | None = None, lasting: bool = False, usual: bool = False, help: str) -> Any:
    """A field that is True where the option is given; one that lasts is taken back by the same with "no" before it.

    One that lasts may be True as is `usual`.
    """
    if not lasting:
        return argument(*names, either=either, action="store_true", help=help)
    action, name = argparse.BooleanOptionalAction, names[0].lstrip("-")
    return argument(*names, either=either, lasting=name, action=action, default=usual, help=help)


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
    mends_settings: bool = False  # so it does without those that cannot be read

    def arguments(self) -> dict[str, Argument]:
        """How every field is typed: the command's own first, then those it shares."""
        declared = {each.name: each.metadata[_ARGUMENT] for each in fields(self.options)} | dict(self.instead)
        order = (name for part in self.options.__mro__ for name in get_annotations(part))
        return {name: declared[name] for name in order}

    def declare(self, parser: argparse.ArgumentParser) -> None:
        """Add the arguments to the parser of this command."""
        groups: dict[int, argparse._ActionsContainer] = {}
        for name, declared in self.arguments().items():
            if not declared.typed:
                parser.set_defaults(**{name: declared.settings.get("default")})
                continue
            either = declared.either
            if either and id(either) not in groups:
                groups[id(either)] = parser.add_mutually_exclusive_group(required=either.required)
            declared.add(groups[id(either)] if either else parser, name)
