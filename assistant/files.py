"""The one way a whole file is written: it is there as it should be, or as it was. Imports nothing of ours."""

import os
import re
import secrets
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

PRIVATE, ASKED_FOR = 0o600, 0o666  # rights of a file that we keep, and of one that was asked for by name
UNFINISHED = re.compile(r"\.[0-9a-f]{16}\.new")
LONGEST_WRITING_S = 3600.0
_usual: list[int] = []  # the umask this program was started with, where it has another now


@contextmanager
def private_by_default() -> Iterator[None]:
    """Whatever is made meanwhile, by libraries too, is for this user's eyes only, but for files asked for by name."""
    _usual.append(os.umask(0o077))
    try:
        yield
    finally:
        os.umask(_usual.pop())


def usual_umask() -> int:
    """The umask for a program that makes what is not ours; -1 where it has it already."""
    return _usual[0] if _usual else -1


def write_whole(path: Path, content: bytes, *, private: bool = False) -> None:
    """Write a file by way of a temporary one beside it, synced and renamed; what a link points to, not the link.

    Whoever reads meanwhile, or after a crash, finds the old content or the new, never a part. A file that was there
    keeps its rights; a private one is for this user's eyes only, from the first byte on. Raises OSError, and then
    leaves what was there. What a killed writer left in the folder is cleared away by the next, an hour later.
    """
    place = Path(os.path.realpath(path))
    unfinished = place.with_name(f".{secrets.token_hex(8)}.new")
    try:
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
        with os.fdopen(os.open(unfinished, flags, PRIVATE if private else ASKED_FOR), "wb") as opened:
            opened.write(content)
            opened.flush()
            os.fsync(opened.fileno())
        if place.exists() and not private:
            unfinished.chmod(place.stat().st_mode & 0o777)
        elif _usual and not private:
            unfinished.chmod(ASKED_FOR & ~usual_umask())
        os.replace(unfinished, place)
        _clear_away(place.parent)
    except BaseException:
        with suppress(OSError):
            unfinished.unlink()
        raise


def _clear_away(folder: Path) -> None:
    """Delete what writers that were killed have left unfinished in a folder; one that may be at work is let be."""
    with suppress(OSError):
        for name in filter(UNFINISHED.fullmatch, os.listdir(folder)):
            left = folder / name
            if left.stat().st_mtime < time.time() - LONGEST_WRITING_S:
                left.unlink()
