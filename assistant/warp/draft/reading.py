"""The bytes of a draft as text, whatever program and decade it is from; the sections and columns of a WIF file."""

import codecs
from collections.abc import Callable, Iterable, Iterator
from io import BytesIO, TextIOWrapper
from typing import Any, Generic, TextIO, TypeVar

from assistant.errors import DraftError
from assistant.meaning import Tell
from assistant.warp.model import MOST_ENDS

MOST_DRAFT_BYTES = 10_000_000

_ARCHIVES = (b"PK\x03\x04", b"PK\x05\x06", b"\x1f\x8b")  # zip, empty zip, gzip
_UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)

_T = TypeVar("_T")


def read_text(data: bytes, file: str, read: Callable[[TextIO], _T]) -> _T:
    """What `read` makes of the text, line by line, all line ends "\\n"; it is called anew for each encoding tried."""
    if len(data) > MOST_DRAFT_BYTES:
        what, todo = "this file is too long for a draft", "a draft has at most {most} MB"
        raise DraftError(what, todo, file=file, most=MOST_DRAFT_BYTES // 1_000_000)
    if data.startswith(_ARCHIVES):
        raise DraftError("this is a packed archive", "unpack it, and import the draft inside", file=file)
    for codec in _codecs(data):
        try:
            return read(TextIOWrapper(BytesIO(data), codec, newline=None))
        except UnicodeDecodeError:
            continue
    raise DraftError("this file is not text", "look whether it is the draft", file=file)


def _codecs(data: bytes) -> tuple[str, ...]:
    """The encodings to try: what the byte order mark says, what zero bytes tell, or else UTF-8 and then Windows'."""
    if data.startswith(_UTF_16):
        return ("utf-16",)
    if data[:1] == b"\0":
        return ("utf-16-be",)
    if data[1:2] == b"\0":
        return ("utf-16-le",)
    return ("utf-8-sig", "cp1252", "latin-1")


Entry = tuple[int, str, str | None, str]  # line, section, key, value; no key where the section begins


def entries(stream: TextIO) -> Iterator[Entry]:
    """Each line that says something; section in capitals, key in small letters. What begins with ; is a remark."""
    section = ""
    for number, line in enumerate(stream, 1):
        text = line.strip()
        if not text or text[0] == ";":
            continue
        if text[0] == "[":
            section = " ".join(text[1:].partition("]")[0].upper().split())
            yield number, section, None, ""
        else:
            key, _, value = text.partition("=")
            yield number, section, key.rstrip().lower(), value.lstrip()


class Column(Generic[_T]):
    """The entries 1=…, 2=… of one section; a value of its own kind for each, None where there is no entry."""

    def __init__(self, section: str, read: Callable[[str], _T], file: str, *, strict: bool = False):
        self.section, self.file, self.strict = section, file, strict
        self.values: list[_T | None] = [None]  # by number; the first is never used
        self.twice = 0  # entries that replaced one before
        self.skipped = 0  # entries that could not be read
        self.first_skipped = 0  # the line of the first of them
        self._read = read
        self._known: dict[str, _T] = {}
        self._left = MOST_ENDS

    def take(self, line: int, key: str, text: str) -> None:
        """Add an entry. Raises DraftError where it cannot be read, if strict; and where there are too many."""
        if not self._left:
            raise self._error("more than {most:,} entries in [{section}]", line)
        self._left -= 1
        number = int(key) if key.isascii() and key.isdecimal() and len(key) < 10 else 0
        if number > MOST_ENDS:
            raise self._error("[{section}] goes up to {number:,}, the most is {most:,}", line, number=number)
        value = self._known.get(text)
        if value is None:
            value = self._value(text)
        if value is None or not number:
            self._skip(line)
            return
        if number >= len(self.values):
            self.values.extend([None] * (number - len(self.values) + 1))
        self.twice += self.values[number] is not None
        self.values[number] = value

    def get(self, number: int) -> _T | None:
        """The value with this number."""
        return self.values[number] if 0 < number < len(self.values) else None

    def of(self, numbers: Iterable[int], usual: _T | None) -> list[_T | None]:
        """The values with these numbers, the usual one where there is no entry."""
        found = (self.get(number) for number in numbers)
        return [usual if value is None else value for value in found]

    def remarks(self) -> Iterator[Tell]:
        """What was odd about the entries."""
        if self.twice:
            yield Tell("entries given twice", section=self.section, entries=self.twice)
        if self.skipped:
            yield Tell("entries not read", section=self.section, entries=self.skipped, line=self.first_skipped)

    def _value(self, text: str) -> _T | None:
        try:
            value = self._read(text.partition(";")[0])
        except ValueError:
            return None
        self._known[text] = value
        return value

    def _skip(self, line: int) -> None:
        if self.strict:
            what, todo = "this line of [{section}] cannot be read", "export the draft anew"
            raise DraftError(what, todo, file=self.file, line=line, section=self.section)
        self.skipped += 1
        self.first_skipped = self.first_skipped or line

    def _error(self, what: str, line: int, **places: Any) -> DraftError:
        places |= {"section": self.section, "most": MOST_ENDS}
        return DraftError(what, "look whether it is the draft", file=self.file, line=line, **places)
