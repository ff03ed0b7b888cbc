"""A program alone: in a home of its own and a network without any interface, and what it did there.

Whatever a program asks of a network that has no interface, also from a library that is no Python, the kernel counts as
having no route (RFC 2011, ipOutNoRoutes); what it does by Python, `watch/sitecustomize.py` notes; what it leaves, lies
in its home.
"""

import ast
import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path

TESTS = Path(__file__).parent
APART = ("unshare", "--map-root-user", "--net", "--mount", "sh", "-c")
WITHIN = """
mount -t tmpfs none /run  # sockets in it lead to services of the system that look names up
"$@"; code=$?
cat /proc/net/snmp /proc/net/snmp6 >"$COUNTERS"
exit $code
"""
WHY_NOT = "needs unshare, and leave to make a network namespace"
PATIENCE_S = 280


@cache
def can_be_apart() -> bool:
    """Whether a network without any interface can be had here."""
    tried = [*APART, "mount -t tmpfs none /run"]
    return bool(shutil.which("unshare")) and subprocess.run(tried, capture_output=True, check=False).returncode == 0


@dataclass(frozen=True)
class Done:
    """What came of a program."""

    code: int
    out: str
    error: str
    asked: int  # of the network; 0 where no network without an interface is to be had
    wrote: set[Path]  # files and folders, by Python
    called: list[tuple[str, ...]]  # of the network, by Python: what, and with whom


class Hermitage:
    """A home with nothing in it, where programs run, without a network where that can be had."""

    def __init__(self, folder: Path) -> None:
        self.home, self.temporary, self.desk = (folder / name for name in ("home", "temporary", "desk"))
        for each in (self.home, self.temporary, self.desk):
            each.mkdir()
        self._folder, self._runs = folder, 0

    def environment(self) -> dict[str, str]:
        """No more than a program needs, and nothing of ours."""
        path = os.pathsep.join([str(TESTS / "watch"), str(TESTS.parent), str(TESTS)])
        return {
            "PATH": os.environ["PATH"],
            "PYTHONPATH": path,
            "PYTHONDONTWRITEBYTECODE": "1",  # beside the code, in a checkout; an installer has written them before
            "HOME": str(self.home),
            "TMPDIR": str(self.temporary),
            "LANG": "C.UTF-8",
        }

    def run(self, *command: str, typed: str = "", under: Sequence[str] = (), **environment: str) -> Done:
        """A program of Python, by its arguments; run by another where one is given, and then not apart."""
        self._runs += 1
        watched, counters = (self._folder / f"{name}-{self._runs}" for name in ("watched", "counters"))
        env = {**self.environment(), "WATCHED": str(watched), "COUNTERS": str(counters), **environment}
        apart = can_be_apart() and not under
        whole = [*((*APART, WITHIN, "sh") if apart else under), sys.executable, *command]
        done = subprocess.run(
            whole, cwd=self.desk, env=env, input=typed, capture_output=True, text=True, timeout=PATIENCE_S, check=False
        )
        asked = _asked(counters.read_text()) if apart else 0
        notes = [ast.literal_eval(line) for line in watched.read_text().splitlines()]
        called = [note for note in notes if note[0].startswith("socket.")]
        wrote = {Path(path) for note in notes if note not in called for path in note[1:]}
        return Done(done.returncode, done.stdout, done.stderr, asked, wrote, called)

    def left(self) -> set[str]:
        """Every file there is, from the folder on."""
        return {
            str(file.relative_to(self._folder))
            for folder in (self.home, self.temporary, self.desk)
            for file in folder.rglob("*")
            if not file.is_dir()
        }


def _asked(counters: str) -> int:
    """Datagrams sent, and whatever found no route, of either protocol."""
    lines = [line.split() for line in counters.splitlines()]
    found = {line[0]: int(line[1]) for line in lines if line[0].endswith(("6OutNoRoutes", "6OutDatagrams"))}
    for names, values in pairwise(lines):
        if names[0] == values[0] in ("Ip:", "Udp:"):
            found |= {f"{names[0]}{name}": int(value) for name, value in zip(names[1:], values[1:], strict=True)}
    wanted = ("Ip:OutNoRoutes", "Udp:OutDatagrams", "Ip6OutNoRoutes", "Udp6OutDatagrams")
    return sum(found[name] for name in wanted if name in found)
