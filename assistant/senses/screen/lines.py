"""The screen that needs no terminal: plain lines, for a pipe or a screen reader."""

import sys
import threading
from collections.abc import Callable, Iterable
from shutil import get_terminal_size
from typing import TextIO

from assistant.output import put
from assistant.senses.screen import INVITE, LEAVE, OnKey, interrupts_as_keys
from assistant.senses.screen.invitation import Invitation
from assistant.senses.screen.typed import typed_lines
from assistant.senses.screen.words import ScreenWords
from assistant.session.view import ModeName, Status, View
from assistant.words.language import Language


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

    def named(self, line: str) -> str:
        """A line as `on_key` gets it."""
        return line.strip().lower() or "enter"

    def _read(self) -> None:
        read = self._terminal  # which says no more once it is gone
        for line in self._keys:
            read = True
            self._press(self.named(line))
        if read:  # whoever sent lines has no more to say; where there never were any, voice and pedal go on
            self._press(LEAVE)
        else:
            self.nothing_typed()

    def _press(self, key: str) -> None:
        if on_key := self._on_key:
            on_key(key, 0.0)


class Lines(KeyLines):
    """Prints one sentence for each event, what it led to first; a line each for what becomes of the senses."""

    def __init__(self, language: Language, out: TextIO | None = None, keys: Iterable[str] | None = None) -> None:
        super().__init__(keys)
        self._words, self._out = ScreenWords(language), out or sys.stdout
        self._senses: tuple[str, ...] = ()
        self._shown: View | None = None
        self.invitation: Invitation | None = None

    def show(self, view: View, status: Status) -> None:
        """Print what happened."""
        before, self._senses = self._senses, (self._words.senses(status), *self._words.notices(status))
        shown, self._shown = self._shown, view
        lines = [line for line in self._senses if line not in before]
        if shown is None or shown.step != view.step:
            lines.append(self._words.became(view, status))
        if view.mode is ModeName.COMPLETE and (shown is None or shown.mode is not ModeName.COMPLETE):
            lines += [*self._words.table(view), self._words.total(view)]
        for line in lines:
            self.put(line, self._out)

    def _press(self, key: str) -> None:
        if key == INVITE and self.invitation:
            for line in self.invitation.told(get_terminal_size().columns):
                self.put(line, self._out)
        else:
            super()._press(key)
