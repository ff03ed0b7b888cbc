"""`heddlecall`, and `python -m assistant`."""

import signal
import sys
from collections.abc import Callable

if signal.getsignal(signal.SIGINT) is signal.default_int_handler:  # nothing is begun yet that would have to be ended
    signal.signal(signal.SIGINT, signal.SIG_DFL)

from assistant.ending import run


def main() -> int:
    """Run the command that was typed, and return its exit code."""
    return run(_command)


def _command() -> Callable[[], int]:
    from assistant.cli import main

    return main


if __name__ == "__main__":
    sys.exit(main())
