"""How the program ends: when it is asked to, in which order, and with which exit code. Imports nothing of ours."""

import _thread
import atexit
import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from math import inf
from types import FrameType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sys import UnraisableHookArgs

INTERRUPTED = 130
# Ctrl-C, the wish of the system, and a terminal that was closed.
SIGNALS = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))
ECHO_S = 1.0  # a request so soon after one is no other: a key that bounces, a terminal and a system that both tell

_noted: list[int] = []


def ends_with(code: int) -> int:
    """Note the exit code that a command came to; returns it."""
    _noted[:] = [code]
    return code


def exit_code() -> int:
    """The code noted last; without one 1 after a traceback, else 0."""
    return _noted[0] if _noted else int(hasattr(sys, "last_value"))


def interrupt() -> None:
    """Break off what is being done; whatever is to be closed or taken back is."""
    raise KeyboardInterrupt


def at_once() -> None:
    """End without another word, with the exit code that the command came to, or as one that was interrupted."""
    os._exit(_noted[0] if _noted else INTERRUPTED)


class Requests:
    """What is done when the program is asked to end: the first act, when it is asked again the next, then the last."""

    def __init__(self, *acts: Callable[[], None]) -> None:
        self._acts, self._asked, self._last = acts, 0, -inf
        self.came = False  # one has

    def become(self, *acts: Callable[[], None]) -> None:
        """From now on do these."""
        self._acts = acts

    def listen(self) -> dict[signal.Signals, "signal._HANDLER"]:
        """Take the requests, but those that whoever started the program has it ignore; returns who took them before."""
        before = {number: signal.getsignal(number) for number in SIGNALS}
        taken = {number: handler for number, handler in before.items() if handler is not signal.SIG_IGN}
        for number in taken:
            signal.signal(number, self._take)
        return taken

    def again(self) -> None:
        """A request came to nothing: make it anew, from a thread of its own."""
        self._asked, self._last = 0, -inf
        timer = threading.Timer(0.02, _ask)
        timer.daemon = True
        timer.start()

    def _take(self, _number: int, _frame: FrameType | None) -> None:
        now = time.monotonic()
        if now - self._last < ECHO_S:
            return
        self._last, self._asked, self.came = now, self._asked + 1, True
        self._acts[min(self._asked, len(self._acts)) - 1]()


def _ask() -> None:
    if sys.platform == "win32":  # where os.kill ends the process at once
        _thread.interrupt_main()
    else:
        os.kill(os.getpid(), signal.SIGINT)


@contextmanager
def asked_to_end(*acts: Callable[[], None]) -> Iterator[None]:
    """Meanwhile do these when the program is asked to end. In the main thread."""
    before = Requests(*acts).listen()
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def run(find: Callable[[], Callable[[], int]]) -> int:
    """Run what `find` imports and return its exit code, whenever it is asked to end, and whoever reads what it prints.

    Never a traceback for being interrupted: where Python could only have shown one, since it came into the midst of
    something that cannot be broken off, it comes again.
    """
    requests = Requests(at_once)
    taken = requests.listen()
    atexit.register(_ignore, taken)  # the last of all, after which Python would let them kill it
    sys.unraisablehook = lambda raised: _not_raised(raised, requests)
    main = find()
    try:
        try:
            requests.become(interrupt, at_once)
            code = main()
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else int(end.code is not None)
        finally:
            requests.become(at_once)
    except KeyboardInterrupt:
        code = INTERRUPTED
    except Exception:
        if not requests.came:  # else it is what a library makes of being interrupted
            raise
        code = INTERRUPTED
    code = INTERRUPTED if requests.came and code else code
    ends_with(code)
    _let_go()
    return code


def _ignore(signals: Iterable[signal.Signals]) -> None:
    for number in signals:
        signal.signal(number, signal.SIG_IGN)


def _not_raised(raised: "UnraisableHookArgs", requests: Requests) -> None:
    if isinstance(raised.exc_value, KeyboardInterrupt):
        requests.again()
    else:
        sys.__unraisablehook__(raised)


def _let_go() -> None:
    """What was printed goes out, where anybody still reads it."""
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except (OSError, ValueError):
            with suppress(OSError, ValueError):  # or leaving would fail at it again
                os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
