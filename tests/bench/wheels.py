"""Whether all that is installed comes as wheels, for each machine and Python: a table.

Asks the package registry through uv (PyPI). The extra `test` is for Linux.

    python tests/bench/wheels.py
    python tests/bench/wheels.py --extras . --markdown
"""

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from parts.options import asking

ROOT = Path(__file__).parents[2]
PYTHONS = ("3.11", "3.12", "3.13", "3.14")
MACHINES = {
    "Linux x86-64": "x86_64-manylinux_2_28",
    "Linux aarch64": "aarch64-manylinux_2_28",
    "Windows x64": "x86_64-pc-windows-msvc",
    "Windows ARM": "aarch64-pc-windows-msvc",
    "macOS Intel": "x86_64-apple-darwin",
    "macOS Apple silicon": "aarch64-apple-darwin",
}
PLAIN = "."
EXTRAS = (PLAIN, "voices", "pedal")
NONE_FOR = {("3.11", "Windows ARM"): "PyYAML"}  # what has no wheel there, and no stand-in


def main() -> None:
    """Ends with 1 where something else than what is known has no wheel."""
    parser = asking(__doc__)
    parser.add_argument("--extras", nargs="+", default=EXTRAS, help="%(default)s")
    parser.add_argument("--markdown", action="store_true", help="print it as Markdown")
    options = parser.parse_args()
    surprises = 0
    for extra in options.extras:
        print(f"\n{'pip install .' if extra == PLAIN else f'pip install .[{extra}]'}\n")
        print(row(["", *PYTHONS], options.markdown))
        if options.markdown:
            print(row(["---"] * (1 + len(PYTHONS)), True))
        for machine in MACHINES:
            lacking = [lacks(extra, python, machine) for python in PYTHONS]
            surprises += sum(
                bool(why) and NONE_FOR.get((python, machine)) is None
                for python, why in zip(PYTHONS, lacking, strict=True)
            )
            known = [why and NONE_FOR.get((python, machine), "?") for python, why in zip(PYTHONS, lacking, strict=True)]
            print(row([machine, *(f"no wheel: {each}" if each else "wheels" for each in known)], options.markdown))
            for why in filter(None, (why for why, each in zip(lacking, known, strict=True) if each == "?")):
                print(why, file=sys.stderr)
    sys.exit(surprises > 0)


def lacks(extra: str, python: str, machine: str) -> str:
    """Why it cannot be installed there from wheels alone; "" where it can."""
    command = [sys.executable, "-m", "uv", "pip", "compile", "--quiet", "--only-binary", ":all:"]
    command += ["--python-version", python, "--python-platform", MACHINES[machine]]
    command += [] if extra == PLAIN else ["--extra", extra]
    done = subprocess.run([*command, "pyproject.toml"], cwd=ROOT, capture_output=True, text=True, check=False)
    return " ".join(done.stderr.split()) if done.returncode else ""


def row(cells: Sequence[str], markdown: bool) -> str:
    return "| " + " | ".join(cells) + " |" if markdown else "".join(f"{cell:22}" for cell in cells).rstrip()


if __name__ == "__main__":
    main()
