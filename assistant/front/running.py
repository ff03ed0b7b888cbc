"""The commands of the front door, each in a process of its own."""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path

from assistant.ending import asked_to_end
from assistant.front.values import Words

ROOT = Path(__file__).parents[2]  # where the package lies
COMPLAINT = "heddlecall: "  # begins a line that says what is wrong
MOST_LINES = 5000  # that are read of what a command prints


def program() -> list[str]:
    """What starts this program, whatever else is called so."""
    return [sys.executable] if getattr(sys, "frozen", False) else [sys.executable, "-P", "-m", "assistant"]


def environment() -> dict[str, str]:
    """In which it is found, and prints in UTF-8."""
    there = os.environ.get("PYTHONPATH", "")
    return {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, (str(ROOT), there))), "PYTHONIOENCODING": "utf-8"}


def address_in(line: str) -> str:
    """Where a page is to be opened, of a line that tells; "" in others."""
    found = re.search(r"http://\S+/", line)
    return found[0] if found else ""


def _started(words: Words, complaints: int) -> subprocess.Popen[str]:
    """A command whose output is read; `complaints` says where its errors go. Ctrl-C is for the front door."""
    return subprocess.Popen(
        [*program(), *words],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=complaints,
        env=environment(),
        text=True,
        encoding="utf-8",
        errors="replace",
        start_new_session=True,
    )


class Captured:
    """Commands that are run one after the other; what the last prints is kept."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[str] | None = None
        self._stopped = False

    def run(self, lines: Sequence[Words]) -> tuple[int, list[str]]:
        """Until one does not do well; returns its exit code and what it printed, line by line."""
        code, printed = 0, list[str]()
        for words in lines:
            if self._stopped:
                break
            code, printed = self._one(words)
            if code:
                break
        return code, printed

    def _one(self, words: Words) -> tuple[int, list[str]]:
        with _started(words, subprocess.PIPE) as process:
            self._process = process
            out, complaints = process.communicate()
        lines = [*out.splitlines(), *complaints.splitlines()][:MOST_LINES]
        return process.returncode, [line.removeprefix(COMPLAINT) for line in lines]

    def stop(self) -> None:
        """Break off what runs."""
        self._stopped = True
        if self._process and self._process.poll() is None:
            with suppress(OSError):
                self._process.terminate()


def in_terminal(lines: Sequence[Words]) -> int:
    """Give the terminal to commands, one after the other while they do well; returns the exit code of the last."""
    code = 0
    for words in lines:
        with subprocess.Popen([*program(), *words], env=environment()) as process, asked_to_end(lambda: _ask(process)):
            code = process.wait()
        if code:
            break
    return code


def _ask(process: "subprocess.Popen[bytes]") -> None:
    """Pass a request to end on; a terminal told both of it, which the other takes for one."""
    if sys.platform != "win32" and process.poll() is None:
        process.send_signal(signal.SIGTERM)


class Sat:
    """A job at the loom with a page of its own, for whoever chose it in a browser."""

    def __init__(self, words: Words, on_line: Callable[[str], None]) -> None:
        """`on_line` gets each line that it prints."""
        self._on_line = on_line
        self._process = _started(words, subprocess.STDOUT)

    def wait(self) -> tuple[int, list[str]]:
        """Until it is over; its exit code, and what it complained of."""
        complaints = list[str]()
        assert self._process.stdout
        for line in self._process.stdout:
            if line.startswith(COMPLAINT):
                complaints.append(line.removeprefix(COMPLAINT).rstrip("\n"))
            self._on_line(line)
        return self._process.wait(), complaints

    def stop(self) -> None:
        """Have it leave in good order."""
        with suppress(OSError):
            self._process.send_signal(signal.SIGINT if sys.platform != "win32" else signal.SIGTERM)
