"""The settings that stay from evening to evening: one YAML file, read and changed without touching what else is in it.

    language: de
    volume: -12
    weavers:
      anna:
        speed: 190

What stands under a weaver's name holds for her, and before what stands above. Values are texts here, as they would be
typed after the option of the same name; whoever knows the options reads them.
"""

from codecs import BOM_UTF8
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import yaml

from assistant import folders
from assistant.errors import SequenceError, SettingsError, refusal
from assistant.files import read_whole, write_whole
from assistant.meaning import Tell
from assistant.warp.source import MOST_BYTES, Field, Source, read

WEAVERS = "weavers"
WEAVER = "weaver"
INDENT = 2


@dataclass(frozen=True, slots=True)
class Setting:
    """A setting as it stands in the file."""

    field: Field
    weaver: str = ""  # whose it is; "" for everybody's

    @property
    def text(self) -> str:
        """Its value. Raises SequenceError where there is none, or it is no text."""
        return self.field.text()

    @property
    def line(self) -> int:
        """Where it stands, from 1."""
        return int(self.field.node.start_mark.line) + 1

    def error(self, what: str, todo: str = "", **places: str) -> SequenceError:
        """A complaint about it."""
        return self.field.error(what, todo, None, **places)


@dataclass(frozen=True, slots=True)
class Settings:
    """All of a file."""

    everybody: Mapping[str, Setting]
    weavers: Mapping[str, Mapping[str, Setting]]

    def of(self, weaver: str | None) -> Mapping[str, Setting]:
        """What holds for a weaver: hers, and what everybody's settings say beside."""
        return {**self.everybody, **self.weavers.get(weaver or "", {})}

    def whose(self, typed: str | None) -> str | None:
        """The weaver: the one that was typed, else the one that is kept. Raises SequenceError."""
        kept = self.everybody.get(WEAVER)
        return typed or (kept.text if kept else None)


NOTHING = Settings({}, {})


def path() -> Path:
    """Where the file lies, or would."""
    return folders.settings() / "settings.yaml"


def load(known: Mapping[str, object]) -> Settings:
    """What is kept of settings with these names. Raises SequenceError for anything else in the file, SettingsError."""
    return parsed(_content(), known)


def parsed(content: bytes, known: Mapping[str, object]) -> Settings:
    """What is in a file. Raises SequenceError."""
    root = _root(content)
    if root is None:
        return NOTHING
    everybody = root.entries((*known, WEAVERS), {})
    by_weaver = everybody.pop(WEAVERS, None)
    hers = {
        name: {
            key: Setting(value, name)
            for key, value in value.entries([key for key in known if key != WEAVER], {}).items()
        }
        for name, _, value in (by_weaver.pairs(Tell("weaver")) if by_weaver else ())
    }
    return Settings({key: Setting(value) for key, value in everybody.items()}, hers)


def change(name: str, text: str | None, weaver: str, known: Mapping[str, object]) -> None:
    """Keep a setting, everybody's or a weaver's; None: no longer. All else in the file stays as it was written.

    Raises SequenceError where the file cannot be read as it is, SettingsError where it cannot be written.
    """
    from assistant.alone import Taken, alone  # only who changes them waits for what that imports

    file = path()
    try:
        folders.own(file.parent)
        with alone(file.with_name("settings.lock")):
            before = _content()
            parsed(before, known)
            after = changed(before, name, text, weaver).encode(errors="replace")
            if text is not None and not _holds(after, known, weaver, name, text):
                raise SettingsError("a setting is a line of plain text; leave out what is none")
            write_whole(file, after, private=True)
    except Taken:
        raise SettingsError("another window is changing the settings; try again") from None
    except OSError as error:
        raise SettingsError("the settings cannot be kept in {file}: {why}", file=file, why=refusal(error)) from error


def changed(content: bytes, name: str, text: str | None, weaver: str = "") -> str:
    """The text of a file in which a setting is another; None: is none. Raises SequenceError where it has no place."""
    root = _root(content)
    keys = (WEAVERS, weaver, name) if weaver else (name,)
    way = list(_way(root.node, keys)) if root else []
    source = root.source.text if root else content.decode("utf-8-sig")
    if text is None:
        return _without(root, way) if root and len(way) == len(keys) else source
    at, column = len(source), 0
    if root:
        deepest = way[-1][1] if way else root.node
        if len(way) == len(keys):
            return source[: deepest.start_mark.index] + _written(text) + source[deepest.end_mark.index :]
        at = _end_of_line(source, deepest)
        column = _on_lines(root.source, deepest).value[0][0].start_mark.column
    gap = "" if not at or source[:at].endswith("\n") else "\n"
    return source[:at] + gap + _lines(keys[len(way) :], column, text) + source[at:]


def _holds(content: bytes, known: Mapping[str, object], weaver: str, name: str, text: str) -> bool:
    try:
        settings = parsed(content, known)
        return (settings.weavers[weaver] if weaver else settings.everybody)[name].text == text
    except (SequenceError, KeyError):
        return False


def _content() -> bytes:
    try:
        return read_whole(path(), MOST_BYTES)
    except FileNotFoundError:
        return b""
    except OSError as error:
        raise SettingsError("{file} cannot be read: {why}", file=path(), why=refusal(error)) from error


def _root(content: bytes) -> Field | None:
    """The whole of a file; None where it holds nothing but remarks in UTF-8."""
    if all(not line.strip() or line.startswith(b"#") for line in content.removeprefix(BOM_UTF8).splitlines()):
        with suppress(UnicodeDecodeError):
            content.decode()
            return None
    return read(content, str(path()))


Way = list[tuple[yaml.Node, yaml.Node]]  # a key and its value, and those within it, down to the one that is meant


def _way(node: yaml.Node, keys: Sequence[str]) -> Iterator[tuple[yaml.Node, yaml.Node]]:
    """As far as there is one."""
    for wanted in keys:
        found = [pair for pair in node.value if pair[0].value == wanted] if isinstance(node, yaml.MappingNode) else []
        if not found:
            return
        yield found[0]
        node = found[0][1]


def _without(root: Field, way: Way) -> str:
    """The text without a setting, and without what would be empty then."""
    while len(way) > 1 and len(way[-2][1].value) == 1:
        way = way[:-1]
    key, value = way[-1]
    _on_lines(root.source, way[-2][1] if len(way) > 1 else root.node)
    text = root.source.text
    return text[: text.rfind("\n", 0, key.start_mark.index) + 1] + text[_end_of_line(text, value) :]


def _on_lines(source: Source, node: yaml.Node) -> yaml.CollectionNode:
    """The same mapping. Raises SequenceError where it has several keys on a line."""
    if not isinstance(node, yaml.CollectionNode) or node.flow_style:
        todo = "write each setting on a line of its own"
        raise source.error("this is written within {{ }}", todo, node.start_mark.index)
    return node


def _end_of_line(text: str, node: yaml.Node) -> int:
    """After the line on which it ends."""
    while isinstance(node, yaml.MappingNode) and node.value:
        node = node.value[-1][1]
    return text.find("\n", max(node.end_mark.index - 1, node.start_mark.index)) + 1 or len(text)


def _lines(keys: Sequence[str], column: int, text: str) -> str:
    """Keys within each other, a line each, the last with its value."""
    *outer, last = keys
    lines = [f"{' ' * (column + INDENT * deep)}{_written(key)}:" for deep, key in enumerate(outer)]
    return "\n".join([*lines, f"{' ' * (column + INDENT * len(outer))}{last}: {_written(text)}\n"])


def _written(text: str) -> str:
    """As YAML has it, in quotes where it would be taken for something else."""
    try:
        node = read(f"key: {text}".encode(errors="replace"), "").node.value[0][1]
        plain = isinstance(node, yaml.ScalarNode) and not node.style and node.value == text
    except SequenceError:
        plain = False
    return text if plain else "'" + text.replace("'", "''") + "'"
