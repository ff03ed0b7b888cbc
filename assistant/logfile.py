"""A log of one command, where it was asked for, to be read by whoever looks for a fault.

Nothing in it is anybody's own: events by their kinds, errors and notices by their sentences with no more filled in
than numbers, what went wrong by where in the code it did. No names, no texts, nothing of a sequence, no word as it was
heard.

At "debug" how sure the ear was and how long keeping took, at "info" every event, notice and exit code, at "warning"
devices that went away, at "error" what the command ended by; each with all that is graver.
"""

import logging
import os
import platform
import traceback
from collections.abc import Iterable
from datetime import datetime
from types import TracebackType
from typing import Self

from assistant import folders
from assistant.errors import HeddlecallError, OutputError, refusal
from assistant.meaning import Tell, filled
from assistant.private import STRUCK_OUT, struck_out

OURS = "assistant"  # what libraries log is theirs, and is not taken: it may hold an address with its key
LINE = "%(asctime)s.%(msecs)03d %(levelname)-7s %(name)s: %(message)s"

logging.getLogger(OURS).addHandler(logging.NullHandler())  # without a log nothing is said of anything


def logger(part: str) -> logging.Logger:
    """For a part of the program, by its `__name__`."""
    return logging.getLogger(part)


def impersonal(tell: Tell) -> str:
    """A Tell in English with nothing but numbers in its places."""
    return filled(tell.phrase, {name: _impersonal(value) for name, value in tell.places.items()})


def _impersonal(value: object) -> object:
    match value:
        case int() | float():
            return value
        case Tell():
            return impersonal(value)
        case _:
            return STRUCK_OUT


class LogFile:
    """Takes what is logged from when it is entered until it is left; a file of its own for each command."""

    def __init__(self, level: str) -> None:
        """Raises OutputError where it cannot be written."""
        folder = folders.cache() / "logs"
        self.path = folder / f"{datetime.now():%Y-%m-%d-%H%M%S}-{os.getpid()}.log"
        try:
            folders.own(folder)
            self._file = _File(self.path, encoding="utf-8")
        except OSError as error:
            what = "{file}: the log cannot be written ({why}); see to the folder's rights and room, or leave out --log"
            raise OutputError(what, file=self.path, why=refusal(error)) from None
        self._file.setFormatter(_Impersonal(LINE, "%Y-%m-%d %H:%M:%S"))
        self._logger = logging.getLogger(OURS)
        self._level = level

    def __enter__(self) -> Self:
        self._logger.setLevel(self._level.upper())
        self._logger.addHandler(self._file)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if isinstance(error, HeddlecallError):
            self._logger.error("%s: %s", type(error).__name__, impersonal(error.tell))
        elif kind:
            self._logger.error("%s\n%s", kind.__name__, "".join(traceback.format_tb(trace)).rstrip())
        self._logger.removeHandler(self._file)
        self._logger.setLevel(logging.NOTSET)
        self._file.close()

    def began(self, command: str, options: Iterable[str]) -> None:
        """Which command with which options, by their names."""
        from assistant.version import told

        system = f"{platform.system()} {platform.release()}, {platform.machine()}"
        self._logger.info("%s, Python %s, %s", told(), platform.python_version(), system)
        self._logger.info("%s", " ".join((command, *options)))

    def ended(self, code: int) -> int:
        """The exit code, which it returns."""
        self._logger.info("exit code %d", code)
        return code


class _File(logging.FileHandler):
    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802
        """What cannot be written is lost, and the work goes on."""


class _Impersonal(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        return struck_out(super().format(record))
