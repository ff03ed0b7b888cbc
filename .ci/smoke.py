"""The wheel by itself, away from the checkout, in a new environment of the Python that runs this.

The demo must hear every word rightly.

    python3.13 .ci/smoke.py dist/*.whl
"""

import os
import re
import subprocess
import sys
import venv
from pathlib import Path
from tempfile import TemporaryDirectory

BESIDE = ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV")  # what would let in another heddlecall
HEARD = re.compile(r"said (\d+): right \1, wrong 0, missed 0")


def main() -> None:
    """Ends with 1, and what was printed, where a command fails, or a word of the demo is not heard rightly."""
    wheel = Path(sys.argv[1]).resolve(strict=True)
    with TemporaryDirectory(ignore_cleanup_errors=True) as name:
        folder = Path(name)
        environ = {key: value for key, value in os.environ.items() if key not in BESIDE}
        environ |= {"HEDDLECALL_DATA": str(folder / "data")}
        venv.create(folder / "venv", with_pip=True)
        programs = folder / "venv" / ("Scripts" if os.name == "nt" else "bin")

        def run(program: str, *words: str) -> str:
            done = subprocess.run(
                [programs / program, *words],
                cwd=folder,
                env=environ,
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                encoding="utf-8",
                errors="replace",
                check=False,
            )
            if done.returncode:
                sys.exit(f"{done.stdout}\n{program} {' '.join(words)}: exit code {done.returncode}")
            return done.stdout

        run("python", "-m", "pip", "install", "--quiet", str(wheel))
        run("heddlecall", "--help")
        run("heddlecall", "calls", "first-evening")
        told = run("heddlecall", "demo")
        heard = HEARD.search(told)
        if not heard or not (folder / "demo.wav").stat().st_size:
            sys.exit(f"{told}\nheddlecall demo: not all words were heard rightly")
    print(f"{wheel.name} with Python {sys.version.split()[0]} on {sys.platform}: {heard[0]}")


if __name__ == "__main__":
    main()
