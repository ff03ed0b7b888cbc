"""Dependencies point one way."""

import ast
from pathlib import Path

import pytest

import assistant

PACKAGE = Path(assistant.__file__).parent
FILES = sorted(PACKAGE.rglob("*.py"))

MAY_IMPORT = {
    "ending": set(),
    "errors": {"meaning"},
    "folders": set(),
    "files": set(),
    "meaning": set(),
    "words": {"errors", "meaning"},
    "layouts": set(),
    "warp": {"errors", "meaning"},
    "finder": {"errors", "meaning", "warp"},
    "readback": {"errors", "meaning", "warp", "finder"},
    "session": {"errors", "folders", "meaning", "words", "warp", "finder", "readback"},
    "senses": {"ending", "errors", "meaning", "folders", "words", "session"},
    "models": {"errors", "senses"},
    "rehearsal": {"errors", "words", "warp", "finder", "readback", "session", "senses"},
    "cards": {"errors", "layouts", "warp"},
    "record": {"errors", "words", "layouts", "session", "warp"},
    "noting": {"errors", "words", "session"},
    "drafting": {"errors", "warp"},
    "finding": {"errors", "words", "finder", "session", "warp"},
    "sitting": {"errors", "meaning", "words", "warp", "session", "senses"},
    "commands": {
        "errors",
        "words",
        "warp",
        "session",
        "senses",
        "models",
        "rehearsal",
        "sitting",
        "cards",
        "record",
        "noting",
        "drafting",
        "finding",
    },
    "cli": {"ending", "errors", "words", "warp", "senses", "cards", "commands"},
}
OF_SESSION = {"events", "view"}  # what the senses may know of the session
JOURNAL = {"sqlite3", "filelock", "platformdirs", "os"}


def part(file: Path) -> str:
    return file.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imports(file: Path) -> set[str]:
    """The modules a file imports, dotted."""
    found = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file}: relative import"
            module = node.module or ""
            found |= {f"{module}.{name.name}" for name in node.names} if module == "assistant" else {module}
    return found


def ours(file: Path) -> set[tuple[str, ...]]:
    return {tuple(name.split(".")[1:]) for name in imports(file) if name.startswith("assistant.")}


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(PACKAGE)))
def test_a_part_imports_only_what_lies_below_it(file: Path) -> None:
    here = part(file)
    if here in ("__init__", "__main__"):
        return
    for names in ours(file):
        assert names[0] == here or names[0] in MAY_IMPORT[here], f"{here} imports {'.'.join(names)}"
        if here == "senses" and names[0] == "session":
            assert names[1] in OF_SESSION, f"a sense knows the session by its events only, not by {names[1]}"


def test_the_middle_opens_nothing() -> None:
    for file in FILES:
        if part(file) not in ("finder", "readback", "session", "warp") or file.name in ("journal.py", "examples.py"):
            continue
        opening = {name.split(".")[0] for name in imports(file)} & {*JOURNAL, "time", "threading", "subprocess"}
        assert not opening - ({"os"} if part(file) == "warp" else set()), f"{file.name} imports {opening}"


def test_nothing_catches_everything_but_the_loop() -> None:
    """And the place where vosk opens a model, which raises a bare Exception for one it cannot read."""
    catching = [file.name for file in FILES if "except Exception" in file.read_text(encoding="utf-8")]
    assert sorted(catching) == ["loop.py", "vosk_engine.py"]
