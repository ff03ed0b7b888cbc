"""Benchmarks of this checkout beside those of another, by turns on the same machine: is anything slower than before?

python tests/bench/beside.py ../before start_up replay pedal_to_sound page

The other folder is a checkout too: git worktree add ../before COMMIT. Each benchmark runs with the code it has there;
what both print alike is compared, number by number, by the medians of all rounds.
"""

import os
import re
import subprocess
import sys
from collections import defaultdict
from pathlib import Path
from statistics import median

from parts.options import asking, count

HERE = Path(__file__).resolve().parents[2]
NUMBER = re.compile(r"(?<![\w.])\d+(?:,\d{3})*(?:\.\d+)?")
WAIT_S = 600

Printed = dict[str, list[list[float]]]  # a line without its numbers -> those of each time it was printed


def printed(checkout: Path, name: str) -> list[str]:
    """The lines that a benchmark of a checkout prints; it ends the run where one fails."""
    command = [sys.executable, f"tests/bench/{name}.py"]
    path = {**os.environ, "PYTHONPATH": str(checkout)}
    told = subprocess.run(command, cwd=checkout, env=path, capture_output=True, text=True, timeout=WAIT_S, check=False)
    if told.returncode:
        sys.exit(f"{checkout}: {name} failed: {(told.stderr.strip() or told.stdout.strip()).splitlines()[-1]}")
    return told.stdout.splitlines()


def numbers(lines: list[str], into: Printed) -> None:
    """Add what the lines hold."""
    for line in lines:
        if found := NUMBER.findall(line):
            label = " ".join(NUMBER.sub("#", line).split())
            into[label].append([float(number.replace(",", "")) for number in found])


def compared(name: str, before: Printed, now: Printed) -> list[str]:
    """A line for every number that changes and that both print: median before, median now, their ratio."""
    told = []
    for label in (label for label in now if label in before):
        for column, (old, new) in enumerate(
            zip(zip(*before[label], strict=True), zip(*now[label], strict=True), strict=True), 1
        ):
            if len({*old, *new}) > 1 and median(old):
                place = f" [{column}]" if label.count("#") > 1 else ""
                ratio = median(new) / median(old)
                told.append(f"{name}: {label}{place}: before {median(old):g}, now {median(new):g}, ratio {ratio:.2f}")
    return told


def main() -> None:
    asked = asking(__doc__)
    asked.add_argument("other", type=Path, help="the folder of the other checkout")
    asked.add_argument("names", nargs="+", metavar="NAME", help="benchmarks, by the names of their files")
    asked.add_argument("--rounds", type=count, default=3, help="how often each runs in either (%(default)s)")
    options = asked.parse_args()
    other = options.other.resolve()
    if not (other / "tests" / "bench").is_dir():
        asked.error(f"{options.other} is no checkout: it has no tests/bench")
    for name in options.names:
        before: Printed = defaultdict(list)
        now: Printed = defaultdict(list)
        for _ in range(options.rounds):
            numbers(printed(other, name), before)
            numbers(printed(HERE, name), now)
        print("\n".join(compared(name, before, now) or [f"{name}: nothing that both print"]), flush=True)


if __name__ == "__main__":
    main()
