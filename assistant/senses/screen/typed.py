"""Lines that are typed, from bytes as they come: none of them is a fault, nor is it where there are none."""

import io
import sys
from collections.abc import Iterator

LONGEST_LINE = 1000  # bytes; more without an end is taken as lines of so many


def typed_lines() -> Iterator[str]:
    """Lines of the standard input, read without a buffer: a reader still waiting does not hold up the end.

    What is not UTF-8 is U+FFFD in them, and a byte order mark before the first is none of it; where nothing can be
    read, they are at an end.
    """
    codec = "utf-8-sig"
    try:
        with io.FileIO(sys.stdin.fileno(), closefd=False) as raw:
            while line := raw.readline(LONGEST_LINE):
                yield line.decode(codec, errors="replace")
                codec = "utf-8"
    except (AttributeError, OSError, ValueError):  # there is no standard input, or a folder, or it was closed
        return
