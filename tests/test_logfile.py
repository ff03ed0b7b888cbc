"""A log is written where it was asked for, and tells what was done and nothing that is anybody's own."""

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryFile
from typing import Any

import pytest

from assistant import cli
from assistant.cli.command import Command
from assistant.cli.families import commands
from assistant.errors import DraftError
from assistant.logfile import LogFile, impersonal

WARP = """
{title: Ainos Schal, shafts: 4, groups: [
  {name: Kinderrand, thread: 8(1 2)}, {name: Rosenbeet, thread: 3(1..4)}]}
"""
HERS = ("Aino", "Schal", "Kinderrand", "Rosenbeet", "schublade")


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home of its own, whose name nobody is told."""
    place = tmp_path / "Aino"
    place.mkdir()
    monkeypatch.setenv("HOME", str(place))
    for name in ("HEDDLECALL_DATA", "XDG_CONFIG_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(place / name))
    monkeypatch.chdir(place)
    place.joinpath("schublade.yaml").write_text(WARP.replace("", ""), encoding="utf-8")
    return place


def logs(home: Path) -> list[Path]:
    return sorted(home.glob("XDG_CACHE_HOME/heddlecall/logs/*"))


def logged(home: Path) -> str:
    [file] = logs(home)
    return file.read_text(encoding="utf-8")


def sat(monkeypatch: pytest.MonkeyPatch, typed: str, *words: str) -> int:
    with TemporaryFile("w+") as stdin:
        stdin.write(typed)
        stdin.seek(0)
        monkeypatch.setattr("sys.stdin", stdin)
        return cli.main(["thread", "schublade.yaml", "--plain", "--mute", "--deaf", *words])


def every(among: list[Command[Any]]) -> Iterator[Command[Any]]:
    for command in among:
        yield command
        yield from every(list(command.under))


def test_every_command_can_be_logged() -> None:
    assert [each.name for each in every(commands()) if "log_level" not in each.arguments()] == []


def test_nothing_is_written_unasked(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert sat(monkeypatch, "n\nq\n") == 0
    assert logs(home) == []


def test_a_sitting_is_told_event_by_event_and_names_nobody(
    home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert sat(monkeypatch, "n\nn\nj\n2\nq\n", "--log", "debug", "--language", "de") == 0
    log = logged(home)
    assert str(logs(home)[0]) in capsys.readouterr().err
    assert "thread --plain --mute --deaf --language --log" in log
    assert "next by key: calling, 8 done" in log
    assert "number 2 by key" in log
    assert "kept in" in log
    assert log.endswith("exit code 0\n")
    assert [name for name in HERS if name in log] == []


def test_of_what_is_less_grave_nothing_is_told(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert sat(monkeypatch, "n\nq\n", "--log", "warning") == 0
    assert logged(home) == ""


def test_an_error_is_told_without_what_it_names(home: Path) -> None:
    assert cli.main(["calls", "schublade.yml", "--log", "error"]) == 2
    assert "SequenceError: …: there is no such file or example; the examples are: …" in logged(home)


def test_numbers_and_what_is_wrong_within_what_is_wrong_are_told() -> None:
    error = DraftError("end {end} of {name}", "look there", file="/home/aino/shawl.wif", line=3, end=7, name="Aino")
    assert impersonal(error.tell) == "…: end 7 of …; look there"


def test_of_a_fault_of_ours_the_place_is_told_and_not_the_words(home: Path) -> None:
    def fails() -> None:
        raise ValueError("Aino")

    with pytest.raises(ValueError, match="Aino"), LogFile("error"):
        fails()
    assert "ValueError" in logged(home)
    assert "in fails" in logged(home)
    assert not any("Aino" in line for line in logged(home).splitlines() if "raise" not in line)


def test_a_log_that_cannot_be_written_is_one_line(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home.joinpath("XDG_CACHE_HOME").write_text("")
    assert cli.main(["models", "--log", "info"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert "the log cannot be written (Not a directory)" in told.err
