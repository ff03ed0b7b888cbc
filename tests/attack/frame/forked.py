"""The program in processes that are begun within milliseconds: forked from one that has imported it once."""

import fcntl
import gc
import os
import pty
import resource
import select
import signal
import struct
import sys
import termios
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from typing import NoReturn

from frame import TESTS

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # or forked processes would begin with threads that are not there

NEEDED = (
    "assistant.cli",
    "assistant.sitting.run",
    "assistant.senses.screen.terminal",
    "assistant.senses.page.page",
    "assistant.session.upcoming",
    "assistant.paper.report",
    "assistant.paper.table",
    "assistant.drafting",
    "assistant.senses.lesson.teach",
)
ROWS_AND_COLUMNS = struct.pack("HHHH", 40, 120, 0, 0)


def warm_up() -> None:
    """Import what the commands need, so that forked processes begin at once. Before the first Window."""
    for name in NEEDED:
        import_module(name)
    from assistant.cli.families import commands
    from assistant.words.language import load

    commands()
    load("en")
    gc.collect()
    gc.freeze()


def begun_anew(command: Sequence[str]) -> NoReturn:
    """Begin the program as a weaver does, Python and all, instead of going on in the forked process."""
    os.environ["PYTHONPATH"] = str(TESTS.parent)
    os.execv(sys.executable, [sys.executable, "-m", "assistant", *command])


class Window:
    """A command in a process of its own, with pipes or a terminal; what it prints is gathered until it has ended."""

    def __init__(
        self,
        command: Sequence[str],
        data: Path,
        *,
        terminal: bool = False,
        largest_file: int | None = None,
        ignores: signal.Signals | None = None,
        runs: Callable[[Sequence[str]], int] | None = None,
    ) -> None:
        """`largest_file`: bytes that no file may exceed; `runs` stands in for the program."""
        self.command = command
        self.out = b""
        self.code: int | None = None  # once it has ended; -N where signal N ended it
        self.megabytes = 0.0
        self._told = ""
        self._err = os.memfd_create("standard error")
        self._ours, theirs, put_in = _terminal() if terminal else _pipes()
        self._keys = self._ours if terminal else put_in
        sys.stdout.flush()
        self.pid = os.fork()
        if not self.pid:
            self._be(command, data, theirs, terminal, largest_file, ignores, runs)
        for descriptor in set(theirs):
            os.close(descriptor)
        os.set_blocking(self._ours, False)
        os.set_blocking(self._keys, False)

    def _be(
        self,
        command: Sequence[str],
        data: Path,
        streams: tuple[int, int],
        terminal: bool,
        largest_file: int | None,
        ignores: signal.Signals | None,
        runs: Callable[[Sequence[str]], int] | None,
    ) -> None:
        """The forked process, which never returns."""
        code = 70
        try:
            os.setsid()
            if terminal:
                fcntl.ioctl(streams[0], termios.TIOCSCTTY, 0)
            os.dup2(streams[0], 0)
            os.dup2(streams[1], 1)
            os.dup2(streams[1] if terminal else self._err, 2)
            os.closerange(3, 256)
            signal.signal(signal.SIGTERM, signal.SIG_DFL)
            signal.signal(signal.SIGHUP, signal.SIG_DFL)
            signal.signal(signal.SIGINT, signal.SIG_DFL)  # as the program has it until it listens
            if ignores is not None:
                signal.signal(ignores, signal.SIG_IGN)
            os.environ |= {"HEDDLECALL_DATA": str(data), "TERM": "xterm-256color"}
            for name, number, mode in (("stdin", 0, "r"), ("stdout", 1, "w"), ("stderr", 2, "w")):
                stream = os.fdopen(number, mode, encoding="utf-8", closefd=False)
                setattr(sys, name, stream)
                setattr(sys, f"__{name}__", stream)
            if largest_file is not None:
                resource.setrlimit(resource.RLIMIT_FSIZE, (largest_file, largest_file))
            from assistant.cli import main
            from assistant.ending import run

            code = runs(command) if runs else run(lambda: lambda: main(command))
        except SystemExit as left:
            code = left.code if isinstance(left.code, int) else 1
        except BaseException:
            import traceback

            with suppress(OSError):
                traceback.print_exc()
        finally:
            with suppress(OSError, ValueError):
                sys.stdout.flush()
                sys.stderr.flush()
            os._exit(code & 0xFF)

    @property
    def lines(self) -> list[str]:
        """What was printed so far, whole lines."""
        return self.out.decode(errors="replace").replace("\r\n", "\n").split("\n")[:-1]

    @property
    def err(self) -> str:
        """What was printed to standard error so far; in a terminal it is within `out`."""
        if self._err >= 0:
            self._told = os.pread(self._err, 1_000_000, 0).decode(errors="replace")
        return self._told

    def type(self, text: str) -> None:
        """Type, as far as there is anybody left to read it."""
        with suppress(OSError):
            os.write(self._keys, text.encode())

    def close_input(self) -> None:
        """No more will be typed."""
        if self._keys not in (-1, self._ours):
            os.close(self._keys)
            self._keys = -1

    def close_all(self) -> None:
        """Whoever read and typed is gone: both pipes are closed, or the terminal."""
        self.close_input()
        if self._ours >= 0:
            os.close(self._ours)
        self._ours = self._keys = -1

    def kill(self, number: int) -> None:
        """Send a signal, unless it has ended."""
        if self.code is None:
            os.kill(self.pid, number)

    def until(self, seen: Callable[[], bool], seconds: float) -> bool:
        """Gather what is printed until something is seen; False where it has ended, or the time is over, before."""
        end = time.monotonic() + seconds
        while not seen():
            if self._ended() or time.monotonic() > end:
                self._gather(0)
                return seen()
            self._gather(0.01)
        return True

    def ends_within(self, seconds: float) -> bool:
        """Whether it ends by itself within so many seconds."""
        return self.until(lambda: self.code is not None, seconds)

    def bury(self) -> None:
        """Make an end of it, and close what is open."""
        self.kill(signal.SIGKILL)
        self.ends_within(10)
        self.close_all()
        if self._err >= 0:
            self._told = self.err
            os.close(self._err)
            self._err = -1

    def _ended(self) -> bool:
        if self.code is None:
            pid, status, usage = os.wait4(self.pid, os.WNOHANG)
            if pid:
                self.code, self.megabytes = os.waitstatus_to_exitcode(status), usage.ru_maxrss / 1024
        return self.code is not None

    def _gather(self, seconds: float) -> None:
        if self._ours < 0:
            time.sleep(seconds)
            return
        while select.select([self._ours], [], [], seconds)[0]:
            piece = b""
            with suppress(OSError):  # a terminal that nobody holds any more
                piece = os.read(self._ours, 65536)
            if not piece:
                time.sleep(seconds)
                return
            self.out += piece
            seconds = 0


def _pipes() -> tuple[int, tuple[int, int], int]:
    """What we read, what it reads and writes, what we write."""
    its_in, our_out = os.pipe()
    our_in, its_out = os.pipe()
    return our_in, (its_in, its_out), our_out


def _terminal() -> tuple[int, tuple[int, int], int]:
    ours, its = pty.openpty()
    fcntl.ioctl(its, termios.TIOCSWINSZ, ROWS_AND_COLUMNS)
    settings = termios.tcgetattr(its)
    settings[3] &= ~termios.ECHO
    termios.tcsetattr(its, termios.TCSANOW, settings)
    return ours, (its, its), ours
