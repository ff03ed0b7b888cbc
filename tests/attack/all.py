"""Every attack, two at a time and the fuzzers beside them, and one table at the end.

    python tests/attack/all.py
    python tests/attack/all.py --seconds 60

Each attack goes on for as long as it does by itself, or for as many seconds as are given here; none goes on for long
when the minutes for all of them are over. What it prints is shown when it ends. The exit code is 0 where all held.
"""

import os
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from frame.trying import ENDS, HELD, NOT_HELD, NOT_TRIED, Summary
from parts.options import asking, between, count

HERE = Path(__file__).parent
AT_A_TIME = 2
BESIDE = HERE / "fuzz.py"  # which computes for long and keeps no time: it gives way to the others
HEAD = ("attack", "tries", "found", "worst time", "worst memory", "took", "verdict")


@dataclass(frozen=True)
class Done:
    """An attack that has ended; without a summary it broke down."""

    name: str
    code: int
    summary: Summary | None

    def row(self) -> tuple[str, ...]:
        """Of the table."""
        if not (told := self.summary):
            return (self.name, "", "", "", "", "", f"BROKE DOWN with exit code {self.code}")
        worst = (f"{told.worst_s:.2f} s", f"{told.worst_mb:.0f} MB", f"{told.took_s:.0f} s")
        return (self.name, f"{told.tries:,}", str(told.found), *worst, told.verdict)


def attacked(script: Path, options: list[str]) -> Done:
    """Run an attack, and show what it printed once it has ended."""
    gives_way = ["nice"] if script == BESIDE else []
    done = subprocess.run(
        [*gives_way, sys.executable, script, *options],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        check=False,
        text=True,
    )
    print(f"--- {script.name}\n{done.stdout}", flush=True)
    lines = done.stdout.splitlines()
    return Done(script.stem, done.returncode, Summary.read(lines[-1]) if lines else None)


def table(rows: list[tuple[str, ...]]) -> str:
    """Rows of one width, the first being the head."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    sides = "<" + ">" * (len(widths) - 2) + "<"
    return "\n".join(
        "  ".join(f"{cell:{side}{width}}" for cell, side, width in zip(row, sides, widths, strict=True)).rstrip()
        for row in rows
    )


def main() -> None:
    parser = asking(__doc__)
    parser.add_argument("--tries", type=count, help="at most, of each attack")
    parser.add_argument("--seconds", type=between(0, 86400), help="at most, roughly, for each attack")
    parser.add_argument("--minutes", type=between(0, 1440), default=28, help="at most, roughly, for all (%(default)s)")
    parser.add_argument("--seed", type=count, default=1, help="of what is random (%(default)s)")
    asked = parser.parse_args()
    options = [f"--seed={asked.seed}"]
    options += [f"--{name}={value}" for name in ("tries", "seconds") if (value := getattr(asked, name)) is not None]
    scripts = sorted(script for script in HERE.glob("*.py") if script != Path(__file__))
    began = time.monotonic()
    os.environ[ENDS] = str(began + 60 * asked.minutes)
    with ThreadPoolExecutor(1) as beside, ThreadPoolExecutor(AT_A_TIME) as together:
        begun = [(beside if script == BESIDE else together).submit(attacked, script, options) for script in scripts]
        done = [each.result() for each in begun]
    print(table([HEAD, *(each.row() for each in done)]))
    print(f"{len(done)} attacks in {(time.monotonic() - began) / 60:.1f} min")
    sys.exit(HELD if all(each.summary and each.code in (HELD, NOT_TRIED) for each in done) else NOT_HELD)


if __name__ == "__main__":
    main()
