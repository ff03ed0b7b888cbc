"""The exit code of a command, for whatever may have to end the program by itself. Imports nothing of ours."""

import sys

_noted: list[int] = []


def ends_with(code: int) -> int:
    """Note the exit code that a command came to; returns it."""
    _noted[:] = [code]
    return code


def exit_code() -> int:
    """The code noted last; without one 1 after a traceback, else 0."""
    return _noted[0] if _noted else int(hasattr(sys, "last_value"))
