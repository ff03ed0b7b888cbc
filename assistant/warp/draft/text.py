"""The bytes of a draft as text, whatever program and decade it comes from."""

import codecs
from collections.abc import Callable
from io import BytesIO, TextIOWrapper
from typing import TextIO, TypeVar

from assistant.errors import DraftError

MOST_BYTES = 64_000_000

_ARCHIVES = (b"PK\x03\x04", b"PK\x05\x06", b"\x1f\x8b")  # zip, empty zip, gzip
_UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)

_T = TypeVar("_T")


def read_text(data: bytes, file: str, read: Callable[[TextIO], _T]) -> _T:
    """What `read` makes of the text, line by line, all line ends "\\n"; it is called anew for each encoding tried."""
    if len(data) > MOST_BYTES:
        todo = f"a draft has at most {MOST_BYTES // 1_000_000} MB"
        raise DraftError("this file is too long for a draft", todo, file=file)
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
