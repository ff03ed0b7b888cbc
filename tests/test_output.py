"""What is printed: legible whatever it holds, in whatever encoding; and what becomes of it where there is no place."""

import ast
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from terminals import in_terminal

import assistant
from assistant import cli
from assistant.output import ALIGNED, LEGIBLE, legible
from assistant.words.columns import columns
from assistant.words.language import codes

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="descriptors, devices and names are other there")
ENCODINGS = ("ascii", "cp1252", "cp437", "latin-1", "koi8-r", "utf-8")
HOSTILE = "a\x1b[2J\x9b1m\x7f\r\n\t\u202eb\u2066c\u2028"
SEEN = r"a\x1b[2J\x9b1m\x7f\r\n\t\u202eb\u2066c\u2028"
WARP = """
{title: "Läufer × ½ – 가장자리 \N{RIGHT-TO-LEFT OVERRIDE}", shafts: 4, sett: 15, reed: 10, groups: [
  {name: "[bold]Rand[/]", thread: 8(1 2)}, {name: "=cmd|x", thread: 3(1..4), times: 2}]}
"""
PRINTING = (
    ["calls", "läufer.yaml"],
    ["calls", "läufer.yaml", "--json"],
    ["plan", "läufer.yaml", "--reeds", "8,10"],
    ["end", "läufer.yaml", "--end", "3"],
    ["next", "läufer.yaml"],
    ["models"],
    ["rehearse", "läufer.yaml"],
)


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    Path("läufer.yaml").write_text(WARP, encoding="utf-8")


@pytest.mark.parametrize(
    ("text", "seen"),
    [
        (HOSTILE, SEEN),
        ("caf\udce9.yaml", r"caf\xe9.yaml"),
        ("\ud800", r"\ud800"),
        ("Läufer “3/7” 가장자리 \u200d\u200c נול", "Läufer “3/7” 가장자리 \u200d\u200c נול"),
    ],
)
def test_what_moves_the_cursor_or_turns_text_about_is_seen_as_an_escape(text: str, seen: str) -> None:
    assert legible(text) == seen
    assert legible(seen) == seen


def test_what_an_encoding_lacks_is_written_as_near_as_can_be() -> None:
    assert "Läufer – 2 × 3…".encode("ascii", LEGIBLE) == b"Laufer - 2 x 3..."
    assert "가장자리".encode("latin-1", LEGIBLE) == b"gajangjari"
    assert "Ж\udce9 中".encode("cp1252", LEGIBLE) == rb"?\xe9 ??"


@pytest.mark.parametrize("text", ["█▓▄▞░×▲─● 가장자리 Größe … 中Ж", "e\u0301"])
def test_on_the_board_each_sign_keeps_its_columns(text: str) -> None:
    assert columns(text.encode("ascii", ALIGNED).decode("ascii")) == columns(text)


class Printed(io.BytesIO):
    """Outlives what writes into it."""

    def close(self) -> None:
        pass


def printed(monkeypatch: pytest.MonkeyPatch, encoding: str, *words: str) -> str:
    out, err = Printed(), Printed()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(out, encoding))
    monkeypatch.setattr(sys, "stderr", io.TextIOWrapper(err, encoding))
    code = cli.main(words)
    monkeypatch.undo()
    assert (code, err.getvalue()) == (0, b"")
    return out.getvalue().decode(encoding)


@pytest.mark.parametrize("encoding", ENCODINGS)
@pytest.mark.parametrize("code", codes())
def test_every_language_is_printed_in_every_encoding(
    encoding: str, code: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for words in PRINTING:
        with pytest.MonkeyPatch.context() as patch:
            told = printed(patch, encoding, *words, "--language", code)
        lines = told.splitlines()
        assert lines
        assert all(legible(line) == line for line in lines)
        if "--json" in words:
            title = json.loads(told)["title"]
            assert title == "Läufer × ½ – 가장자리 \N{RIGHT-TO-LEFT OVERRIDE}", "escaped, and so without any loss"


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_help_and_complaints_are_printed_in_every_encoding(encoding: str, monkeypatch: pytest.MonkeyPatch) -> None:
    for words, number in ((["teach", "--help"], 0), (["calls", HOSTILE + "가"], 2), (["calls", "x", HOSTILE], 2)):
        out, err = Printed(), Printed()
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(sys, "stdout", io.TextIOWrapper(out, encoding))
            patch.setattr(sys, "stderr", io.TextIOWrapper(err, encoding))
            try:
                code = cli.main(words)
            except SystemExit as end:
                code = int(end.code or 0)
            sys.stdout.flush()
        assert code == number
        assert bool(out.getvalue()) == (number == 0)
        assert err.getvalue().decode(encoding).count("\n") == (number == 2)
        assert b"\x1b" not in out.getvalue() + err.getvalue()


def run(command: str) -> "subprocess.CompletedProcess[str]":
    heddlecall = f"{sys.executable} -m assistant"
    return subprocess.run(
        ["sh", "-c", command.replace("heddlecall", heddlecall)],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


@pytest.mark.parametrize(
    ("encoding", "env"),
    [
        ("cp1252", {"PYTHONIOENCODING": "cp1252", "PYTHONUTF8": "0"}),  # Windows, into a file
        ("cp437", {"PYTHONIOENCODING": "cp437", "PYTHONUTF8": "0"}),  # and its older consoles
        ("ascii", {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}),
    ],
)
def test_an_evening_goes_its_way_where_the_system_has_few_letters(encoding: str, env: dict[str, str]) -> None:
    evening = (
        ("thread läufer.yaml --plain --mute --deaf --language ko", "next\nwhere\np\ng\nq\n"),
        ("find läufer.yaml --group [bold]Rand[/] --over 1 --language ko", "1\n"),
        ("log läufer.yaml --language ko", ""),
        ("log läufer.yaml --json --language ko", ""),
        ("next läufer.yaml --language ko", ""),
        ("plan läufer.yaml --language ko", ""),
        ("voices", ""),
    )
    for words, typed in evening:
        done = subprocess.run(
            [sys.executable, "-m", "assistant", *words.split()],
            input=typed.encode(),
            env=os.environ | env,
            capture_output=True,
            check=False,
            timeout=60,
        )
        told = done.stdout.decode(encoding)
        assert (done.returncode, done.stderr) == (0, b"")
        assert told
        assert all(legible(line) == line for line in told.splitlines())


@POSIX
@pytest.mark.parametrize(
    "command",
    [
        "heddlecall calls first-evening >/dev/full",
        "heddlecall calls first-evening >&-",
        "heddlecall --help >/dev/full",
        "heddlecall plan first-evening --json >/dev/full",
        "heddlecall thread first-evening --plain --mute --deaf >/dev/full </dev/null",
    ],
)
def test_what_cannot_be_printed_is_one_line_and_no_verdict(command: str) -> None:
    if "/dev/full" in command and not os.path.exists("/dev/full"):
        pytest.skip("no /dev/full here")
    done = run(command)
    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
    assert done.stderr.startswith("heddlecall: what was to be printed cannot be written: ")


@POSIX
@pytest.mark.parametrize("stderr", ["2>/dev/full", "2>&-"])
@pytest.mark.parametrize("words", ["calls nothing.yaml", "calls"])
def test_a_complaint_that_nobody_reads_is_still_exit_code_2(stderr: str, words: str) -> None:
    done = run(f"heddlecall {words} {stderr}")
    assert (done.returncode, done.stdout, done.stderr) == (2, "", "")


@POSIX
def test_nothing_that_is_opened_takes_the_place_of_a_closed_stream() -> None:
    """Else what a library prints would land in the journal."""
    code = (
        "import os; from assistant.output import open_streams; open_streams(); "
        "os.write(9, str(os.open('läufer.yaml', os.O_RDONLY)).encode())"
    )
    done = run(f'{sys.executable} -c "{code}" 9>opened <&- >&- 2>&-')
    assert done.returncode == 0
    assert int(Path("opened").read_text()) > 2


def prints(tree: ast.Module) -> bool:
    """Whether a module prints, by a function or on a stream of its own choice."""
    calls = (node.func for node in ast.walk(tree) if isinstance(node, ast.Call))
    return any(
        (isinstance(call, ast.Name) and call.id in ("print", "input"))
        or (isinstance(call, ast.Attribute) and ast.unparse(call) in ("sys.stdout.write", "sys.stderr.write"))
        for call in calls
    )


def test_there_is_no_other_way_to_print() -> None:
    package = Path(assistant.__file__).parent
    others = {
        str(file.relative_to(package))
        for file in package.rglob("*.py")
        if prints(ast.parse(file.read_text(encoding="utf-8")))
    }
    assert others == {
        "__main__.py",  # which tells that what prints is not installed
        "senses/mouth/render.py",  # which answers another process, in JSON
        "senses/mouth/render_natural.py",
    }


@POSIX
@pytest.mark.parametrize("encoding", ["ascii", "cp437", "utf-8"])
def test_the_board_is_drawn_in_every_encoding_and_no_name_gets_through_to_the_terminal(encoding: str) -> None:
    command = [sys.executable, "-m", "assistant", "thread", "läufer.yaml", "--mute", "--deaf", "--language", "ko"]
    env = os.environ | {"PYTHONIOENCODING": encoding, "TERM": "xterm", "COLUMNS": "100", "LINES": "30"}
    process, end = in_terminal(command, env)
    with process:
        seen, typed = b"", False
        try:
            while chunk := os.read(end, 65536):
                seen += chunk
                if not typed and b"[bold]Rand[/]" in seen:
                    typed = bool(os.write(end, b"q"))
        except OSError:  # it has ended
            pass
    os.close(end)
    assert (typed, process.returncode) == (True, 0)
    drawn = seen.decode(encoding)
    assert ("██" if encoding != "ascii" else "##") in drawn
    assert "\N{RIGHT-TO-LEFT OVERRIDE}" not in drawn
