"""A screen of plain lines: for a pipe, a screen reader, or a terminal that can do no more."""

import io
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from typing import TextIO

from assistant.senses.screen import words
from assistant.senses.screen.interrupts import LEAVE, interrupts_as_keys
from assistant.senses.screen.strip import legend, strip
from assistant.session.view import Mode, Status, View

MAP = 60  # columns
AT_REST = (Mode.PAUSED, Mode.FINISHED)  # when there is time to look at the map


class Lines:
    """Prints one short line for each change; reads keys, one name or number to a line, an empty line being enter."""

    def __init__(self, out: TextIO | None = None, keys: Iterable[str] | None = None) -> None:
        self._out = out or sys.stdout
        self._keys = typed_lines() if keys is None else keys
        self._told: tuple[str, ...] = ()

    def run(self, main: Callable[[], None], on_key: Callable[[str, float], None]) -> None:
        """Run `main`, and read keys meanwhile."""
        threading.Thread(target=self._read, args=(on_key,), name="key lines", daemon=True).start()
        with interrupts_as_keys(on_key):
            main()

    def show(self, view: View, status: Status) -> None:
        """Print what changed."""
        before, self._told = self._told, told(view, status)
        for line in self._told:
            if line and line not in before:
                print(line, file=self._out, flush=True)

    def _read(self, on_key: Callable[[str, float], None]) -> None:
        read = False
        for line in self._keys:
            read = True
            on_key(line.strip().lower() or "enter", time.time())
        if read:  # whoever sent lines has no more to say; where there never were any, voice and pedal go on
            on_key(LEAVE, time.time())


def told(view: View, status: Status) -> tuple[str, ...]:
    """Everything there is to say, a line for each thing."""
    finished = (*words.table(view), words.total(view)) if view.mode is Mode.FINISHED else ()
    return (
        words.senses(status),
        words.notice(status),
        words.heard(status),
        words.place(view),
        words.time_left(view) if view.mode is Mode.CALLING else "",
        words.asked(view),
        words.called(view),
        f"map: {strip(view, MAP)}  {legend(view)}" if view.mode in AT_REST else "",
        *finished,
    )


def typed_lines() -> Iterator[str]:
    """Lines of the standard input, read without a buffer: a reader still waiting does not hold up the end."""
    if sys.stdin is not None:
        with io.FileIO(sys.stdin.fileno(), closefd=False) as raw:
            for line in raw:
                yield line.decode(errors="replace")
