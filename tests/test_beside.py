"""Run where not all is as it was installed: without what it needs, and beside a stranger's `assistant.py`."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
OURS = "usage: heddlecall"


def run(code: str, folder: Path, path: str) -> "subprocess.CompletedProcess[str]":
    """As a script that an installer made, in this folder, with this PYTHONPATH."""
    command = [sys.executable, "-P", "-c", code, "--help"]
    env = {**os.environ, "PYTHONPATH": path}
    return subprocess.run(command, env=env, cwd=folder, capture_output=True, text=True, check=False)


@pytest.fixture
def stranger(tmp_path: Path) -> Path:
    """A folder with a file `assistant.py`."""
    (tmp_path / "assistant.py").write_text("raise SystemExit('a stranger')")
    return tmp_path


def test_beside_a_strangers_file_ours_is_taken(stranger: Path) -> None:
    start = "import sys, heddlecall; sys.exit(heddlecall.main())"
    done = run(start, stranger, os.pathsep.join(["", str(ROOT)]))  # an empty part is the folder one is in
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith(OURS)


def test_the_voice_process_is_ours_beside_a_strangers_file(stranger: Path) -> None:
    start = "from assistant.senses.mouth.voicebox import Voicebox; box = Voicebox(); print(box.engine); box.close()"
    here = f"import os, sys; sys.path[:0] = [{str(ROOT)!r}]; {start}"
    done = run(here, stranger, str(stranger))
    if "install espeak" in done.stderr:
        pytest.skip("no voice")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.strip()


@pytest.mark.parametrize("lacking", ["platformdirs", "numpy"])
def test_what_is_not_installed_is_told_in_one_line(lacking: str, tmp_path: Path) -> None:
    start = (
        f"import sys; sys.modules[{lacking!r}] = None; sys.argv[1:] = ['demo']; "
        "from assistant.__main__ import main; sys.exit(main())"
    )
    done = run(start, tmp_path, str(ROOT))
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"heddlecall: {lacking} is not installed; in the folder of README.md type: ")
    assert done.stderr.count("\n") == 1
