"""The one way a whole file is written: it is there as it should be, or as it was. Imports nothing of ours."""

import os
import secrets
from contextlib import suppress
from pathlib import Path


def write_whole(path: Path, content: bytes) -> None:
    """Write a file by way of a temporary one beside it, synced and renamed; what a link points to, not the link.

    Whoever reads meanwhile, or after a crash, finds the old content or the new, never a part. Raises OSError, and then
    leaves what was there.
    """
    place = Path(os.path.realpath(path))
    unfinished = place.with_name(f".{secrets.token_hex(8)}.new")
    try:
        with unfinished.open("xb") as opened:
            opened.write(content)
            opened.flush()
            os.fsync(opened.fileno())
        if place.exists():
            unfinished.chmod(place.stat().st_mode & 0o777)
        os.replace(unfinished, place)
    except BaseException:
        with suppress(OSError):
            unfinished.unlink()
        raise
