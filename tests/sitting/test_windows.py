"""Two windows at one warp, as two processes: one has the record, and the other changes nothing."""

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from waiting import wait

from assistant.errors import JournalError
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal, Record

RUNNER = """
{title: Runner, shafts: 4, groups: [{name: edge, thread: 1 2 1 2}, {name: body, thread: 1 2 3 4}]}
"""
EDITED = RUNNER.replace("thread: 1 2 3 4", "thread: 1 2 3 4 3 2")
QUIET = ("--mute", "--deaf", "--plain")
SEVERAL = 4

Window = subprocess.Popen[str]
Windows = Callable[..., Window]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    file = tmp_path / "runner.yaml"
    file.write_text(RUNNER)
    return file


@pytest.fixture
def window(tmp_path: Path, file: Path) -> Iterator[Windows]:
    """Opens windows at the warp, each a process of its own that ends with the test."""
    windows: list[Window] = []
    env = os.environ | {"HEDDLECALL_DATA": str(tmp_path / "data")}
    pipes = dict.fromkeys(("stdin", "stdout", "stderr"), subprocess.PIPE)

    def opened(*options: str) -> Window:
        command = [sys.executable, "-m", "assistant", "thread", str(file), *QUIET, *options]
        windows.append(subprocess.Popen(command, env=env, text=True, **pipes))  # type: ignore[call-overload]
        return windows[-1]

    yield opened
    for each in windows:
        each.kill()
        each.communicate()


def kept(tmp_path: Path, file: Path) -> list[tuple[Record, list[Event]]]:
    """The records of the file with what happened in each, the latest begun first."""
    path = tmp_path / "data" / "journal.sqlite3"
    if not path.exists():
        return []
    with Journal(path) as journal:
        return [(record, journal.events(record)) for record in journal.records(file)]


def sits(tmp_path: Path, file: Path, events: int = 1) -> bool:
    """Whether so many events come to be kept of the record begun last."""
    return wait(lambda: any(len(happened) >= events for _, happened in kept(tmp_path, file)[:1]), 30)


def typed(window: Window, text: str) -> None:
    assert window.stdin
    window.stdin.write(text)
    window.stdin.flush()


def refused(window: Window) -> str:
    """The one line of a window that ends as it should where another has the warp."""
    _, told = window.communicate(timeout=60)
    assert window.returncode == 2, told
    (line,) = told.splitlines()
    return line


def test_a_window_that_is_refused_has_changed_nothing(tmp_path: Path, file: Path, window: Windows) -> None:
    first = window()
    assert sits(tmp_path, file)
    file.write_text(EDITED)
    assert f"another window has this warp (process {first.pid}, since " in refused(window("--edited"))
    typed(first, "\n" * 4 + "q\n")
    told, _ = first.communicate(timeout=60)
    assert "All 8 ends are threaded" in told
    ((record, _),) = kept(tmp_path, file)
    assert record.warp.ends == 8
    after = refused(window())
    assert "edited since it was begun" in after
    assert "another window" not in after


def test_beside_a_sitting_nothing_is_begun_anew(tmp_path: Path, file: Path, window: Windows) -> None:
    first = window()
    assert sits(tmp_path, file)
    assert "another window has this warp" in refused(window("--fresh"))
    assert len(kept(tmp_path, file)) == 1
    typed(first, "\nq\n")
    first.communicate(timeout=60)
    ((_, events),) = kept(tmp_path, file)
    assert [event.kind for event in events] == [Kind.HEDDLES_COUNTED, Kind.SIT_DOWN, Kind.NEXT, Kind.LEAVE]


def test_of_windows_opened_at_the_same_moment_one_has_the_only_record(
    tmp_path: Path, file: Path, window: Windows
) -> None:
    windows = [window() for _ in range(SEVERAL)]
    assert wait(lambda: sum(each.poll() is None for each in windows) == 1, 60)
    assert sits(tmp_path, file)
    assert len(kept(tmp_path, file)) == 1
    (sitting,) = (each for each in windows if each.poll() is None)
    for each in windows:
        if each is not sitting:
            assert "another window has this warp" in refused(each)


def test_a_killed_window_leaves_the_warp_to_the_next(tmp_path: Path, file: Path, window: Windows) -> None:
    first = window()
    assert sits(tmp_path, file)
    first.kill()
    first.wait()
    window()
    assert sits(tmp_path, file, events=2)
    assert len(kept(tmp_path, file)) == 1


@pytest.mark.skipif(os.name != "posix", reason="an open file keeps its name there")
@pytest.mark.parametrize("named", [os.link, os.rename, os.symlink], ids=["linked", "renamed", "pointed to"])
def test_one_file_by_another_name_is_one_warp(tmp_path: Path, file: Path, named: Callable[[Path, Path], None]) -> None:
    other = tmp_path / "other.yaml"
    with Journal(tmp_path / "data" / "journal.sqlite3") as journal:
        with journal.hold(file, "thread", "here"):
            named(file, other)
            for name in (file, other):
                with (
                    pytest.raises(JournalError, match=r"another window has this warp \(here\)"),
                    journal.hold(name, "thread", "there"),
                ):
                    pass
            with journal.hold(other, "sley", "there"):
                pass
        with journal.hold(other, "thread", "there"):
            pass


def test_a_file_written_anew_under_a_sitting_is_no_other_warps(tmp_path: Path, file: Path) -> None:
    with (
        Journal(tmp_path / "data" / "journal.sqlite3") as journal,
        journal.hold(file, "thread", "here"),
    ):
        for each in range(20):
            new = tmp_path / f"{each}.yaml"
            new.write_text(RUNNER)
            new.replace(file)
            new.write_text(RUNNER)
            with journal.hold(new, "thread", "there"):
                pass
