"""How far something is, on one line."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

Show = Callable[[str], None]
WIDTH = 79


@contextmanager
def on_one_line(name: str) -> Iterator[Show]:
    """Shows each text in place of the one before, and leaves the line empty; shows none where there is no terminal."""

    def show(text: str) -> None:
        if sys.stderr.isatty():
            print(f"\r{f'{name}: {text}' if text else '':{WIDTH}.{WIDTH}}", end="\r", file=sys.stderr, flush=True)

    try:
        yield show
    finally:
        show("")
