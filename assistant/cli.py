"""The commands: parse, call, print."""

import argparse
import json
import sys
from collections.abc import Callable, Sequence
from importlib.metadata import version
from pathlib import Path

from assistant.errors import HeddlecallError
from assistant.languages import codes

Command = Callable[[argparse.Namespace], int]

CAUTIONS = "Stand up every half hour; keep cables off the floor you walk on; start with the volume low in headphones."


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; bad input is one line on standard error and exit code 2."""
    options = _parser().parse_args(argv)
    try:
        return int(options.run(options))
    except HeddlecallError as error:
        print(f"heddlecall: {error}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        sys.stderr.close()
        return 1


def calls(options: argparse.Namespace) -> int:
    from assistant.session.sheet import as_json, lines

    warp, language = _warp(options), _language(options)
    _print(as_json(warp, language, options.per_call) if options.json else lines(warp, language, options.per_call))
    return 0


def thread(options: argparse.Namespace) -> int:
    from assistant.sitting import sit

    sit(options)
    return 0


def log(options: argparse.Namespace) -> int:
    from assistant.session.history import histories

    return 0
