"""The command line: what is typed becomes a command and its options, and is run."""

import argparse
import os
import sys
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, NoReturn

from assistant.cli.command import Command
from assistant.cli.families import commands
from assistant.cli.front import FRONT
from assistant.ending import ends_with
from assistant.errors import HeddlecallError
from assistant.files import private_by_default
from assistant.folders import close_all
from assistant.output import complain, open_streams, put, write
from assistant.words.language import Language, load
from assistant.words.phrases import Phrases

if TYPE_CHECKING:
    from _typeshed import SupportsWrite

ASKED_BY_SHELL = "_ARGCOMPLETE"  # a variable of the environment, by which argcomplete's scripts ask
CAUTIONS = (
    "Stand up and look into the distance every half hour. Keep cables and the pedal out of your way and weights clear "
    "of your feet; start with the volume low in headphones. Your loom maker's manual and your doctor know better."
)


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command and return its exit code. Bad input is one line on standard error and exit code 2."""
    with private_by_default():
        close_all()
        return ends_with(_run(argv))


def _run(argv: Sequence[str] | None) -> int:
    options: Any = None
    open_streams()
    try:
        command, options = parsed(argv)
        if command is FRONT and not options.can_open:
            _parser().print_help()
            return 0
        log = getattr(options, "log_level", None)
        return _logged(command, options, argv) if log else int(command.run(options) or 0)
    except HeddlecallError as error:
        complain(f"heddlecall: {_told(error, options)}")
        return 2
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:  # whoever read the output has seen enough
        return 0


def _logged(command: Command[Any], options: Any, argv: Sequence[str] | None) -> int:
    """Run it with a log. Raises HeddlecallError where there can be none, and as the command does."""
    from assistant.logfile import LogFile
    from assistant.words.printed import Printed

    typed = sys.argv[1:] if argv is None else argv
    given = (one.names[0] for one in command.arguments().values() if one.names and one.given(typed))
    language = getattr(options, "language", None) or load("en")
    with LogFile(options.log_level) as log:
        complain(Printed(language).text("log lies", file=log.path))
        log.began(command.name, given)
        return log.ended(int(command.run(options) or 0))


def _told(error: HeddlecallError, options: object) -> str:
    """In the language of the command, else in English."""
    language = getattr(options, "language", None)
    return (
        Phrases.read(language, "phrases", "errors").told(error.tell) if isinstance(language, Language) else str(error)
    )


def parsed(argv: Sequence[str] | None = None) -> tuple[Command[Any], Any]:
    """The command that was typed, and its options, from the settings that stay where they were not typed.

    Exits with code 2 and one line where they cannot be read. Raises HeddlecallError for settings that cannot.
    """
    parser, typed = _parser(), sys.argv[1:] if argv is None else list(argv)
    if ASKED_BY_SHELL in os.environ:
        from argcomplete import autocomplete

        autocomplete(parser, always_complete_options=False)  # which ends the program
    for word in typed:
        if word.startswith("-") and word.endswith("=--"):  # of which argparse makes an empty list
            parser.error(f"argument {word.removesuffix('=--')}: -- is no value")
    namespace = parser.parse_args(typed)
    command: Command[Any] = namespace.command
    if command is not FRONT and typed[0].startswith("-"):
        parser.error(f"options stand behind the command: {typed[0]}")
    values = {name: getattr(namespace, name) for name in command.arguments()}
    return command, command.options(**values | _staying(command, typed, values))


def _staying(command: Command[Any], typed: Sequence[str], values: Mapping[str, Any]) -> dict[str, Any]:
    """What the settings that stay say of options that were not typed."""
    if not any(one.lasting for one in command.arguments().values()):
        return {}
    from assistant.cli.settings import known, standing_in
    from assistant.settings import load

    try:
        return standing_in(command, typed, values.get("whose") or values.get("weaver"), load(known(commands())))
    except HeddlecallError:
        if command.mends_settings:
            return {}
        raise


class _Parser(argparse.ArgumentParser):
    """Takes options by their whole names, and complains in one line.

    Its help and its complaints stay English: argparse words most of them, and which language is wished for is
    known only once the line was read.
    """

    def __init__(self, **settings: Any) -> None:
        super().__init__(**settings, allow_abbrev=False)

    def error(self, message: str) -> NoReturn:
        complain(f"{self.prog}: {message}; see {self.prog} --help")
        self.exit(2)

    def _print_message(self, message: str, file: "SupportsWrite[str] | None" = None) -> None:
        """What argparse prints by itself is its help."""
        write(message)


class _Version(argparse.Action):
    """Looks the version up when it is asked for; that takes its time."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> NoReturn:
        from assistant.version import told

        put(told())
        parser.exit()


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="heddlecall",
        description="Reads a threading aloud, and keeps its counts. Without a command it shows what can be done.",
        epilog=CAUTIONS,
    )
    parser.add_argument("--version", action=_Version, nargs=0, help="show version and commit, and leave")
    parser.set_defaults(command=FRONT)
    FRONT.declare(parser)
    _add(parser, commands(), "COMMAND", required=False)
    return parser


def _add(parser: argparse.ArgumentParser, added: Sequence[Command[Any]], metavar: str, *, required: bool) -> None:
    subparsers = parser.add_subparsers(required=required, metavar=metavar)
    for command in added:
        subparser = subparsers.add_parser(command.name, help=command.about, description=command.about)
        subparser.set_defaults(command=command)
        command.declare(subparser)
        if command.under:
            _add(subparser, command.under, command.under[0].name, required=False)
