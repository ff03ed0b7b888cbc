"""Commands in a process of their own, and the memory that they took."""

import os
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

MOST_MB = 400  # that any command may take, whatever it is given
# Addresses are bounded too, for what a command that goes wrong may do to the machine.
_RUN = """
import atexit, pathlib, resource, sys
resource.setrlimit(resource.RLIMIT_AS, (8 << 30, 8 << 30))
atexit.register(lambda: pathlib.Path("status").write_text(pathlib.Path("/proc/self/status").read_text()))
from assistant.cli import main
sys.exit(main())
"""


@dataclass(frozen=True)
class Taken:
    """How a command ended."""

    code: int
    out: str
    err: str
    megabytes: float  # in memory, at most at any time


def taken(*words: str | Path, folder: Path) -> Taken:
    """Run a command to its end, in this folder, which also takes what it keeps."""
    kept = {name: str(folder) for name in ("HEDDLECALL_DATA", "XDG_CONFIG_HOME", "XDG_CACHE_HOME")}
    done = subprocess.run(
        [sys.executable, "-c", _RUN, *map(str, words)],
        cwd=folder,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, **kept, "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    most = re.search(r"VmHWM:\s*(\d+) kB", (folder / "status").read_text())
    return Taken(done.returncode, done.stdout, done.stderr, int(most[1]) / 1024 if most else 0.0)
