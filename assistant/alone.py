"""What one window does at a time: a lock of the system's, and which window has it."""

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

from assistant.files import read_whole, write_whole

LONGEST = 1000  # bytes of what a window says of itself
PATIENCE_S = 0.5  # for a window that is about to end, or has not yet said which it is


class Taken(Exception):
    """Another window has it; `window` says which one, "" where that is not known."""

    def __init__(self, window: str):
        self.window = window
        super().__init__(window)


class Alone:
    """A lock that ends with the process, also with a killed one; a small file beside it names the window."""

    def __init__(self, lock: Path, window: str):
        self._path, self._window = lock, window
        self._told = lock.with_suffix(".window")
        self._lock = FileLock(lock, timeout=PATIENCE_S, mode=0o600, thread_local=False, fallback_to_soft=False)

    def take(self) -> None:
        """Have it from now on. Raises Taken where another window does, OSError where no lock can be made there."""
        try:
            self._lock.acquire()
        except Timeout as error:
            raise Taken(_read(self._told)) from error
        except NotImplementedError as error:
            raise OSError(*error.args) from error
        try:
            self._file = self._found()
            write_whole(self._told, self._window.encode(), private=True)
        except BaseException:
            self._lock.release()
            raise

    @property
    def lost(self) -> bool:
        """The lock's file was taken away, so that another window could have the same now."""
        return self._found() != self._file

    def _found(self) -> tuple[int, int] | None:
        return identity(self._path)

    def give_back(self) -> None:
        """Leave it to other windows."""
        if not self.lost:
            self._told.unlink(missing_ok=True)
        self._lock.release()


@contextmanager
def alone(lock: Path) -> Iterator[None]:
    """Have it for as long as that takes. Raises as `Alone.take` does."""
    held = Alone(lock, this_window())
    held.take()
    try:
        yield
    finally:
        held.give_back()


def this_window() -> str:
    """For a weaver who looks for it: "process 4711 in /dev/pts/3, since 19:20"."""
    terminal = f" in {os.ttyname(sys.stdin.fileno())}" if hasattr(os, "ttyname") and sys.stdin.isatty() else ""
    return f"process {os.getpid()}{terminal}, since {time.strftime('%H:%M')}"


def identity(path: Path) -> tuple[int, int] | None:
    """Which file lies there, by device and number; None where none does."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _read(told: Path) -> str:
    try:
        return read_whole(told, LONGEST).decode()
    except (OSError, UnicodeDecodeError):
        return ""
