"""Names and text files as Windows has them: its devices, its quotes, its line ends.

What is said of Windows comes from the standard library's own ntpath and subprocess, which follow Microsoft's rules.
"""

import ast
import ntpath
import re
import subprocess
import sys
from pathlib import Path, PureWindowsPath

import pytest

import assistant
from assistant import cli
from assistant.errors import TaughtError
from assistant.senses.ear.taught import kept_in
from assistant.senses.pedal import PedalSource
from assistant.senses.pedal.gestures import Role
from assistant.senses.pedal.settings import Pedal, load_pedal, save_pedal
from assistant.senses.screen.typed import typed_lines
from assistant.warp.draft.numbers import read_list
from assistant.warp.spelling import typed_in_windows

PACKAGE = Path(assistant.__file__).parent
KEEPS = getattr(ntpath, "isreserved", lambda name: PureWindowsPath(name).is_reserved())
NUMBERED = [f"{kind}{port}" for kind in ("com", "Lpt") for port in (*"0123456789", "10", "²")]


@pytest.mark.parametrize("name", ["con", "Prn", "AUX", "nul", "console", "nula", "aux pairs", "Aino", *NUMBERED])
def test_a_weaver_is_not_called_what_windows_calls_a_device(name: str) -> None:
    if KEEPS(f"{name}.npz"):
        with pytest.raises(TaughtError, match="the name of a device in Windows; choose another name"):
            kept_in(name)
    else:
        assert kept_in(name).name == f"{name}.npz"


@pytest.mark.parametrize("name", ["Aino.", "Aino ", "C:Aino", r"..\Aino", r"C:\Aino", r"\\loom\A", "Aino:1", "Ai*no"])
def test_no_name_of_a_weaver_leads_out_of_her_folder_or_is_another_in_windows(name: str) -> None:
    with pytest.raises(TaughtError, match="cannot be a weaver's name here"):
        kept_in(name)


@pytest.mark.parametrize("word", ["scarf.yaml", r"C:\warps\scarf.yaml", "../scarf.yaml", "läufer_2-a.yaml"])
def test_what_needs_no_quotes_in_windows_has_none(word: str) -> None:
    assert typed_in_windows(word) == subprocess.list2cmdline([word]) == word


@pytest.mark.parametrize("word", ["my scarf.yaml", "C:\\my warps\\", 'the "red" one', r'\\ \" \\"', "", "a b & c ^ d"])
def test_quotes_are_those_of_programs_in_windows(word: str) -> None:
    assert typed_in_windows(word) == subprocess.list2cmdline([word])


@pytest.mark.parametrize("word", ["a&b", "50%", "a^b", "a;b", "a,b", "@a", "$a", "(a)", "a'b", "~", "a|b", "<a>", "`a"])
def test_what_a_shell_of_windows_would_take_for_its_own_is_in_quotes(word: str) -> None:
    assert typed_in_windows(word) == f'"{word}"'


@pytest.mark.skipif(sys.platform != "win32", reason="only Windows takes a line apart so")
@pytest.mark.parametrize("word", ["C:\\my warps\\", r'\\ \" \\"', "", "a&b", "läufer"])
def test_windows_takes_it_for_the_word(word: str) -> None:
    line = f'"{sys.executable}" -c "import sys; print(ascii(sys.argv[1:]))" {typed_in_windows(word)}'
    assert ast.literal_eval(subprocess.check_output(line, text=True)) == [word]


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["no mark", "marked"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n"], ids=["LF", "CRLF"])
def test_a_list_and_the_pedal_are_read_as_an_editor_of_windows_saves(tmp_path: Path, mark: bytes, end: bytes) -> None:
    (tmp_path / "draft.txt").write_bytes(mark + b"1 2" + end + b"3/7 4" + end)
    listed = read_list((tmp_path / "draft.txt").read_bytes(), "draft.txt")
    assert [end.shafts for end in listed.ends] == [(1,), (2,), (3, 7), (4,)]
    taught = Pedal(PedalSource.TERMINAL, "", {"pageup": Role.ONE, "f5": Role.BACK})
    file = save_pedal(taught, tmp_path / "pedal.yaml")
    file.write_bytes(mark + file.read_bytes().replace(b"\n", end))
    assert load_pedal(file) == taught


@pytest.mark.parametrize("typed", [b"\xef\xbb\xbfnext\r\nq\r\n", b"next\nq\n"], ids=["as PowerShell pipes", "plainly"])
def test_a_mark_before_the_first_line_typed_is_none_of_it(
    tmp_path: Path, typed: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "typed").write_bytes(typed)
    with (tmp_path / "typed").open() as lines:
        monkeypatch.setattr(sys, "stdin", lines)
        assert [line.strip() for line in typed_lines()] == ["next", "q"]


WRITTEN = (  # each file is asked for by a command, with one kind of line ends
    ("import draft.txt -o warp.yaml --start left", "warp.yaml", b"\n"),
    ("export warp.yaml -o warp.wif", "warp.wif", b"\n"),
    ("plan warp.yaml --card card.html", "card.html", b"\n"),
    ("log --report record.html", "record.html", b"\n"),
    ("log --csv record.csv", "record.csv", b"\r\n"),  # RFC 4180
)


def test_what_is_written_has_line_ends_of_one_kind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    Path("draft.txt").write_bytes(b"\xef\xbb\xbf1 2 3 4\r\n1 2 3 4\r\n")
    for words, name, end in WRITTEN:
        if name.startswith("record") and not Path("data").exists():
            Path("typed").write_bytes(b"next\r\nq\r\n")
            with open("typed") as lines, monkeypatch.context() as at_the_keys:
                at_the_keys.setattr(sys, "stdin", lines)
                assert cli.main(["thread", "warp.yaml", "--plain", "--mute", "--deaf"]) == 0
        assert cli.main(words.split()) == 0
        content = Path(name).read_bytes()
        assert content.count(end) > 1
        assert b"\r" not in content.replace(end, b"")
        assert end == b"\n" or b"\n" not in content.replace(end, b"")


def test_no_file_is_written_as_text_whose_line_ends_would_be_the_machine_s() -> None:
    """But for streams that are open already, and what is thrown away."""
    for file in sorted(PACKAGE.rglob("*.py")):
        for call in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(call, ast.Call) and "devnull" not in ast.unparse(call):
                name = getattr(call.func, "attr", getattr(call.func, "id", ""))
                given = [
                    each.value
                    for argument in call.args
                    for each in ast.walk(argument)
                    if isinstance(each, ast.Constant)
                ]
                given += [each.value.value for each in call.keywords if isinstance(each.value, ast.Constant)]
                asked = {"w"} if name == "write_text" else given if name == "open" else ()
                assert not [mode for mode in asked if re.fullmatch(r"[wax]\+?t?", str(mode))], (file, call.lineno)
