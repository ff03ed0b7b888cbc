"""The one way a file is opened to be read, and the one way a whole file is written."""

import errno
import os
import re
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from io import BufferedReader
from itertools import count
from pathlib import Path
from stat import S_ISDIR, S_ISREG

from assistant.errors import NotPlain

PRIVATE, ASKED_FOR = 0o600, 0o666  # rights of a file that we keep, and of one that was asked for by name
UNFINISHED = re.compile(r"\.[0-9a-f]{16}\.new")
LONGEST_WRITING_S = 3600.0
_usual: list[int] = []  # the umask this program was started with, where it has another now
_READING = (
    os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOCTTY", 0) | getattr(os, "O_BINARY", 0)
)  # a pipe that nobody writes to is opened at once, too


def open_plain(path: str | os.PathLike[str]) -> BufferedReader:
    """A plain file, open to be read in bytes.

    Raises OSError; NotPlain for a pipe, a socket or a device, which might never end. It never waits for one.
    """
    try:
        opened = os.open(path, _READING)
    except OSError as error:
        if error.errno == errno.ENXIO:  # a socket
            raise not_plain(path) from None
        raise
    try:
        kind = os.fstat(opened).st_mode
        if S_ISDIR(kind):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), os.fspath(path))
        if not S_ISREG(kind):
            raise not_plain(path)
        return os.fdopen(opened, "rb")
    except BaseException:
        os.close(opened)
        raise


def not_plain(path: str | os.PathLike[str]) -> NotPlain:
    """What is told of a pipe, a socket or a device."""
    return NotPlain(errno.EINVAL, "this is no plain file", os.fspath(path))


def read_whole(path: str | os.PathLike[str], most: int) -> bytes:
    """The content of a plain file of at most so many bytes. Raises OSError, as `open_plain` does, also for more."""
    with open_plain(path) as opened:
        content = opened.read(most + 1)
    if len(content) > most:
        raise OSError(errno.EFBIG, os.strerror(errno.EFBIG), os.fspath(path))
    return content


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


def write_whole(path: Path, content: bytes, *, private: bool = False, fresh: bool = False) -> None:
    """Write a file by way of a temporary one beside it, synced and renamed; what a link points to, not the link.

    Whoever reads meanwhile, or after a crash, finds the old content or the new, never a part. A file that was there
    keeps its rights; a private one is for this user's eyes only, from the first byte on. Raises OSError, and then
    leaves what was there; where it is to be `fresh`, a FileExistsError for whatever is there. What a killed writer left
    in the folder is cleared away by the next, an hour later.
    """
    place = Path(os.path.realpath(path))
    unfinished = place.with_name(f".{os.urandom(8).hex()}.new")
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
        (_put if fresh else os.replace)(unfinished, place)
        _clear_away(place.parent)
    except BaseException:
        with suppress(OSError):
            unfinished.unlink()
        raise


def sync_folder(folder: Path) -> None:
    """Make the names in a folder durable, where the system can."""
    with suppress(OSError):  # Windows opens no folder
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def numbered(path: Path) -> Iterator[Path]:
    """This name and, without end, those to take where it is taken: demo.wav, demo-2.wav, demo-3.wav."""
    yield path
    for number in count(2):
        yield path.with_stem(f"{path.stem}-{number}")


def _put(unfinished: Path, place: Path) -> None:
    """Give a file a name that is free, in one step where the file system can."""
    try:
        os.link(unfinished, place)
    except FileExistsError:
        raise
    except (OSError, AttributeError):  # it knows no second name for a file
        if os.path.lexists(place):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), os.fspath(place)) from None
        os.replace(unfinished, place)
    else:
        unfinished.unlink()


def _clear_away(folder: Path) -> None:
    """Delete what writers that were killed have left unfinished in a folder; one that may be at work is let be."""
    with suppress(OSError):
        for name in filter(UNFINISHED.fullmatch, os.listdir(folder)):
            left = folder / name
            if left.stat().st_mtime < time.time() - LONGEST_WRITING_S:
                left.unlink()
