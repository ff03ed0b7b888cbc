"""How far a model has come, on one line."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

from assistant.errors import OutputError
from assistant.meaning import Tell
from assistant.output import legible, write
from assistant.words.columns import padded
from assistant.words.printed import Printed

Show = Callable[[Tell | None], None]
WIDTH = 79


@contextmanager
def on_one_line(name: str, words: Printed) -> Iterator[Show]:
    """Shows each phrase in place of the one before, and leaves the line empty; none where there is no terminal."""

    def show(tell: Tell | None) -> None:
        if sys.stderr.isatty():
            line = padded(words.text("progress", name=name, told=tell) if tell else "", WIDTH)
            with suppress(OutputError, BrokenPipeError):
                write(f"\r{legible(line)}\r", sys.stderr)

    try:
        yield show
    finally:
        show(None)
