"""Rows that SQLite takes and no version of the program wrote: one clear line, and nothing else is held up by them."""

import math
import random
import sqlite3
from contextlib import suppress
from pathlib import Path

import pytest
from warps import warp

from assistant.cli import main
from assistant.errors import JournalError
from assistant.paper.log import also_kept, log
from assistant.session.events import Event, Kind
from assistant.session.history import asked_for, own_paces, told
from assistant.session.journal import Journal, Records
from assistant.session.resume import replayed
from assistant.session.upcoming import upcoming
from assistant.warp.sequence import dump
from assistant.words.language import load
from assistant.words.printed import Printed

EVENTS = [Event(Kind.SIT_DOWN, 1e9, 4), *[Event(Kind.NEXT, 1e9 + 10.0 * n, source="pedal") for n in range(1, 8)]]
ODD_EVENTS = (
    "UPDATE events SET at = 'yesterday' WHERE warp = 2 AND step = 3",
    "UPDATE events SET at = 9e999 WHERE warp = 2 AND step = 3",
    "UPDATE events SET at = 1e30 WHERE warp = 2 AND step = 3",
    "UPDATE events SET at = -1e30 WHERE warp = 2 AND step = 3",
    "UPDATE events SET at = x'00ff' WHERE warp = 2 AND step = 3",
    "UPDATE events SET kind = 'whistle' WHERE warp = 2 AND step = 3",
    "UPDATE events SET kind = x'ff' WHERE warp = 2 AND step = 3",
    "UPDATE events SET number = 'row one' WHERE warp = 2 AND step = 3",
    "UPDATE events SET number = 'seven' WHERE warp = 2 AND step = 3",
    "UPDATE events SET number = 1.5 WHERE warp = 2 AND step = 3",
    "UPDATE events SET number = -9223372036854775808 WHERE warp = 2 AND step = 0",
    "UPDATE events SET number = 1000 WHERE warp = 2 AND step = 0",
    "UPDATE events SET source = x'fffe' WHERE warp = 2 AND step = 3",
    "UPDATE events SET text = cast(x'fffe' AS TEXT) WHERE warp = 2 AND step = 3",
    "UPDATE events SET text = hex(zeroblob(2000000)) WHERE warp = 2 AND step = 3",
    "UPDATE events SET alike = '1-2-3' WHERE warp = 2 AND step = 0",
    "UPDATE events SET alike = 'one-two' WHERE warp = 2 AND step = 0",
    "UPDATE events SET about = 'asked why' WHERE warp = 2 AND step = 3",
    "UPDATE events SET about = 'asked shafts,1,middle,0' WHERE warp = 2 AND step = 3",
    "UPDATE events SET about = 'repair redo,1,1' WHERE warp = 2 AND step = 3",
    "UPDATE events SET about = x'ff' WHERE warp = 2 AND step = 3",
    "DELETE FROM events WHERE warp = 2 AND step = 0",
    "DELETE FROM events WHERE warp = 2 AND step = 3",
    "UPDATE events SET step = -1 WHERE warp = 2 AND step = 0",
    "UPDATE events SET step = 'first' WHERE warp = 2 AND step = 0",
)
ODD_RECORDS = (
    "UPDATE warps SET job = 'juggle' WHERE id = 2",
    "UPDATE warps SET job = x'ff' WHERE id = 2",
    "UPDATE warps SET began = 'long ago' WHERE id = 2",
    "UPDATE warps SET began = 1e300 WHERE id = 2",
    "UPDATE warps SET sequence = x'00' WHERE id = 2",
    "UPDATE warps SET sequence = '{shafts: 4' WHERE id = 2",
    "UPDATE warps SET sequence = '' WHERE id = 2",
    "UPDATE warps SET sequence = 'a' || char(0) || 'b' WHERE id = 2",
    "UPDATE warps SET sequence = cast(x'ff' AS TEXT) WHERE id = 2",
    "UPDATE warps SET sequence = '{shafts: 4, groups: [{name: one, thread: 1}]}', job = 'sley' WHERE id = 2",
)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    file = tmp_path / "odd.yaml"
    file.write_text(dump(warp()), encoding="utf-8")
    return file


@pytest.fixture
def path(tmp_path: Path, file: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A journal of two records, the second of `file`."""
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    with Journal(tmp_path / "data" / "journal.sqlite3") as journal:
        for each in (tmp_path / "good.yaml", file):
            keep = journal.keep(journal.begin(each, "thread", warp(), 1e9))
            for event in EVENTS:
                keep(event)
    return tmp_path / "data" / "journal.sqlite3"


def change(path: Path, statement: str) -> None:
    db = sqlite3.connect(path)
    with db:
        db.execute(statement)
    db.close()


@pytest.mark.parametrize("statement", ODD_EVENTS + ODD_RECORDS)
def test_an_odd_record_is_named_in_one_line_and_stops_no_other(
    path: Path, file: Path, statement: str, capsys: pytest.CaptureFixture[str]
) -> None:
    change(path, statement)
    for words, expected in (
        (("log", "good.yaml"), 2),
        (("log",), 0),
        (("log", "--pace"), 0),
        (("log", str(file.with_name("good.yaml"))), 0),
        (("log", str(file)), 2),
        (("log", str(file), "--json"), 2),
        (("note", "a knot", "--file", str(file)), 2),
        (("next", str(file)), 0),
    ):
        assert main(words) == expected, words
        out, err = capsys.readouterr()
        assert all(len(line) < 1000 for line in (*out.splitlines(), *err.splitlines()))
        if expected == 2:
            (line,) = err.splitlines()
            assert line.startswith("heddlecall: ")
        elif words == ("log",) or (words == ("log", "--pace") and "job = " not in statement):
            (line,) = err.splitlines()
            assert line.startswith("caution: ")
            assert "cannot be read: " in line
            assert words == ("log", "--pace") or "Test runner" in out
    if "job" not in statement:
        assert main(["thread", str(file), "--mute", "--deaf", "--plain"]) == 2
        (line,) = capsys.readouterr().err.splitlines()
        assert line.endswith("it is left as it is: begin anew with --fresh")


def test_a_record_whose_first_event_is_no_sitting_down_has_its_report(
    path: Path, file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    change(path, "UPDATE events SET kind = 'next', number = NULL WHERE warp = 2 AND step = 0")
    assert main(["log", str(file), "--report", str(tmp_path / "odd.html")]) == 0, capsys.readouterr().err
    assert "Test runner" in (tmp_path / "odd.html").read_text()


NUMBERS = (None, 0, -1, 7, 2**63 - 1, -(2**63), 1.5, 1e300, math.inf)
TEXTS = ("", "row 1 2", "row x", "next", "a\0b", b"\xff", b"", "x" * 9999)


def test_whatever_a_row_holds_only_its_record_is_lost(path: Path, file: Path) -> None:
    chance, words, odd = random.Random(7), Printed(load("en")), 0
    for _ in range(100):
        copy = path.with_name("copy.sqlite3")
        copy.write_bytes(path.read_bytes())
        db = sqlite3.connect(copy, isolation_level=None)
        for _ in range(chance.randint(1, 3)):
            table, column = chance.choice(
                [("warps", name) for name in ("file", "sequence", "began", "job", "log")]
                + [("events", name) for name in ("step", "at", "kind", "number", "source", "text", "alike")] * 2
            )
            where = "id = 2" if table == "warps" else f"warp = 2 AND step = {chance.randint(0, 8)}"
            with suppress(sqlite3.IntegrityError):
                db.execute(f"UPDATE {table} SET {column} = ? WHERE {where}", (chance.choice(NUMBERS + TEXTS),))
        db.close()
        with Records.read(copy) as records:
            lines = [line for record, history in told(records, None, None) for line in log(history, words)]
            assert "Test runner, thread: 18 of 30 ends" in lines[:1] + lines
            own_paces(records)
            upcoming(records, file, "odd", warp())
            with suppress(JournalError):  # both are called so
                asked_for(records, "test runner")
            for each, history in told(records, None, None):
                also_kept(each, history, words)
            odd += bool(records.passed_over)
        with Journal(copy) as journal, suppress(JournalError):
            if record := journal.under_way(file, "thread"):
                journal.keep(record)
                replayed(journal, record)
    assert odd > 30


def test_a_record_of_a_file_that_is_gone_is_asked_for_by_title_or_name_and_listed(
    path: Path, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    change(path, "UPDATE warps SET sequence = replace(sequence, 'Test runner', 'Spring Runner') WHERE id = 1")
    gone = file.with_name("good.yaml")
    assert main(["log"]) == 0
    latest, *_, other = capsys.readouterr().out.splitlines()
    assert latest == "Test runner, thread: 18 of 30 ends"
    assert other.startswith("also kept: Spring Runner, thread, begun 2001-09-09 ")
    assert other.endswith(f": 18 of 30 ends; {gone}, which is no longer there")
    for name in ("spring runner", str(gone)):
        assert main(["log", name]) == 0
        lines = capsys.readouterr().out.splitlines()
        assert lines[0] == "Spring Runner, thread: 18 of 30 ends"
        assert f"{gone}, which is no longer there" in lines
    assert main(["note", "a knot", "--file", "Spring Runner"]) == 0
    assert main(["log", "nothing of the kind"]) == 2
    change(path, "UPDATE warps SET sequence = replace(sequence, 'Test runner', 'Spring Runner') WHERE id = 2")
    capsys.readouterr()
    assert main(["log", "spring runner"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line == f"heddlecall: several warps are called spring runner; name one by its file: {file}, {gone}"
