"""The screen that needs no terminal: plain lines, for a pipe or a screen reader."""

import sys
import threading
from collections.abc import Callable, Iterable
from shutil import get_terminal_size
from typing import TextIO

from assistant.output import put
from assistant.senses.screen import INVITE, LEAVE, OnKey, interrupts_as_keys
from assistant.senses.screen.invitation import Invitation
from assistant.senses.screen.regions import legend, strip
from assistant.senses.screen.typed import typed_lines
from assistant.senses.screen.words import ScreenWords
from assistant.session.events import TURNS, Kind
from assistant.session.view import ModeName, Status, View
from assistant.words.language import Language

MAP = 60  # columns
AT_REST = (ModeName.PAUSED, ModeName.COMPLETE)  # when there is time to look at the map


class KeyLines:
    """Reads keys, one name or number to a line, an empty line being enter."""

    def __init__(self, keys: Iterable[str] | None = None) -> None:
        self._terminal = keys is None and sys.stdin is not None and sys.stdin.isatty()
        self._keys = typed_lines() if keys is None else keys
        self._on_key: OnKey | None = None
        self.nothing_typed: Callable[[], None] = lambda: None  # what is done where there never were any keys

    def run(self, main: Callable[[], None], on_key: OnKey) -> None:
        """Run `main`, and read keys meanwhile."""
        self._on_key = on_key
        threading.Thread(target=self._read, name="key lines", daemon=True).start()
        try:
            with interrupts_as_keys(on_key):
                main()
        finally:
            self._on_key = None  # or a reader that still waits would keep all that keys lead to from being put away

    def put(self, line: str, out: TextIO | None = None) -> None:
        """Print a line; where nobody reads them any more, leave. Raises OutputError where it cannot be written."""
        try:
            put(line, out)
        except BrokenPipeError:
            self._press(LEAVE)

    def _read(self) -> None:
        read = self._terminal  # which says no more once it is gone
        for line in self._keys:
            read = True
            self._press(line.strip().lower() or "enter")
        if read:  # whoever sent lines has no more to say; where there never were any, voice and pedal go on
            self._press(LEAVE)
        else:
            self.nothing_typed()

    def _press(self, key: str) -> None:
        if on_key := self._on_key:
            on_key(key, 0.0)


class Lines(KeyLines):
    """Prints one short line for each change."""

    def __init__(self, language: Language, out: TextIO | None = None, keys: Iterable[str] | None = None) -> None:
        super().__init__(keys)
        self._words, self._out = ScreenWords(language), out or sys.stdout
        self._told: tuple[str, ...] = ()
        self._step = -1
        self.invitation: Invitation | None = None

    def show(self, view: View, status: Status) -> None:
        """Print what changed."""
        before, self._told = self._told, told(self._words, view, status)
        asked = self._asked_for(view, status)
        for line in self._told:
            if line and line not in before and line not in asked:
                self.put(line, self._out)
        for line in asked:
            self.put(line, self._out)
        self._step = view.step

    def _press(self, key: str) -> None:
        if key == INVITE and self.invitation:
            for line in self.invitation.told(get_terminal_size().columns):
                self.put(line, self._out)
        else:
            super()._press(key)

    def _asked_for(self, view: View, status: Status) -> tuple[str, ...]:
        """What was asked for and is told whether it changed or not, each time."""
        kind = self._words.kind(status.heard) if view.step != self._step else None
        heard = self._words.heard(status)
        if kind in (Kind.WHERE, Kind.REPEAT):
            return heard, self._words.said(view)
        return (heard,) if kind in TURNS else ()


def told(words: ScreenWords, view: View, status: Status) -> tuple[str, ...]:
    """Everything there is to say, a line for each thing."""
    at_the_end = (*words.table(view), words.total(view)) if view.mode is ModeName.COMPLETE else ()
    return (
        words.senses(status),
        words.notice(status),
        words.heard(status),
        words.place(view),
        words.time_left(view) if view.mode is ModeName.CALLING else "",
        words.taken(view),
        words.asked(view),
        words.called(view),
        f"{words.text('map')} {strip(view, MAP)}  {legend(words, view)}" if view.mode in AT_REST else "",
        *at_the_end,
    )
