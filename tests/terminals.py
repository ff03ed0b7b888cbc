"""Programs in terminals of their own."""

import os
import subprocess
from collections.abc import Mapping, Sequence


def in_terminal(
    command: Sequence[str], env: Mapping[str, str] | None = None, size: tuple[int, int] | None = None
) -> tuple[subprocess.Popen[bytes], int]:
    """A command begun in a terminal of so many rows and columns, and the terminal's other end, to type and read at."""
    ours, inside = os.openpty()
    if size:
        import termios

        termios.tcsetwinsize(inside, size)
    process = subprocess.Popen(command, stdin=inside, stdout=inside, stderr=inside, env=env, start_new_session=True)
    os.close(inside)
    return process, ours
