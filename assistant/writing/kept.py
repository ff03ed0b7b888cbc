"""What was written, act by act, in a file of its own: each act is durable before it is answered."""

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from errno import ENOSPC
from hashlib import sha256
from io import FileIO
from pathlib import Path

from assistant.alone import Alone, Taken, this_window
from assistant.errors import WritingError, refusal
from assistant.files import numbered, read_whole, sync_folder
from assistant.folders import data, own
from assistant.writing.acts import Act, Doing

FORMAT = 1
MOST_BYTES = 50_000_000
FOLDER = "writing"


class Kept:
    """The acts for one sequence file; open until it is closed."""

    def __init__(self, path: Path, acts: tuple[Act, ...], opened: FileIO) -> None:
        self._path, self.acts, self._opened = path, acts, opened

    def add(self, act: Act) -> None:
        """Keep one more, durably. Raises WritingError where it cannot be."""
        line, before = _line([act.doing.value, act.text]), self._opened.tell()
        try:
            if self._opened.write(line) < len(line):
                raise OSError(ENOSPC, os.strerror(ENOSPC))
            os.fsync(self._opened.fileno())
        except OSError as error:
            with suppress(OSError):
                self._opened.truncate(before)
                self._opened.seek(before)
            raise _refused(self._path, error) from error

    def clear(self) -> None:
        """There is nothing more to keep: the sequence file is written."""
        self.close()
        with suppress(OSError):
            self._path.unlink()

    def close(self) -> None:
        """Let it go."""
        self._opened.close()


@contextmanager
def kept_for(file: Path, fresh: bool = False) -> Iterator[Kept]:
    """What was written for this file before, to go on with; anew where it is to be `fresh`, and then the old is put by.

    Raises WritingError where it cannot be read or written, or another window has it.
    """
    place = file.absolute()
    name = f"{place.stem[:40]}-{sha256(os.fsencode(place)).hexdigest()[:12]}.jsonl"
    try:
        path = own(data() / FOLDER) / name
        held = Alone(path.with_suffix(".lock"), this_window())
        held.take()
    except Taken as taken:
        what = "{file} is being written in another window ({window}); go on there, or close it"
        raise WritingError(what, file=file, window=taken.window) from None
    except OSError as error:
        raise _refused(data() / FOLDER, error) from error
    try:
        kept = _opened(path, fresh)
        try:
            yield kept
        finally:
            kept.close()
    finally:
        held.give_back()


def _opened(path: Path, fresh: bool) -> Kept:
    try:
        if fresh and path.exists():
            path.rename(next(free for free in numbered(path.with_suffix(".before.jsonl")) if not free.exists()))
        content = read_whole(path, MOST_BYTES) if path.exists() else b""
        whole = content[: content.rfind(b"\n") + 1]  # a line that was cut off was never answered
        acts = _acts(path, whole)
        opened = FileIO(path, "r+" if path.exists() else "x+")
        opened.truncate(len(whole))
        opened.seek(len(whole))
        if not whole:
            opened.write(_line(["heddlecall write", FORMAT]))
        os.fsync(opened.fileno())
        sync_folder(path.parent)
    except OSError as error:
        raise _refused(path, error) from error
    return Kept(path, acts, opened)


def _acts(path: Path, content: bytes) -> tuple[Act, ...]:
    first, *lines = content.split(b"\n")[:-1] or [b""]
    try:
        if first and json.loads(first) != ["heddlecall write", FORMAT]:
            raise ValueError(first)
        acts = [json.loads(line) for line in lines]
        return tuple(Act(Doing(doing), text) for doing, text in acts if isinstance(text, str) or _bad(text))
    except (ValueError, TypeError):
        what = "{file} cannot be read; begin anew with --fresh, which puts it by"
        raise WritingError(what, file=path) from None


def _bad(text: object) -> bool:
    raise ValueError(text)


def _line(entry: list[object]) -> bytes:
    return json.dumps(entry, ensure_ascii=True).encode() + b"\n"


def _refused(path: Path, error: OSError) -> WritingError:
    return WritingError("{file}: cannot be written ({why}); what was read back is kept", file=path, why=refusal(error))
