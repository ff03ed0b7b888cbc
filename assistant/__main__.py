"""`heddlecall`, and `python -m assistant`."""

import os
import signal
import sys
from collections.abc import Callable

if signal.getsignal(signal.SIGINT) is signal.default_int_handler:  # nothing is begun yet that would have to be ended
    signal.signal(signal.SIGINT, signal.SIG_DFL)

from assistant.ending import ends_with, run

FIRST_COMMAND = (
    r"py -3 -m venv .venv && .venv\Scripts\pip install . && .venv\Scripts\heddlecall demo"
    if os.name == "nt"
    else "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/heddlecall demo"
)


def main() -> int:
    """Run the command that was typed, and return its exit code."""
    try:
        return run(_command)
    except ModuleNotFoundError as error:
        if not error.name or error.name.partition(".")[0] == __package__:
            raise
        install = f"heddlecall: {error.name} is not installed; in the folder of README.md type: {FIRST_COMMAND}"
        print(install, file=sys.stderr)  # what else prints may need what is not there
        return ends_with(2)


def _command() -> Callable[[], int]:
    from assistant.cli import main

    return main


if __name__ == "__main__":
    sys.exit(main())
