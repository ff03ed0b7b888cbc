"""A whole file is there as it should be, or as it was."""

import ast
import os
import stat
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import assistant
from assistant.files import write_whole

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="rights and links are other there")
WRITERS = {"write_bytes", "write_text", "replace", "rename", "fsync", "mkstemp"}
STREAMED = {  # too large to hold, unpacked into a folder, or added to line by line
    *("models/fetch.py", "models/add.py", "models/unpack.py"),
    "writing/kept.py",
}


def failing(*_: object, **__: object) -> None:
    raise OSError(28, "No space left on device")


def interrupted(*_: object, **__: object) -> None:
    raise KeyboardInterrupt


@pytest.mark.parametrize("step", ["fsync", "replace"])
@pytest.mark.parametrize("failure", [failing, interrupted])
def test_what_was_there_stays_where_it_cannot_be_written(
    step: str, failure: Callable[..., None], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "card.html"
    file.write_bytes(b"old")
    monkeypatch.setattr(os, step, failure)
    with pytest.raises((OSError, KeyboardInterrupt)):
        write_whole(file, b"new")
    assert file.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [file]


def test_it_is_synced_before_it_takes_its_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    steps: list[str] = []

    def noted(step: str, done: Callable[..., object]) -> Callable[..., object]:
        def do(*given: object) -> object:
            steps.append(step)
            return done(*given)

        return do

    for step in ("fsync", "replace"):
        monkeypatch.setattr(os, step, noted(step, getattr(os, step)))
    write_whole(tmp_path / "card.html", b"new")
    assert steps == ["fsync", "replace"]
    assert (tmp_path / "card.html").read_bytes() == b"new"


def test_what_a_killed_writer_left_is_cleared_away_by_the_next(tmp_path: Path) -> None:
    names = (".0123456789abcdef.new", ".fedcba9876543210.new", "0123456789abcdef.new", ".weft.new", "card.html")
    for name in names:
        (tmp_path / name).write_bytes(b"")
        os.utime(tmp_path / name, (0, 0))
    at_work = tmp_path / names[1]
    os.utime(at_work)
    write_whole(tmp_path / "card.html", b"new")
    assert sorted(file.name for file in tmp_path.iterdir()) == sorted(names[1:])


@POSIX
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "kept").mkdir()
    file, link = tmp_path / "kept" / "card.html", tmp_path / "card.html"
    file.write_bytes(b"old")
    link.symlink_to(file)
    write_whole(link, b"new")
    assert link.is_symlink()
    assert file.read_bytes() == b"new"


@POSIX
@pytest.mark.parametrize("rights", [0o600, 0o640, 0o664])
def test_the_rights_stay(rights: int, tmp_path: Path) -> None:
    file = tmp_path / "card.html"
    file.write_bytes(b"old")
    file.chmod(rights)
    write_whole(file, b"new")
    assert stat.S_IMODE(file.stat().st_mode) == rights


@POSIX
def test_a_private_file_is_for_its_user_alone(tmp_path: Path) -> None:
    file = tmp_path / "page.json"
    for was in (None, 0o644):
        if was:
            file.chmod(was)
        write_whole(file, b"secret", private=True)
        assert stat.S_IMODE(file.stat().st_mode) == 0o600


def writes(tree: ast.Module) -> Iterator[str]:
    """What writes or moves a file in a module, by its name."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in WRITERS:
            of_os = isinstance(node.func.value, ast.Name) and node.func.value.id == "os"
            if node.func.attr.startswith("write") or of_os or node.func.attr == "mkstemp":
                yield node.func.attr


def test_there_is_no_other_writer() -> None:
    package = Path(assistant.__file__).parent
    others = {
        str(file.relative_to(package))
        for file in package.rglob("*.py")
        if list(writes(ast.parse(file.read_text(encoding="utf-8"))))
    }
    assert others - STREAMED == {"files.py"}
