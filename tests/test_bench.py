"""Every benchmark tells what it is and stands in the index; none is run here."""

import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).parent.parent
BENCH = ROOT / "tests" / "bench"
BENCHMARKS = sorted(BENCH.glob("*.py"))
AT_A_TIME = 4


def asked(file: Path, option: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, file, option], capture_output=True, text=True, check=False, cwd=BENCH.parents[1]
    )


def test_every_benchmark_tells_its_options_with_an_example() -> None:
    with ThreadPoolExecutor(AT_A_TIME) as together:
        told = dict(zip(BENCHMARKS, together.map(lambda file: asked(file, "--help"), BENCHMARKS), strict=True))
    assert {file.name: done.stderr for file, done in told.items() if done.returncode} == {}
    assert [file.name for file, done in told.items() if f"python tests/bench/{file.name}" not in done.stdout] == []


def test_an_option_that_cannot_be_is_told_in_a_line() -> None:
    done = asked(BENCH / "pedal_to_sound.py", "none")
    assert done.returncode == 2
    assert done.stderr.splitlines()[-1].endswith("'none' is no count; write a whole number from 1 up")


def test_the_index_names_every_benchmark_once_and_no_other() -> None:
    index = (BENCH / "README.md").read_text(encoding="utf-8")
    assert sorted(re.findall(r"^\| \[(\w+\.py)\]\(\1\) \|", index, re.MULTILINE)) == [file.name for file in BENCHMARKS]


def test_whatever_is_imported_and_not_run_lies_in_parts() -> None:
    runs = 'if __name__ == "__main__":'
    assert [file.name for file in BENCHMARKS if runs not in file.read_text(encoding="utf-8")] == []
    assert [file.name for file in (BENCH / "parts").glob("*.py") if runs in file.read_text(encoding="utf-8")] == []
