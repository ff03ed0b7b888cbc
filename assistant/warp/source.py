"""A YAML file as fields that know where they stand, so that every complaint names its line and column."""

import codecs
import math
import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, TypeVar

import yaml
from yaml.error import MarkedYAMLError
from yaml.reader import ReaderError

from assistant.entries import LET_OUT
from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp.model import MOST_ENDS, MOST_ENDS_KEPT
from assistant.warp.spelling import did_you_mean, shown

_NO_COLON = "could not find expected ':'"
_OPEN_QUOTE = "unexpected end of stream|unexpected document separator"
_AT_ITS_BEGINNING = (_NO_COLON, _OPEN_QUOTE)  # the mistake is where the reader began, not where it stopped

_WITH_A_SPACE = "write key: value, with a space after the colon"

# What the reader says, what is wrong, what to do: the first that fits, in PyYAML 6.0's words.
_PLAIN = (
    (r"'\\t' that cannot start", "a tab stands here", "indent with spaces"),
    (r"character '(?P<sign>.)' that cannot start", "text cannot begin with {sign}", "put the text in quotes"),
    (
        "values are not allowed",
        "a colon where none can stand",
        "put text with a colon in quotes, and begin the keys of one level in the same column",
    ),
    ("entries are not allowed", "a - where none can stand", "begin it on a line of its own"),
    ("keys are not allowed", "a ? where none can stand", "put the text in quotes"),
    (_NO_COLON, "a key without its colon", _WITH_A_SPACE),
    (
        "expected <block end>",
        "this does not line up with the lines above",
        "begin the lines of one level in the same column",
    ),
    (
        "expected ',' or '}'",
        "this does not fit inside {{ }}",
        "put commas between, close with }}, quote texts with : in them",
    ),
    (r"expected ',' or '\]'", "this does not fit inside [ ]", "put commas between, and close with ]"),
    ("expected the node content", "a value is missing here", "write it, or put the text in quotes"),
    (_OPEN_QUOTE, "a quote is opened and never closed", "close it at the end of the text"),
    ("unknown escape character '(?P<sign>.)'", "\\{sign} means nothing inside double quotes", "use single quotes"),
    ("hexadecimal numbers", "an unfinished \\x or \\u inside double quotes", "use single quotes"),
    ("found another document", "a second document begins here", "take the --- out: one file holds one warp"),
)

# In a { }, a colour without quotes begins a comment and swallows the rest of its line.
_BARE_COLOUR = re.compile(r"\{[^{}]*:[ \t]+(#[0-9A-Fa-f]{3,8})\b[^{}\n]*")
# A key whose value touches the colon is no key; only the next line shows it.
_NO_SPACE = re.compile(r"^[ \t]*(?:- +)?(\w+:)[^\s/].*\n+[^\n]*\Z", re.MULTILINE)


def _in_plain_words(error: MarkedYAMLError, text: str) -> tuple[Tell, Tell, int]:
    """What is wrong, what to do, and the offset in the text."""
    begin, place = error.context_mark, error.problem_mark or error.context_mark
    at = place.index if place else 0
    if colour := _BARE_COLOUR.search(text, 0, at):
        return *_bare_colour_told(colour[1]), colour.start(1)
    problem = error.problem or ""
    if "values are not allowed" in problem and (key := _NO_SPACE.search(text, 0, at)):
        return Tell("a space is missing after {key}", key=key[1]), Tell(_WITH_A_SPACE), key.start(1)
    for words, what, todo in _PLAIN:
        if found := re.search(words, problem):
            start = begin.index if begin and words in _AT_ITS_BEGINNING else at
            return Tell(what, sign=found.groupdict().get("sign")), Tell(todo), start
    what, todo = "this cannot be read as YAML", "put texts with signs in quotes, and line up the keys of one level"
    return Tell(what), Tell(todo), at


def _bare_colour_told(colour: str) -> tuple[Tell, Tell]:
    """What is wrong and what to do about a colour without quotes."""
    what = Tell("without quotes {colour} is taken for a comment", colour=colour)
    return what, Tell('write "{colour}"', colour=colour)


MOST_BYTES = 500_000  # read within two seconds; a warp of 2,000 ends, each a group with a yarn, has a fifth of it
MOST_FIELDS = 25_000
MOST_BYTES_BEGUN = 5_000_000  # of a file from which an older version began
MOST_NESTED = 20
MOST_CHARACTERS = 200  # of a title or name
MOST_MEASURE = 1_000_000.0

_BYTE_ORDER_MARKS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))
_UNSEEN = {"Cc", "Cs", "Zl", "Zp"}  # Unicode's control characters, surrogates, line and paragraph separators

_Choice = TypeVar("_Choice", bound=str)
_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class Source:
    """The text of a file, its lines ended by "\\n"."""

    file: str
    text: str
    ours: bool = False  # this program wrote or began it: it may be longer than what a weaver begins

    @property
    def most_ends(self) -> int:
        """Of the warp."""
        return MOST_ENDS_KEPT if self.ours else MOST_ENDS

    def error(self, what: str | Tell, todo: str | Tell, at: int, **places: Any) -> SequenceError:
        """A complaint about what stands at offset `at`, two sentences and their places."""
        line = self.text.count("\n", 0, at) + 1
        column = at - self.text.rfind("\n", 0, at)
        return SequenceError(what, todo, file=self.file, line=line, column=column, **places)


@dataclass(frozen=True, slots=True)
class Field:
    """One value of the file, and what to call it."""

    name: str | Tell  # a key of the file, or words for what has none
    node: yaml.Node
    source: Source

    def error(self, what: str | Tell, todo: str | Tell = "", offset: int | None = None, **places: Any) -> SequenceError:
        """A complaint about the field, as {name}, or about what stands at an offset in its text."""
        at = self.node.start_mark.index
        if offset is not None and isinstance(self.node, yaml.ScalarNode):
            at += _place(self.node, self.source.text, offset)
        return self.source.error(what, todo, at, **{"name": self.name, **places})

    def needs(self, other: str, example: str) -> SequenceError:
        """A complaint that the field says nothing, since another is not there."""
        what, todo = "{name} means nothing without {other}", "add it, for instance {example}"
        return self.error(what, todo, other=other, example=example)

    @contextmanager
    def placed(self) -> Iterator[None]:
        """What is wrong at a column of the field's text is complained of where that stands in the file."""
        try:
            yield
        except SequenceError as error:
            raise self.error(error.what, error.todo, max(error.column - 1, 0)) from None

    def scalar(self) -> str:
        """The text as it stands, "" only where that is written out in quotes."""
        if isinstance(self.node, yaml.SequenceNode):
            raise self.error("{name} is a list", "write it as text, without [ ] or a - before it")
        if isinstance(self.node, yaml.MappingNode):
            raise self.error("{name} holds keys", "write it as text, without {{ }} or a colon in it")
        if self.is_empty():
            raise self._no_value()
        return str(self.node.value)

    def is_empty(self) -> bool:
        """Whether nothing at all is written."""
        return isinstance(self.node, yaml.ScalarNode) and not self.node.style and not self.node.value

    def text(self) -> str:
        """One line of text."""
        value = self.scalar().strip("\n")
        if len(value) > MOST_CHARACTERS and not self.source.ours:
            raise self.error("{name} is longer than {most} characters", "shorten it", most=MOST_CHARACTERS)
        if one_line(value) != value:
            what = "{name} {text} is more than a line of plain text"
            raise self.error(what, "write it on one line", text=shown(value))
        return value

    def whole(self, low: int, high: int) -> int:
        """A whole number from `low` to `high`."""
        value = self.scalar()
        if not re.fullmatch("[0-9]{1,7}", value) or not low <= int(value) <= high:
            todo = "write a whole number from {low:,} to {high:,}"
            raise self.error("{name} is {text}", todo, text=shown(value), low=low, high=high)
        return int(value)

    def measure(self) -> float:
        """A number greater than 0, with a point where it has decimals."""
        value = self.scalar()
        number = float(value) if re.fullmatch(r"[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]+)?", value) else math.nan
        if not 0 < number <= MOST_MEASURE:
            todo = "write a number greater than 0, for instance 20 or 12.5"
            raise self.error("{name} is {text}", todo, text=shown(value))
        return number

    def yes(self) -> bool:
        """Whether it is so."""
        return self.choice("true", "false") == "true"

    def choice(self, *words: _Choice) -> _Choice:
        """One of a few words."""
        value = self.scalar()
        for word in words:
            if value == word:
                return word
        *others, last = words
        one = ", ".join(others)
        raise self.error("{name} is {text}", "write {one} or {other}", text=shown(value), one=one, other=last)

    def items(self, example: str) -> list["Field"]:
        """The items of a list, of which there is at least one."""
        if not isinstance(self.node, yaml.SequenceNode):
            raise self.error("{name} is not a list", "write for instance {example}", example=example)
        if not self.node.value:
            raise self.error("{name} is empty", "write for instance {example}", example=example)
        return [Field(self.name, node, self.source) for node in self.node.value]

    def pairs(self, kind: Tell) -> Iterator[tuple[str, "Field", "Field"]]:
        """The keys of a mapping as text and as fields, and their values; `kind` is what to call a key."""
        if not isinstance(self.node, yaml.MappingNode):
            todo = "write its keys under it, indented, or {{ }} for none" if self.is_empty() else _WITH_A_SPACE
            raise self.error("{name} holds no keys", todo)
        seen: set[str] = set()
        for key_node, node in self.node.value:
            key = Field(kind, key_node, self.source)
            name = key.text()
            if name in seen:
                what = "the {kind} {name} is given twice"
                raise key.error(what, "keep one of them", kind=kind, name=shown(name))
            seen.add(name)
            value = Field(name, node, self.source)
            if ":" in name and value.is_empty():
                raise key.error("a space is missing in {name}", _WITH_A_SPACE, name=shown(name))
            yield name, key, value

    def entries(self, known: Iterable[str], needed: Mapping[str, str]) -> dict[str, "Field"]:
        """The values of a mapping with known keys; `needed` gives an example of each that must be there."""
        found: dict[str, Field] = {}
        for name, key, value in self.pairs(Tell("key")):
            if name not in known:
                raise self._unknown(name, key, value, known, found)
            found[name] = value
        for name, example in needed.items():
            if name not in found:
                raise self.error("{name} is missing", "add it, for instance {example}", name=name, example=example)
        return found

    def _no_value(self) -> SequenceError:
        if colour := re.compile(r"[ \t]*(#[0-9A-Fa-f]{3,8})\b").match(self.source.text, self.node.start_mark.index):
            return self.source.error(*_bare_colour_told(colour[1]), colour.start(1))
        return self.error("{name} has no value", "write it after the colon")

    def _unknown(
        self, name: str, key: "Field", value: "Field", known: Iterable[str], before: dict[str, "Field"]
    ) -> SequenceError:
        last, in_braces = next(reversed(before), ""), isinstance(self.node, yaml.MappingNode) and self.node.flow_style
        if last and value.is_empty() and in_braces:
            what = "inside {{ }} the comma before {name} ends the value"
            todo = 'put the whole of {key} in quotes, as in {key}: "…, …"'
            return key.error(what, todo, name=shown(name), key=last)
        if last and before[last].is_empty():
            return key.error("unknown key {name}", "if it belongs under {key}, indent it", name=shown(name), key=last)
        return key.error("unknown key {name}", did_you_mean(name, known) or "", name=shown(name))


def read(data: bytes, file: str, *, ours: bool = False) -> Field:
    """The file as one field. Raises SequenceError for whatever is not text, not YAML, or more than a warp needs.

    What is `ours` was written by this program, and may be longer than what a weaver writes.
    """
    if len(data) > MOST_BYTES and not ours:
        raise SequenceError("longer than {most} kB", "use n(…) for what repeats", file=file, most=MOST_BYTES // 1000)
    source = Source(file, _decode(data, file), ours)
    try:
        loader = _Loader(source)
    except ReaderError as error:
        what, code = "a control character ({code}) stands here", f"U+{error.character:04X}"
        raise source.error(what, "take it out", error.position, code=code) from None
    try:
        root = loader.get_single_node()
    except MarkedYAMLError as error:
        raise source.error(*_in_plain_words(error, source.text)) from None
    except LET_OUT:  # for \U99999999, and for endless digits after %YAML
        what = "this number is too large for YAML"
        raise source.error(what, "write fewer digits", loader.get_mark().index) from None
    if root is None:
        todo = "begin with shafts: and groups:, as in the examples"
        raise source.error("the file is empty", todo, 0)
    return Field(Tell("the file"), root, source)


def given(keys: Mapping[str, Field], name: str, reader: Callable[[Field], _T], default: _T) -> _T:
    """The value of a key that may be left out."""
    return reader(keys[name]) if name in keys else default


def one_line(text: str) -> str:
    """The text with a question mark for each character that does not belong in a line of text."""
    return "".join("?" if unicodedata.category(character) in _UNSEEN else character for character in text)


class _Loader(yaml.BaseLoader):
    """Nodes with all scalars left as text; no anchors, aliases or tags; neither too deep nor too many."""

    def __init__(self, source: Source):
        super().__init__(source.text)
        self.source = source
        self.depth = 0
        self.fields = 0

    def compose_node(self, parent: yaml.Node | None, index: int) -> yaml.Node | None:
        event = self.peek_event()  # type: ignore[no-untyped-call]
        at = event.start_mark.index
        if event.anchor is not None:  # in an alias, too
            what = "text that begins with * or & means something else in YAML"
            raise self.source.error(what, "put it in quotes", at)
        if event.tag is not None:
            what = "text that begins with ! means something else in YAML"
            raise self.source.error(what, "put it in quotes", at)
        if self.fields == MOST_FIELDS and not self.source.ours:
            todo = "use times and n(…) for what repeats"
            raise self.source.error("more than {most:,} values", todo, at, most=MOST_FIELDS)
        if self.depth == MOST_NESTED:
            what = "nested more than {most} deep"
            raise self.source.error(what, "take some of the brackets out", at, most=MOST_NESTED)
        self.fields += 1
        self.depth += 1
        node = super().compose_node(parent, index)
        self.depth -= 1
        return node


def _decode(data: bytes, file: str) -> str:
    """The text, its lines ended by "\\n": UTF-8, or what the byte order mark says."""
    mark, codec = next((m for m in _BYTE_ORDER_MARKS if data.startswith(m[0])), (b"", "utf-8"))
    body = data[len(mark) :]
    try:
        text = body.decode(codec)
    except UnicodeDecodeError as error:
        before = _lines(body[: error.start].decode(codec))
        what, byte = "a byte that is not {encoding} ({byte})", f"0x{body[error.start]:02x}"
        raise Source(file, before).error(
            what, "save the file as UTF-8", len(before), encoding=codec.upper(), byte=byte
        ) from None
    return _lines(text)


def _lines(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _place(node: yaml.ScalarNode, text: str, offset: int) -> int:
    """Where the character at `offset` of a scalar's value stands, counted from the scalar's first character.

    Folding and quoting change the white space and nothing else, so the characters between are counted.
    """
    places = _characters(text[node.start_mark.index : node.end_mark.index], node.style)
    before = len("".join(node.value[:offset].split()))
    return places[before] if before < len(places) else (places[-1] + 1 if places else 0)


_CHARACTER = {"'": r"''|\S", '"': r"\\(?:x..|u.{4}|U.{8}|.)|\S"}  # as written in single and in double quotes
_WHITE_ESCAPES = frozenset("tnvfr N_LP\t\n")


def _characters(raw: str, style: str | None) -> list[int]:
    """Where in a scalar as written each character of its value stands, white space left out."""
    if style in ("'", '"'):
        found = re.compile(_CHARACTER[style], re.DOTALL).finditer(raw, 1, len(raw) - 1)
        return [m.start() for m in found if not _is_white(m[0])]
    begin = raw.find("\n") if style in ("|", ">") else 0
    return [m.start() for m in re.compile(r"\S").finditer(raw, begin)]


def _is_white(character: str) -> bool:
    """Whether a character as written is an escape that stands for white space."""
    escape = character[1:] if character[0] == "\\" else ""
    return escape in _WHITE_ESCAPES or (len(escape) > 1 and chr(int(escape[1:], 16)).isspace())
