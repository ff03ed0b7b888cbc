"""A sitting whose standard input was at an end before anything was typed: it lasts as long as somebody can reach it."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from waiting import wait

from assistant.session.events import Kind
from assistant.session.journal import Records

WARP = "{title: Runner, shafts: 4, groups: [{name: edge, thread: 2(1 2)}, {name: body, thread: 3(1 2 3 4)}]}"
POSIX = pytest.mark.skipif(sys.platform == "win32", reason="other shells, other signals")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    file = tmp_path / "runner.yaml"
    file.write_text(WARP)
    return file


@contextmanager
def begun(file: Path, *words: str, closed: bool = False) -> Iterator["subprocess.Popen[str]"]:
    command = [sys.executable, "-m", "assistant", words[0], str(file), "--plain", "--deaf", "--mute", *words[1:]]
    if closed:
        command = ["sh", "-c", 'exec "$@" <&-', "sh", *command]
    env = os.environ | {"HEDDLECALL_DATA": str(file.parent / "data")}
    with subprocess.Popen(command, env=env, text=True, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE) as sitting:
        try:
            yield sitting
        finally:
            sitting.kill()


def kept(file: Path) -> list[Kind]:
    """What was kept of the only record."""
    with Records.read(file.parent / "data" / "journal.sqlite3") as there:
        return [event.kind for record in there.records() for event in there.events(record)]


@pytest.mark.parametrize("closed", [False, pytest.param(True, marks=POSIX)])
def test_deaf_and_without_pedal_and_page_it_leaves_as_if_it_had_been_told_to(file: Path, closed: bool) -> None:
    with begun(file, "thread", closed=closed) as sitting:
        told, _ = sitting.communicate(timeout=60)
    assert sitting.returncode == 0
    assert "ends 1 to 4 of 4: 1, 2, 1, 2" in told
    assert kept(file)[-2:] == [Kind.SIT_DOWN, Kind.LEAVE]


def test_the_clock_leads_it_on_to_the_first_question(file: Path) -> None:
    with begun(file, "check", "--pace", "0.01") as sitting:
        told, _ = sitting.communicate(timeout=60)
    assert sitting.returncode == 0
    assert "edge" in told
    happened = kept(file)
    assert happened[0] is Kind.SIT_DOWN
    assert happened[-1] is Kind.LEAVE
    assert Kind.NEXT in happened


@POSIX
def test_a_page_can_still_reach_it(file: Path) -> None:
    with begun(file, "thread", "--page") as sitting:
        assert wait(
            lambda: (file.parent / "data" / "journal.sqlite3").exists() and kept(file)[-1:] == [Kind.SIT_DOWN], 60
        )
        with pytest.raises(subprocess.TimeoutExpired):
            sitting.wait(3)
        sitting.send_signal(signal.SIGTERM)
        sitting.communicate(timeout=60)
    assert sitting.returncode == 0
    assert kept(file)[-1] is Kind.LEAVE
