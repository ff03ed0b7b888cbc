"""Keys that are typed in a terminal, from bytes as they come: no byte, and no sequence of them, is a fault."""

import os
import sys
from codecs import getincrementaldecoder
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, TextIO, cast

from textual import events
from textual._parser import ParseError
from textual._xterm_parser import XTermParser

if TYPE_CHECKING:
    from textual.driver import Driver
    from textual.message import Message

CHUNK = 4096  # bytes read at once from a terminal
GLANCE_S = 0.1  # between looks at whether there is still to be read


class Lasting:
    """A stream of which writing never fails: to a terminal that is gone it goes nowhere."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self.fileno, self.isatty = stream.fileno, stream.isatty

    def write(self, text: str) -> int:
        """Write a text, or drop it."""
        try:
            self._stream.write(text)
        except OSError:
            self._drop()
        return len(text)

    def flush(self) -> None:
        """Write what is held back, or drop it."""
        try:
            self._stream.flush()
        except OSError:
            self._drop()

    def _drop(self) -> None:
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, self.fileno())
        os.close(nothing)


class TypedKeys:
    """Bytes from a terminal -> what textual makes of them; those that are not UTF-8 are no key."""

    def __init__(self) -> None:
        self._decoder = getincrementaldecoder("utf-8")("ignore")
        self._parser = XTermParser()

    def feed(self, data: bytes) -> Iterator["Message"]:
        """What came of these bytes. A sequence that textual stumbles over is passed over, and nothing after it."""
        for character in self._decoder.decode(data):
            try:
                yield from self._parser.feed(character)
            except (ParseError, ValueError, OverflowError):
                self._parser = XTermParser()

    def wait(self) -> Iterator["Message"]:
        """What can be told now that nothing more has come: that an escape was the key of that name."""
        yield from self._parser.tick()


def terminal_driver() -> "type[Driver] | None":
    """What textual shall read a terminal with; None: with its own, on Windows, where keys are no bytes."""
    if sys.platform == "win32":
        return None
    import select

    from textual.drivers.linux_driver import LinuxDriver

    class TerminalDriver(LinuxDriver):
        """Textual's, but for the reading of keys, and that drawing on a terminal that is gone is no fault."""

        def __init__(self, *wished: Any, **more: Any) -> None:
            super().__init__(*wished, **more)
            # Else the thread that takes what is drawn would end, and drawing wait for it for ever.
            self._file = cast(Any, Lasting(cast(TextIO, self._file)))

        def run_input_thread(self) -> None:
            """Pass on what is typed; a terminal that is gone has the weaver leave."""
            keys = TypedKeys()
            while not self.exit_event.is_set():
                if select.select([self.fileno], [], [], GLANCE_S)[0]:
                    try:
                        data = os.read(self.fileno, CHUNK)
                    except OSError:
                        data = b""
                    if not data:
                        self.process_message(events.Key("ctrl+c", None))
                        return
                    self._pass_on(keys.feed(data))
                self._pass_on(keys.wait())

        def _pass_on(self, messages: Iterator["Message"]) -> None:
            for message in messages:
                self.process_message(message)

    return TerminalDriver
