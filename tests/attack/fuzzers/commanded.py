"""A command within this process, its output kept, held to what every command promises."""

import io
import json
import os
import sys
import tempfile
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache

from assistant import cli
from fuzzers.engine import law

CODES = (0, 1, 2, 130)
BUILT = cache(cli._parser)  # the table of commands does not change, and takes long to lay out


@dataclass(frozen=True)
class Commanded:
    """What came of a command."""

    code: int
    out: str
    err: str


def command(words: Sequence[str], typed: bytes = b"", runs: Callable[[str, object], bool] | None = None) -> Commanded:
    """Run a command; `typed` is its standard input. Where `runs` is given and says no, its line is only read."""
    cli._parser = BUILT
    with _given(typed), _taken("stdout", "strict") as out, _taken("stderr", "backslashreplace") as err:
        try:
            if runs is None or runs(*_read(words)):
                code: object = cli.main(words)
            else:
                code = 0
        except SystemExit as end:
            code = 0 if end.code is None else end.code
    return _checked(words, code, out.getvalue(), err.getvalue())


def _read(words: Sequence[str]) -> tuple[str, object]:
    found, options = cli.parsed(words)
    return found.name, options


def _checked(words: Sequence[str], code: object, out: str, err: str) -> Commanded:
    law(code in CODES, "exit code", code)
    law("Traceback" not in err and "Exception ignored" not in err, err[-600:])
    for name, told in (("output", out), ("errors", err)):
        bad = {f"U+{ord(c):04X}" for c in set(told) if c != "\n" and unicodedata.category(c) in ("Cc", "Cs")}
        law(not bad, f"in the {name}:", *sorted(bad))
    if code == 2:
        *before, complaint = err.splitlines() or [""]
        where_the_log_is = int(any(word.startswith("--log") for word in words))
        law(len(before) <= where_the_log_is and complaint.startswith("heddlecall"), "not one line:", repr(err))
    if code in (0, 1) and "--json" in words and out[:1] in ("{", "["):
        law(all(json.loads(line) is not None for line in out.splitlines()), "a line that is no JSON")
    return Commanded(int(code), out, err)  # type: ignore[call-overload]


@contextmanager
def _taken(name: str, errors: str) -> Iterator[io.StringIO]:
    """What is written to a stream of the system goes into a file, and is read from there at the end."""
    kept = io.StringIO()
    with tempfile.TemporaryFile() as file:
        stream = io.TextIOWrapper(file, "utf-8", errors)
        before = getattr(sys, name)
        setattr(sys, name, stream)
        try:
            yield kept
        finally:
            setattr(sys, name, before)
            stream.flush()
            file.seek(0)
            kept.write(file.read().decode("utf-8", "surrogateescape"))
            stream.detach()


@contextmanager
def _given(typed: bytes) -> Iterator[None]:
    """The standard input holds this."""
    before, stream = os.dup(0), sys.stdin
    with tempfile.TemporaryFile() as file:
        file.write(typed)
        file.seek(0)
        os.dup2(file.fileno(), 0)
    try:
        with open(0, encoding="utf-8", errors="strict", closefd=False) as opened:
            sys.stdin = opened
            yield
    finally:
        sys.stdin = stream
        os.dup2(before, 0)
        os.close(before)
