"""Keep sound libraries from writing over the screen."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def libraries_quiet() -> Iterator[None]:
    """Drop what PortAudio, ALSA and recognisers write to file descriptor 2; Python's own standard error still shows."""
    standard, before = os.dup(2), (sys.stderr, sys.__stderr__)
    with open(os.devnull, "w") as nothing, os.fdopen(os.dup(2), "w") as ours:
        os.dup2(nothing.fileno(), 2)
        sys.stderr = sys.__stderr__ = ours  # type: ignore[misc]
        try:
            yield
        finally:
            sys.stderr, sys.__stderr__ = before  # type: ignore[misc]
            os.dup2(standard, 2)
            os.close(standard)
