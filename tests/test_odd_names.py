"""Files whose names are no text, or hold what moves the cursor, as every argument and every output."""

import json
import os
import sys
from pathlib import Path

import pytest

from assistant import cli
from assistant.output import legible
from assistant.senses.page import page
from assistant.session.journal import Journal, default_path
from assistant.warp.spelling import typed

if sys.platform in ("win32", "darwin"):
    pytest.skip("a file has a name of any bytes on Linux only", allow_module_level=True)

NAME = os.fsdecode(b"caf\xe9\x1b[31m\xe2\x80\xae\n")
SHOWN = r"caf\xe9\x1b[31m\u202e\n"
WARP = f"{NAME}.yaml"
ALONE = ["--plain", "--mute", "--deaf"]
EVENING = (  # each a command, and the exit code
    (["calls", WARP], 0),
    (["calls", WARP, "--json"], 0),
    (["plan", WARP, "--card", f"{NAME}.html"], 0),
    (["end", WARP, "--end", "2"], 0),
    (["rehearse", WARP], 0),
    (["export", WARP, "-o", f"{NAME}.wif"], 0),
    (["import", f"{NAME}.wif", "-o", f"{NAME} again.yaml", "--start", "left"], 0),
    (["import", f"{NAME}.txt", "-o", f"{NAME} list.yaml", "--start", "left"], 0),
    (["thread", WARP, *ALONE], 0),
    (["tie", WARP, *ALONE], 0),
    (["thread", WARP, "--fresh", *ALONE], 0),
    (["next", WARP], 0),
    (["next", WARP, "--json"], 0),
    (["note", "a knot", "--file", WARP], 0),
    (["log"], 0),
    (["log", WARP], 0),
    (["log", WARP, "--json"], 0),
    (["log", WARP, "--report", f"{NAME} log.html", "--csv", f"{NAME}.csv"], 0),
    (["log", "--pace"], 0),
    (["find", WARP, "--group", "all", "--over", "1"], 0),
    (["find", WARP, "--group", NAME], 2),
    (["calls", NAME], 2),
    (["calls", WARP, "--language", NAME], 2),
    (["calls", WARP, "--job", NAME], 2),
    (["hear", f"{NAME}.wav"], 2),
    (["hear", "--model", NAME, "x.wav"], 2),
    (["teach", "--weaver", NAME, "--from", "."], 2),
    (["teach", "--weaver", "ann", "--from", NAME], 2),
    (["models", "add", NAME], 2),
    (["models", "add", "de", "--from", NAME], 2),
    (["note", NAME], 2),
    (["log", NAME], 2),
    (["rehearse", WARP, "--mistake", NAME], 2),
)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / f"data {NAME}"))
    Path(WARP).write_text("{shafts: 4, sett: 15, reed: 10, groups: [{name: all, thread: 3(1 2)}]}")
    Path(f"{NAME}.txt").write_text("1 2 3 4")
    Path("typed").write_text("n\nq\n")
    return tmp_path


def test_an_evening_with_a_file_whose_name_is_no_text(
    here: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for words, expected in EVENING:
        with Path("typed").open() as stdin:
            monkeypatch.setattr(sys, "stdin", stdin)
            try:
                code = cli.main(words)
            except SystemExit as end:
                code = int(end.code or 0)
        told = capfd.readouterr()
        assert code == expected, (words, told)
        assert told.err.count("\n") == (1 if expected else 0), (words, told)
        assert all(legible(line) == line for line in (told.out + told.err).splitlines())
        if "--json" in words:
            json.loads(told.out)
    for file in here.glob("*.html"):
        html = file.read_text(encoding="utf-8")
        assert "\x1b" not in html
        assert "\N{RIGHT-TO-LEFT OVERRIDE}" not in html
    assert SHOWN in next(here.glob("* log.html")).read_text(encoding="utf-8")


def test_a_record_is_found_by_a_name_that_is_no_text_and_by_no_other(here: Path) -> None:
    other = Path(f"{legible(NAME)}.yaml")
    other.write_bytes(Path(WARP).read_bytes())
    with Path("typed").open() as sys.stdin:
        assert cli.main(["thread", WARP, *ALONE]) == 0
    sys.stdin = sys.__stdin__
    with Journal(default_path()) as journal:
        assert [record.file for record in journal.records(Path(WARP))] == [str(here / WARP)]
        assert journal.records(other) == []
        assert journal.records()[0].file == str(here / WARP)


def test_a_command_that_is_offered_can_be_typed(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert typed("warp.yaml") == "warp.yaml"
    assert typed("my warp.yaml; echo") == "'my warp.yaml; echo'"
    assert typed(NAME) == r"$'caf\351\033[31m\342\200\256\012'"
    assert cli.main(["next", WARP]) == 0
    assert f"heddlecall thread {typed(WARP)}\n" in capsys.readouterr().out


def test_the_page_is_told_nothing_illegible() -> None:
    told = page.worded_json({"title": NAME, "groups": [{"name": NAME, "ends": 3}], "on": True})
    assert json.loads(told) == {"title": SHOWN, "groups": [{"name": SHOWN, "ends": 3}], "on": True}
    told.encode()
