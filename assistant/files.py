"""The one way a whole file is written: it is there as it should be, or as it was. Imports nothing of ours."""

import os
import secrets
from contextlib import suppress
from pathlib import Path


def write_whole(path: Path, content: bytes, *, private: bool = False) -> None:
    """Write a file by way of a temporary one beside it, synced and renamed; what a link points to, not the link.

    Whoever reads meanwhile, or after a crash, finds the old content or the new, never a part. A file that was there
    keeps its rights; a private one is for this user's eyes only, from the first byte on. Raises OSError, and then
    leaves what was there.
    """
    place = Path(os.path.realpath(path))
    unfinished = place.with_name(f".{secrets.token_hex(8)}.new")
    try:
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
        with os.fdopen(os.open(unfinished, flags, 0o600 if private else 0o666), "wb") as opened:
            opened.write(content)
            opened.flush()
            os.fsync(opened.fileno())
        if place.exists() and not private:
            unfinished.chmod(place.stat().st_mode & 0o777)
        os.replace(unfinished, place)
    except BaseException:
        with suppress(OSError):
            unfinished.unlink()
        raise
