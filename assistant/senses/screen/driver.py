"""Keys that are typed in a terminal, from bytes as they come: no byte, and no sequence of them, is a fault.

A numeric keypad sends what is written on its keys, with Num Lock or without, wherever the terminal can tell it from
arrows and page keys: those that do as DEC's VT220 did once they are asked, and those with kitty's keyboard protocol.
"""

import os
import re
import sys
from codecs import getincrementaldecoder
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any, TextIO, cast

from textual import events
from textual._parser import ParseError
from textual._xterm_parser import XTermParser

from assistant.words.keypad import PAD

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


SS3 = "\x1bO"  # begins what a keypad sends
KEYPAD_APART, KEYPAD_AS_EVER = "\x1b=", "\x1b>"  # DECKPAM, DECKPNM
OF_KITTY = re.compile(r"\x1b\[(\d+)(?:;[\d:]*)*[u~]")
OF_LINUX = {"l": "+", "S": "-", "R": "*", "Q": "/"}  # after ESC O, where its console is not as the VT220
BY_CODE = {key.unlocked_code: key.name for key in PAD if key.unlocked_code}


def keypad_key(sequence: str, console: bool) -> str:
    """The key of a keypad that sends this; "" for any other. `console`: Linux's own, without a window."""
    if found := OF_KITTY.fullmatch(sequence):
        return BY_CODE.get(int(found[1]), "") if len(found[1]) < 8 else ""
    if not sequence.startswith(SS3):
        return ""
    names = {key.sequence: key.name for key in PAD if key.sequence} | (OF_LINUX if console else {})
    return names.get(sequence.removeprefix(SS3), "")


class KeypadParser(XTermParser):
    """Textual's, which takes a keypad without Num Lock for arrows."""

    def _sequence_to_key_events(self, sequence: str, alt: bool = False) -> Iterable[events.Key]:
        if len(sequence) > 2 and (key := keypad_key(sequence, os.environ.get("TERM") == "linux")):
            return [events.Key(key, key if len(key) == 1 else None)]
        return super()._sequence_to_key_events(sequence, alt)


class TypedKeys:
    """Bytes from a terminal -> what textual makes of them; those that are not UTF-8 are no key."""

    def __init__(self) -> None:
        self._decoder = getincrementaldecoder("utf-8")("ignore")
        self._parser = KeypadParser()

    def feed(self, data: bytes) -> Iterator["Message"]:
        """What came of these bytes. A sequence that textual stumbles over is passed over, and nothing after it."""
        for character in self._decoder.decode(data):
            try:
                yield from self._parser.feed(character)
            except (ParseError, ValueError, OverflowError):
                self._parser = KeypadParser()

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

        def start_application_mode(self) -> None:
            cast(Any, super()).start_application_mode()
            self.write(KEYPAD_APART)
            self.flush()

        def stop_application_mode(self) -> None:
            self.write(KEYPAD_AS_EVER)
            super().stop_application_mode()

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
