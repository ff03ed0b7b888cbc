"""What is printed: legible whatever it holds, in whatever encoding; and told where it has no place to go."""

import codecs
import errno
import json
import os
import sys
from collections.abc import Callable, Iterable
from contextlib import suppress
from io import TextIOWrapper
from typing import TextIO
from unicodedata import bidirectional, category, combining, name, normalize

from assistant.errors import OutputError, refusal
from assistant.words.columns import columns

UNSEEN = {"Cc", "Cs", "Zl", "Zp"}  # Unicode's control characters, surrogates, line and paragraph separators
TURNING = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}  # what turns the text around it about
UNDECODED = range(0xDC80, 0xDD00)  # what Python makes of bytes that are no text, in a file's name for instance
WRITTEN_FOR = {  # where an encoding lacks them
    **{"×": "x", "…": "...", "–": "-", "—": "-", "·": ".", "″": '"', "«": '"', "»": '"', "ß": "ss", "¿": "?", "¡": "!"},
    **dict.fromkeys("“”„", '"'),
    **dict.fromkeys("‘’‚", "'"),
    **{"█": "#", "▓": "%", "░": ".", "▀": '"', "▄": "_", "▞": "/", "▲": "^", "─": "-", "●": "*", "○": "o"},
}
GONE = (errno.EPIPE, errno.EIO)  # whoever read a pipe, or a terminal
LEGIBLE, ALIGNED = "legible", "aligned"  # two ways to encode that never fail; with the latter columns stay as they are


def legible(text: str) -> str:
    """A text on one line, with an escape such as \\x1b for each character that moves the cursor or turns text about.

    A byte that is no text, as there may be in a file's name, is written \\xe9.
    """
    return text if text.isprintable() else "".join(map(_seen, text))


def _seen(character: str) -> str:
    if category(character) not in UNSEEN and bidirectional(character) not in TURNING:
        return character
    code = ord(character)
    return f"\\x{code - 0xDC00:02x}" if code in UNDECODED else ascii(character)[1:-1]


def _nearest(character: str) -> str:
    """In ASCII: a sign that looks like it, its bottom letter, the Latin letters of a Korean syllable; else ?."""
    if category(character) == "Cs":
        return _seen(character)
    if combining(character):
        return ""
    if "가" <= character <= "힣":
        return name(character).rpartition(" ")[2].lower()
    bottom = normalize("NFKD", character)[0]
    return WRITTEN_FOR.get(character) or (bottom if bottom.isascii() else "?" * columns(character))


def _aligned(character: str) -> str:
    return _nearest(character)[: columns(character)].ljust(columns(character), "?")


def _replacing(by: Callable[[str], str]) -> Callable[[UnicodeError], tuple[str, int]]:
    def replaced(error: UnicodeError) -> tuple[str, int]:
        if not isinstance(error, UnicodeEncodeError):
            raise error
        return "".join(map(by, error.object[error.start : error.end])), error.end

    return replaced


codecs.register_error(LEGIBLE, _replacing(_nearest))
codecs.register_error(ALIGNED, _replacing(_aligned))


def open_streams() -> None:
    """Have the standard streams take whatever is printed; one that was closed is there, and what is printed fails.

    A closed one would be the next file opened, into which libraries print.
    """
    for number, flags in ((0, os.O_RDONLY), (1, os.O_RDONLY), (2, os.O_WRONLY)):
        with suppress(OSError):
            _occupy(number, flags)
    sys.stdin = sys.stdin or os.fdopen(0, encoding="utf-8", closefd=False)
    sys.stdout = sys.stdout or os.fdopen(1, "w", encoding="utf-8", closefd=False)
    sys.stderr = sys.stderr or os.fdopen(2, "w", encoding="utf-8", closefd=False)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors=LEGIBLE)


def _occupy(number: int, flags: int) -> None:
    """Open the null device as this file descriptor, where it is not open; those below are."""
    try:
        os.fstat(number)
    except OSError:
        os.open(os.devnull, flags)


def show(lines: Iterable[str]) -> None:
    """Print lines, each as soon as it is known. Raises OutputError where they cannot be written."""
    for line in lines:
        put(line)


def show_json(told: dict[str, object] | list[dict[str, object]]) -> None:
    """Print one line of JSON; what is not legible, or not in the encoding, is escaped. Raises OutputError."""
    line = json.dumps(told, ensure_ascii=False)
    write("".join(c if _is_plain(c) else json.dumps(c)[1:-1] for c in line) + "\n")


def _is_plain(character: str) -> bool:
    if character.isascii():
        return character.isprintable()
    try:
        character.encode(sys.stdout.encoding or "utf-8")
    except UnicodeEncodeError:
        return False
    return _seen(character) == character


def put(line: str, to: TextIO | None = None) -> None:
    """Print a line, by default on the standard output. Raises OutputError where it cannot be written."""
    write(f"{legible(line)}\n", to)


def complain(line: str) -> None:
    """Print a line on the standard error, if anybody reads it."""
    with suppress(OutputError, BrokenPipeError):
        put(line, sys.stderr)


def write(text: str, to: TextIO | None = None) -> None:
    """Print a text of ours as it is, at once. Raises OutputError where it cannot be written, BrokenPipeError."""
    stream = to or sys.stdout
    try:
        stream.write(text)
        stream.flush()
    except OSError as error:
        with suppress(OSError):  # or leaving would fail at it again
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
        if error.errno in GONE:
            raise BrokenPipeError(error.errno, error.strerror) from None
        what = "what was to be printed cannot be written: {why}; make room for it"
        raise OutputError(what, why=refusal(error)) from None
