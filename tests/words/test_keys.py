"""Every key of the language files is one that the code asks for: none is left behind by what is gone."""

import ast
import re
from functools import cache
from pathlib import Path
from typing import get_args

import pytest

import assistant
from assistant.cli.families import commands
from assistant.cli.settings import known
from assistant.warp.model import Edge, Side, Unit, Warping
from assistant.warp.passes import PASSES
from assistant.words.language import load

ENGLISH = load("en")
PACKAGE = Path(assistant.__file__).parent
ASKING = {  # each section, and what asks for its keys: folders and files, and those with names that are joined to a key
    "phrases": (".",),
    "jobs": ("warp/passes", "session", "readback/reading.py", "words/wording.py"),
    "labels": ("session/events.py", "session/hints.py"),
    "states": ("session/view.py",),
    "screen": ("senses/screen", "senses/page", "session/modes.py", "warp/passes/pace.py"),
    "printed": (".",),
    "front": ("front",),
    "plan": ("warp", "paper", "words/printed.py", "cli"),
    "lesson": (
        "senses/lesson",
        "senses/ear/judging.py",
        "session/events.py",
        "writing/moves.py",
        "senses/ear/engine.py",
        "cli/ears.py",
    ),
    "hearing": ("senses/ear/glance.py", "senses/ear/hear.py", "senses/ear/room.py"),
    "pedal": ("senses/pedal",),
    "paper": ("paper", "warp", "session/events.py"),
    "writing": ("writing", "sitting/writing.py"),
}
WORDS = (word for kind in (Edge, Side, Unit, Warping) for word in get_args(kind))
NAMES = {*WORDS, *PASSES, *known(commands()), *(job.unit for job in PASSES.values())}


def said(file: Path) -> set[str]:
    """The texts that stand in a file of code or in a layout, docstrings apart."""
    text = file.read_text(encoding="utf-8")
    if file.suffix != ".py":
        return {*re.findall(r"{{([^}]+?)}}", text), *re.findall(r'"([^"\n]*)"', text)}
    tree = ast.parse(text)
    told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    constants = (node for node in ast.walk(tree) if isinstance(node, ast.Constant) and id(node) not in told)
    return {node.value for node in constants if isinstance(node.value, str)}


@cache
def pieces(asking: tuple[str, ...]) -> frozenset[str]:
    """What keys may be made of by this code."""
    files = (file for part in asking for file in (PACKAGE, *PACKAGE.rglob("*")) if file.is_relative_to(PACKAGE / part))
    texts = set[str]().union(*(said(file) for file in files if file.suffix in (".py", ".html", ".js")))
    return frozenset(text for text in texts | NAMES if len(text) > 1 or text == " ")


def joined(key: str, pieces: frozenset[str]) -> bool:
    """The key is one of the pieces, or some of them one after the other."""
    reached = {0}
    for start in range(len(key)):
        if start in reached:
            reached |= {start + len(piece) for piece in pieces if key.startswith(piece, start)}
    return len(key) in reached


@pytest.mark.parametrize("section", ASKING)
def test_every_key_is_asked_for(section: str) -> None:
    entries = getattr(ENGLISH, section)
    keys = {key for job in entries.values() for key in job} if section == "jobs" else set(entries)
    assert sorted(key for key in keys if not joined(key, pieces(ASKING[section]))) == []


def test_every_section_is_looked_at() -> None:
    """But the commands, held to what they do, and `errors`, held to the sentences, by tests of their own."""
    sections = {name for name in ENGLISH.__slots__ if isinstance(getattr(ENGLISH, name), dict)}
    assert sections == {*ASKING, "commands", "writing_commands", "errors"}


def test_a_key_that_nothing_asks_for_is_found() -> None:
    asked = frozenset({"shaft from ", "first", "not found"})
    assert [joined(key, asked) for key in ("not found", "shaft from first", "shaft from", "found", "first one")] == [
        *(True, True, False, False, False),
    ]
