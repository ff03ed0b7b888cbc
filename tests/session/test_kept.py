"""Old records are listed, gone on with again and deleted, by command, and none that a window is at."""

import json
from pathlib import Path
from typing import Any

import pytest

from assistant import cli
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal, default_path
from assistant.session.resume import Resumption
from assistant.sitting.prepare import prepared
from assistant.warp.passes import SLEY, THREAD, Pass

SITTINGS: tuple[tuple[Pass[Any], bool, int], ...] = ((THREAD, False, 2), (THREAD, True, 1), (SLEY, False, 9))
WARP = "{title: Runner, shafts: 4, sley: [2], sett: 20, reed: 10, groups: [{name: edge, thread: 3(1 2 3 4)}]}"


@pytest.fixture
def runner(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A warp that was begun, begun anew, and sleyed."""
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.chdir(tmp_path)
    Path("runner.yaml").write_text(WARP)
    with Journal(default_path()) as journal:
        for at, (job, fresh, steps) in enumerate(SITTINGS):
            with prepared(journal, Path("runner.yaml"), job, Resumption(fresh)) as (record, _):
                keep = journal.keep(record)
                for event in [Event(Kind.SIT_DOWN, 100.0 + at), *[Event(Kind.NEXT, 200.0 + at)] * steps]:
                    keep(event)
    return Path("runner.yaml")


def listed(capsys: pytest.CaptureFixture[str]) -> list[tuple[int, str, int, bool, bool, bool]]:
    capsys.readouterr()
    assert cli.main(["records", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)
    keys = ("number", "job", "counted", "done", "current", "file_there")
    return [tuple(row[key] for key in keys) for row in rows]


def test_each_is_listed_with_where_it_stands(runner: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert listed(capsys) == [
        (3, "sley", 12, True, True, True),
        (2, "thread", 4, False, True, True),
        (1, "thread", 8, False, False, True),
    ]
    runner.unlink()
    assert cli.main(["records"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert "every group is closed" in lines[0]
    assert "older, a later one is gone on with" in lines[2]
    assert all("no longer there" in line for line in lines)


def test_the_log_shows_all_of_them_or_one(runner: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["log", "--all"]) == 0
    assert [line for line in capsys.readouterr().out.splitlines() if "Runner" in line] == [
        "Runner, sley: 12 of 12 ends",
        "Runner, thread: 4 of 12 ends",
        "Runner, thread: 8 of 12 ends",
    ]
    assert cli.main(["log", "--record", "1"]) == 0
    assert capsys.readouterr().out.startswith("Runner, thread: 8 of 12 ends\n")
    assert cli.main(["log", "--all", "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)) == 3
    assert cli.main(["log", "--record", "9"]) == 2


def test_an_older_one_is_gone_on_with(runner: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["records", "open", "1"]) == 0
    assert [row[:5] for row in listed(capsys)[1:]] == [(2, "thread", 4, False, False), (4, "thread", 8, False, True)]
    with Journal(default_path()) as journal, prepared(journal, runner, THREAD, Resumption()) as (record, session):
        assert (record.id, session.done) == (4, 8)


def test_one_whose_file_is_gone_gets_it_again(runner: Path) -> None:
    runner.unlink()
    assert cli.main(["records", "open", "1"]) == 0
    with Journal(default_path()) as journal, prepared(journal, runner, THREAD, Resumption()) as (_, session):
        assert session.done == 8


def test_what_is_deleted_is_gone_and_nothing_else(runner: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["records", "delete", "1"]) == 2
    assert len(listed(capsys)) == 3
    assert cli.main(["records", "delete", "1", "--yes"]) == 0
    assert [row[0] for row in listed(capsys)] == [3, 2]
    assert cli.main(["records", "delete", "runner.yaml", "--job", "sley", "--yes"]) == 0
    assert [row[0] for row in listed(capsys)] == [2]
    with Journal(default_path()) as journal:
        assert journal._db.execute("SELECT DISTINCT warp FROM events").fetchall() == [(2,)]
    assert cli.main(["records", "delete", "nothing.yaml", "--yes"]) == 2


def test_what_a_window_is_at_is_not_deleted(runner: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Journal(default_path()) as journal, prepared(journal, runner, THREAD, Resumption()):
        assert cli.main(["records", "delete", "runner.yaml", "--yes"]) == 2
        assert cli.main(["records", "open", "1"]) == 2
        assert "another window" in capsys.readouterr().err
    assert len(listed(capsys)) == 3
