"""A command in a process of its own, with limits, and what became of it."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryFile
from threading import Event, Timer

from frame import TESTS

HEDDLECALL = (sys.executable, "-m", "assistant")
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(TESTS.parent)}


@dataclass(frozen=True)
class Ran:
    """What became of a command."""

    code: int  # exit code; -N where signal N ended it
    out: bytes
    err: bytes
    seconds: float
    megabytes: float  # resident, at most; never less than what the attack itself holds
    late: bool  # it was killed, since its time was over

    @property
    def traceback(self) -> bool:
        """Whether it ended, or a thread of it, as no weaver should see."""
        return b"Traceback (most recent call last)" in self.out + self.err


def ran(
    command: Sequence[str | bytes],
    *,
    seconds: float = 60.0,
    megabytes: int = 4000,
    given: bytes = b"",
    environment: Mapping[str, str] | None = None,
    folder: Path | None = None,
) -> Ran:
    """Run a command to its end, with so much time and address space; `given` is its standard input."""
    limited = ["sh", "-c", 'ulimit -v "$0"; exec "$@"', str(megabytes * 1024), *command]
    with TemporaryFile() as put_in, TemporaryFile() as out, TemporaryFile() as err:
        put_in.write(given)
        put_in.seek(0)
        began = time.monotonic()
        child = subprocess.Popen(
            limited,
            stdin=put_in,
            stdout=out,
            stderr=err,
            env=ENVIRONMENT | dict(environment or {}),
            cwd=folder,
            start_new_session=True,
        )
        late = Event()
        timer = Timer(seconds, _end, (child.pid, late))
        timer.start()
        _, status, usage = os.wait4(child.pid, 0)
        timer.cancel()
        took = time.monotonic() - began
        child.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        err.seek(0)
        return Ran(child.returncode, out.read(), err.read(), took, usage.ru_maxrss / 1024, late.is_set())


def _end(group: int, late: Event) -> None:
    late.set()
    with suppress(ProcessLookupError):
        os.killpg(group, signal.SIGKILL)
