"""A file that a weaver names to be written: every command that writes one keeps to one rule."""

import ast
import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from refusal import refused

import assistant
from assistant import cli
from assistant.cli import families
from assistant.cli.arguments import WithReplace, file_to_write
from assistant.cli.command import Command
from assistant.drafting import SEQUENCE, WIF
from assistant.errors import OutfileError
from assistant.outfile import FileKind, Outfile
from assistant.paper.table import TABLE
from assistant.paper.writing import HTML, PDF
from assistant.rehearsal import demo
from assistant.rehearsal.run import RehearsalWish
from assistant.senses.sound import WAV
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal, default_path
from assistant.warp import sequence
from assistant.warp.examples import examples

READ = {  # what is given as a path and only read
    ("import", "draft"),
    ("hear", "files"),
    ("teach", "folder"),
    ("models add", "file"),
    *(("unpack", field) for field in ("packed", "folder")),
    *((command, "model") for command in ("demo", "rehearse", "hear", "write")),
    *((job, "model") for job in ("wind", "heddles", "thread", "check", "sley", "tie")),
}
POSIX = pytest.mark.skipif(sys.platform == "win32", reason="devices, pipes and links are other there")


@dataclass(frozen=True)
class Writer:
    """A command that writes, but for the name of the file; and whether it takes long."""

    words: tuple[str, ...]
    ending: str
    quick: bool = True
    behind: tuple[str, ...] = ()  # that name

    def line(self, file: object) -> tuple[str, ...]:
        return (*self.words, str(file), *self.behind)


WRITERS = {
    ("import", "out"): [Writer(("import", "draft.wif", "--start", "left", "--out"), ".yaml")],
    ("export", "out"): [Writer(("export", "first-evening", "--out"), ".wif")],
    ("plan", "card"): [
        Writer(("plan", "first-evening", "--card"), ".html"),
        Writer(("plan", "first-evening", "--card"), ".pdf", quick=False),
    ],
    ("log", "report"): [Writer(("log", "--report"), ".html")],
    ("log", "csv"): [Writer(("log", "--csv"), ".csv")],
    ("pack", "out"): [Writer(("pack", "first-evening", "--out"), ".zip")],
    ("write", "out"): [Writer(("write", "--start", "left"), ".yaml", behind=("1 2 3 4",))],
    ("pedal", "card"): [
        Writer(("pedal", "--card"), ".html"),
        Writer(("pedal", "--card"), ".pdf", quick=False),
    ],
    ("doctor", "report"): [Writer(("doctor", "--report"), ".txt")],
    ("speak", "out"): [Writer(("speak", "one", "--out"), ".wav")],
    ("rehearse", "sound"): [Writer(("rehearse", "first-evening", "--sound"), ".wav", quick=False)],
}
ALL = [writer for writers in WRITERS.values() for writer in writers]
QUICK = [writer for writer in ALL if writer.quick]


def name(writer: Writer) -> str:
    return f"{writer.words[0]} {writer.words[-1]} {writer.ending}"


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    example = examples()["first-evening"]
    with Journal(default_path()) as journal:
        keep = journal.keep(journal.begin(example, "thread", sequence.load(example), 1000.0))
        keep(Event(Kind.SIT_DOWN, 1000.0))
    assert cli.main(["export", "first-evening", "--out", "draft.wif"]) == 0


def commands(among: list[Command[Any]], before: str = "") -> Iterator[tuple[str, Command[Any]]]:
    for command in among:
        yield before + command.name, command
        yield from commands(list(command.under), f"{before}{command.name} ")


def test_every_path_of_every_command_is_read_or_written_by_the_rule() -> None:
    paths = {
        (command, field): argument.settings.get("type")
        for command, declared in commands(families.commands())
        for field, argument in declared.arguments().items()
        if argument.settings.get("type") in (Path, file_to_write)
    }
    assert {place for place, reader in paths.items() if reader is file_to_write} == set(WRITERS)
    assert {place for place, reader in paths.items() if reader is Path} == READ
    for command, declared in commands(families.commands()):
        assert issubclass(declared.options, WithReplace) == any(command == writing for writing, _ in WRITERS)


def test_nothing_else_writes_what_a_weaver_named() -> None:
    """Those here keep what is ours, in folders of ours."""
    package = Path(assistant.__file__).parent
    writing = {
        str(file.relative_to(package))
        for file in package.rglob("*.py")
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "write_whole"
    }
    ours = {
        "alone.py",
        "senses/mouth/clips.py",
        "senses/pedal/settings.py",
        "settings.py",
        "senses/page/authority.py",
        "senses/page/kept.py",
        "senses/ear/taught.py",
        "session/database.py",
    }
    assert writing - ours == {"outfile.py"}


def of_another_kind(writer: Writer) -> bytes:
    return b"%PDF-1.7" if writer.ending != ".pdf" else b"<!doctype html>"


@pytest.mark.parametrize("writer", ALL, ids=name)
def test_what_is_there_is_written_over_only_where_it_is_asked_for_and_of_the_kind(
    writer: Writer, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    for content in (b"mine", of_another_kind(writer), b"title: mine\n"):
        out = Path(f"out{writer.ending}")
        out.write_bytes(content)
        assert "is there already; choose another name, or write over it with --replace" in refused(
            capsys, *writer.line(out)
        )
        told = refused(capsys, *writer.line(out), "--replace")
        assert "is there already and is not a" in told
        assert out.read_bytes() == content


@pytest.mark.parametrize("writer", QUICK, ids=name)
def test_what_was_written_is_written_over_where_it_is_asked_for(
    writer: Writer, capsys: pytest.CaptureFixture[str]
) -> None:
    out = Path(f"out{writer.ending}")
    out.write_bytes(b"")
    for _ in range(2):
        assert cli.main([*writer.line(out), "--replace"]) == 0
        assert len(out.read_bytes()) > 40
    capsys.readouterr()
    refused(capsys, *writer.line(out))


@POSIX
@pytest.mark.parametrize("writer", ALL, ids=name)
def test_what_is_no_place_for_a_file_is_one_line(writer: Writer, capsys: pytest.CaptureFixture[str]) -> None:
    end = writer.ending
    os.mkfifo(f"pipe{end}")
    Path(f"folder{end}").mkdir()
    Path(f"dangling{end}").symlink_to(f"elsewhere{end}")
    Path(f"device{end}").symlink_to("/dev/full")
    Path(f"round{end}").symlink_to(f"round{end}")
    capsys.readouterr()
    before = sorted(os.listdir())
    bad = ["", ".", "..", "/", "folder/", "/dev/null"]
    bad += [f"{place}{end}" for place in ("folder", "pipe", "dangling", "device", "round", "x" * 300)]
    bad += [f"{place}/x{end}" for place in ("missing/folder", "draft.wif", "y/" * 3000, "/dev/full")]
    bad += [f"/proc/x{end}"] if writer is ALL[1] else []
    for place in bad:
        for more in ([], ["--replace"]):
            told = refused(capsys, *writer.line(place), *more)
            assert "this is no plain file" in told or place not in (f"pipe{end}", f"device{end}"), place
    assert sorted(os.listdir()) == before


@pytest.mark.parametrize("words", [("export", "warp.yaml"), ("rehearse", "warp.yaml"), ("import", "draft.wif")])
def test_what_is_read_is_not_written_over(words: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    Path("warp.yaml").write_text("{shafts: 2, groups: [{thread: 1 2}]}")
    before = Path(words[1]).read_bytes()
    option = {"export": "--out", "rehearse": "--sound", "import": "--out"}[words[0]]
    start = ["--start", "left"] if words[0] == "import" else []
    capsys.readouterr()
    refused(capsys, *words, option, words[1], "--replace", *start)
    assert Path(words[1]).read_bytes() == before


def test_a_table_in_any_language_is_one_of_ours() -> None:
    for code in ("de", "ko"):
        assert cli.main(["log", "--csv", "out.csv", "--language", code, "--replace"]) == 0


@pytest.mark.parametrize(
    ("kind", "content"),
    [
        (SEQUENCE, b"services:\n  web: {image: x}\n"),
        (WIF, b"[Desktop Entry]\nName=x\n"),
        (WAV, b"RIFF\0\0\0\0AVI LIST"),
        (HTML, b"<!doctype html><title>mine</title>"),
        (PDF, b"%!PS-Adobe"),
        (TABLE, b"title,job\n"),
    ],
)
def test_what_only_looks_alike_is_of_another_kind(kind: FileKind, content: bytes) -> None:
    Path("there").write_bytes(content)
    with pytest.raises(OutfileError, match="is there already and is not a"):
        Outfile(Path("there"), kind, replace=True)


def test_a_name_that_is_taken_meanwhile_is_left() -> None:
    out = Outfile(Path("said.wav"), WAV)
    Path("said.wav").write_bytes(b"mine")
    with pytest.raises(OutfileError, match="is there already"):
        out.write(b"RIFF")
    assert Path("said.wav").read_bytes() == b"mine"


@pytest.mark.parametrize("links", [True, False])
def test_a_name_taken_in_the_last_moment_is_left(links: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Between the last look and the writing; also where the file system knows no links."""
    monkeypatch.setattr(Outfile, "_check", lambda _: None)
    if not links:
        monkeypatch.delattr(os, "link")
    Path("said.wav").write_bytes(b"mine")
    with pytest.raises(OutfileError, match="is there already"):
        Outfile(Path("said.wav"), WAV).write(b"RIFF")
    Outfile(Path("free.wav"), WAV).write(b"RIFF")
    assert (Path("said.wav").read_bytes(), Path("free.wav").read_bytes()) == (b"mine", b"RIFF")
    assert sorted(os.listdir()) == ["data", "draft.wif", "free.wav", "said.wav"]


def test_the_demonstration_takes_the_next_name_that_is_free(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    class Nothing:
        transcript = ()

        def lines(self, _: object) -> tuple[str, ...]:
            return ()

    def run(_warp: object, _language: object, wish: RehearsalWish) -> Nothing:
        assert wish.sound
        wish.sound.write(b"RIFF")
        return Nothing()

    monkeypatch.setattr(demo, "run", run)
    Path("demo.wav").write_bytes(b"mine")
    Path("demo-2.wav").symlink_to("nowhere")
    assert cli.main(["demo"]) == 0
    assert "demo-3.wav" in capsys.readouterr().out
    assert (Path("demo.wav").read_bytes(), Path("demo-3.wav").read_bytes()) == (b"mine", b"RIFF")
