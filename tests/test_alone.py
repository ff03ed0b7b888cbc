"""One window at a time, for a sitting, a lesson and a model; the other is told which window has it."""

import errno
import os
import re
import subprocess
import sys
import warnings
from pathlib import Path

import pytest

from assistant.alone import Alone, Taken, this_window
from assistant.cli import main
from assistant.errors import JournalError
from assistant.senses.ear.taught import alone_with
from assistant.session.journal import Journal

HOLD = """
import sys
from pathlib import Path
from assistant.alone import Alone, this_window
held = Alone(Path(sys.argv[1]), this_window())
held.take()
print(this_window(), flush=True)
sys.stdin.readline()
"""


def test_a_window_that_was_killed_is_not_taken_for_the_one_that_has_it_now(tmp_path: Path) -> None:
    lock = tmp_path / "any.lock"
    command = [sys.executable, "-c", HOLD, str(lock)]
    windows = []
    for _ in range(2):
        window = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        assert window.stdout
        windows.append(window.stdout.readline().strip())
        if len(windows) == 2:
            with pytest.raises(Taken, match=re.escape(windows[1])):
                Alone(lock, this_window()).take()
        window.kill()
        window.communicate()
    held = Alone(lock, this_window())
    held.take()
    assert not held.lost
    held.give_back()


def test_a_lock_that_is_taken_away_is_missed(tmp_path: Path) -> None:
    held = Alone(tmp_path / "any.lock", "here")
    held.take()
    (tmp_path / "any.lock").unlink()
    assert held.lost
    other = Alone(tmp_path / "any.lock", "there")
    other.take()
    held.give_back()
    assert not other.lost
    assert (tmp_path / "any.window").read_text() == "there"
    other.give_back()


@pytest.mark.skipif(os.name != "posix", reason="Windows locks otherwise")
@pytest.mark.parametrize("why", [errno.ENOSYS, errno.ENOLCK, errno.EOPNOTSUPP])
def test_a_disk_that_knows_no_locks_is_one_clear_line(
    tmp_path: Path, why: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(why, os.strerror(why))

    with Journal(tmp_path / "data" / "journal.sqlite3") as journal:
        monkeypatch.setattr("fcntl.flock", refuse)
        with (
            warnings.catch_warnings(action="error"),
            pytest.raises(JournalError, match=r"no lock can be made there .*: set HEDDLECALL_DATA$"),
            journal.hold(Path("runner.yaml"), "thread", "here"),
        ):
            pass


def test_of_two_lessons_for_one_weaver_the_second_is_told_where_the_first_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    lesson = ["teach", "--from", str(tmp_path), "--weaver", "Aino"]
    with alone_with("Aino"):
        assert main(lesson) == 2
        (line,) = capsys.readouterr().err.splitlines()
        assert line.startswith(f"heddlecall: another window is teaching Aino (process {os.getpid()}")
        assert line.endswith("); finish there first")
        assert main([*lesson[:-1], "Ida"]) == 2
    assert main(lesson) == 2
    assert "another window" not in capsys.readouterr().err
