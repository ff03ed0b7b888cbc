"""What was written, move by move, in a file of its own: each move is durable before it is answered."""

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
from assistant.files import PRIVATE, numbered, read_whole, sync_folder
from assistant.folders import data, own
from assistant.writing.moves import Move, MoveKind

FORMAT = 1
MOST_BYTES = 50_000_000
FOLDER = "writing"


class KeptMoves:
    """The moves for one sequence file; open until it is closed."""

    def __init__(self, path: Path, moves: tuple[Move, ...], opened: FileIO) -> None:
        self._path, self.moves, self._opened = path, moves, opened

    def add(self, move: Move) -> None:
        """Keep one more, durably. Raises WritingError where it cannot be."""
        line, before = _line([move.kind.value, move.text]), self._opened.tell()
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
def kept_for(file: Path, fresh: bool = False) -> Iterator[KeptMoves]:
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


def _opened(path: Path, fresh: bool) -> KeptMoves:
    try:
        if fresh and path.exists():
            path.rename(next(free for free in numbered(path.with_suffix(".before.jsonl")) if not free.exists()))
        content = read_whole(path, MOST_BYTES) if path.exists() else b""
        whole = content[: content.rfind(b"\n") + 1]  # a line that was cut off was never answered
        moves = _moves(path, whole)
        opened = FileIO(path, "r+" if path.exists() else "x+", opener=lambda name, how: os.open(name, how, PRIVATE))
        opened.truncate(len(whole))
        opened.seek(len(whole))
        if not whole:
            opened.write(_line(["heddlecall write", FORMAT]))
        os.fsync(opened.fileno())
        sync_folder(path.parent)
    except OSError as error:
        raise _refused(path, error) from error
    return KeptMoves(path, moves, opened)


def _moves(path: Path, content: bytes) -> tuple[Move, ...]:
    first, *lines = content.split(b"\n")[:-1] or [b""]
    try:
        if first and json.loads(first) != ["heddlecall write", FORMAT]:
            raise ValueError(first)
        moves = [json.loads(line) for line in lines]
        return tuple(Move(MoveKind(kind), text) for kind, text in moves if isinstance(text, str) or _bad(text))
    except (ValueError, TypeError):
        what = "{file} cannot be read; begin anew with --fresh, which puts it by"
        raise WritingError(what, file=path) from None


def _bad(text: object) -> bool:
    raise ValueError(text)


def _line(entry: list[object]) -> bytes:
    return json.dumps(entry, ensure_ascii=True).encode() + b"\n"


def _refused(path: Path, error: OSError) -> WritingError:
    return WritingError("{file}: cannot be written ({why}); what was read back is kept", file=path, why=refusal(error))
