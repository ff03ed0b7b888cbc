"""The board in a real terminal: what is typed arrives, and the terminal is left as it was."""

import os
import select
import signal
import struct
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

if sys.platform == "win32":
    pytest.skip("a pseudo-terminal is needed", allow_module_level=True)

import fcntl
import termios

PATIENCE = 60  # seconds before a test gives up waiting

SESSION = """
import queue, sys
sys.path.insert(0, sys.argv[1])
from at_the_loom import CALLING, ENGLISH, WELL
from dataclasses import replace
from assistant.senses.screen.terminal import Board
keys, typed, board = queue.SimpleQueue(), [], Board(ENGLISH)
def main():
    board.show(CALLING, WELL)
    while (key := keys.get()) not in ("q", "ctrl+c"):
        if key == "x":
            raise SystemExit("a fault")
        typed.append(key)
        board.show(None if key == "r" else CALLING, replace(WELL, heard="KEY " + key.upper()))
    typed.append(key)
board.run(main, lambda key, at: keys.put(key))
print("afterwards", *(key for key in typed if key.isascii() and len(key) == 1))
"""


class Terminal:
    """A terminal of 80x24 with a session in it."""

    def __init__(self) -> None:
        self._end, self._inside = os.openpty()
        fcntl.ioctl(self._inside, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.before = termios.tcgetattr(self._inside)
        command = [sys.executable, "-c", SESSION, str(Path(__file__).parent)]
        self.process = subprocess.Popen(
            command, stdin=self._inside, stdout=self._inside, stderr=self._inside, start_new_session=True
        )
        self._written = b""

    def wait_for(self, text: str) -> None:
        end = time.monotonic() + PATIENCE
        while text.encode() not in self._written:
            assert time.monotonic() < end, f"{text!r} is not in {self._written!r}"
            if select.select([self._end], [], [], 1)[0]:
                self._written += os.read(self._end, 65536)

    def type(self, keys: str | bytes) -> None:
        os.write(self._end, keys.encode() if isinstance(keys, str) else keys)

    def settings(self) -> list[object]:
        return termios.tcgetattr(self._inside)

    def close(self) -> None:
        self.process.kill()
        self.process.wait()
        os.close(self._end)
        os.close(self._inside)


@pytest.fixture
def terminal() -> Iterator[Terminal]:
    terminal = Terminal()
    terminal.wait_for("hears you, speaks")
    yield terminal
    terminal.close()


LEFT_THE_BOARD = "\x1b[?1049l"  # xterm's control sequences: back from the alternate screen


def test_keys_arrive_and_the_terminal_is_left_as_it_was(terminal: Terminal) -> None:
    assert terminal.settings() != terminal.before
    terminal.type("n")
    terminal.wait_for("heard: KEY N")
    terminal.type("q")
    terminal.wait_for(LEFT_THE_BOARD)
    terminal.wait_for("afterwards")
    assert terminal.process.wait(PATIENCE) == 0
    assert terminal.settings() == terminal.before


NOT_UTF_8 = [b"\xff", b"\xe9", b"\xc3", b"\xed\xa0\x80", b"\xf8\x88\x80\x80\x80", bytes(range(0x80, 0x100))]
STUMBLED_OVER = [b"\x1b[1114112u", b"\x1b[99999999999999999999u", b"\x1b[:u", b"\x1b[1;:1A"]  # by textual's parser


@pytest.mark.parametrize("typed", [NOT_UTF_8, STUMBLED_OVER], ids=["not UTF-8", "no sequence"])
def test_bytes_that_are_no_key_change_nothing_and_cost_no_key(terminal: Terminal, typed: list[bytes]) -> None:
    for each in typed:
        terminal.type(each + b"n")
    terminal.type("q")
    terminal.wait_for("afterwards" + " n" * len(typed) + " q")
    assert terminal.process.wait(PATIENCE) == 0


@pytest.mark.parametrize("how", ["\x03", signal.SIGINT, signal.SIGTERM])
def test_interrupted_it_leaves_in_good_order(terminal: Terminal, how: str | signal.Signals) -> None:
    if isinstance(how, str):
        terminal.type(how)
    else:
        terminal.process.send_signal(how)
    terminal.wait_for(LEFT_THE_BOARD)
    terminal.wait_for("afterwards")
    assert terminal.process.wait(PATIENCE) == 0
    assert terminal.settings() == terminal.before


def test_a_fault_in_the_session_leaves_the_terminal_as_it_was(terminal: Terminal) -> None:
    terminal.type("x")
    terminal.wait_for(LEFT_THE_BOARD)
    terminal.wait_for("a fault")
    assert terminal.process.wait(PATIENCE) == 1
    assert terminal.settings() == terminal.before


def test_a_fault_in_the_board_ends_the_session_in_good_order(terminal: Terminal) -> None:
    terminal.type("r")
    terminal.wait_for(LEFT_THE_BOARD)
    terminal.wait_for("the board can no longer be shown; everything is saved, go on with --plain")
    assert terminal.process.wait(PATIENCE) == 1
    assert terminal.settings() == terminal.before
