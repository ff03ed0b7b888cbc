"""A file that a weaver named to be written: nothing is written over unasked, and never what is of another kind."""

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Self

from assistant.errors import OutfileError, refusal
from assistant.files import not_plain, numbered, open_plain, write_whole
from assistant.meaning import Tell

BEGINNING = 1 << 16  # bytes by which a file is known to be of its kind


@dataclass(frozen=True, slots=True)
class FileKind:
    """A kind of file by what one holds, not by its name: `known` is given at most the first BEGINNING bytes."""

    name: Tell
    known: Callable[[bytes], bool]


@dataclass(frozen=True, slots=True)
class Outfile:
    """A name that is free, or with `replace` that of a file of this kind, or of an empty one.

    Raises OutfileError where it is neither; so, at once, what could not be written is not worked out either.
    """

    path: Path
    kind: FileKind
    replace: bool = False

    def __post_init__(self) -> None:
        try:
            self._check()
        except OSError as error:
            raise self._refused(error) from error

    @classmethod
    def free(cls, path: Path, kind: FileKind) -> Self:
        """This name or, where that is taken, the next that is free: demo.wav, demo-2.wav."""
        return cls(next(name for name in numbered(path) if not os.path.lexists(name)), kind)

    def write(self, content: bytes) -> None:
        """Write it whole, or not at all. Raises OutfileError, also where the name was taken meanwhile."""
        try:
            self._check()
            write_whole(self.path, content, fresh=not self.replace)
        except FileExistsError:
            raise self._taken() from None
        except OSError as error:
            raise self._refused(error) from error

    def _check(self) -> None:
        if self.path.is_dir():
            raise OutfileError("{file} is a folder; name a file in it", file=self.path)
        if self.path.exists() and not self.path.is_file():
            raise not_plain(self.path)
        if not self._is_there():
            if not self.path.parent.is_dir():
                what = "there is no folder {folder}; make it first, or name a file in another"
                raise OutfileError(what, folder=self.path.parent)
            if not os.access(self.path.parent, os.W_OK | os.X_OK):
                raise PermissionError(13, os.strerror(13))
        elif not self.replace:
            raise self._taken()
        else:
            self._check_kind()

    def _is_there(self) -> bool:
        """Whether anything has the name, be it a link to nothing."""
        try:
            self.path.lstat()
        except FileNotFoundError:
            return False
        return True

    def _check_kind(self) -> None:
        with open_plain(self.path) as opened:
            beginning = opened.read(BEGINNING)
        if beginning and not self.kind.known(beginning):
            what = "{file} is there already and is not {kind}; choose another name"
            raise OutfileError(what, file=self.path, kind=self.kind.name)

    def _taken(self) -> OutfileError:
        what = "{file} is there already; choose another name, or write over it with --replace"
        return OutfileError(what, file=self.path)

    def _refused(self, error: OSError) -> OutfileError:
        return OutfileError(
            "{file}: cannot be written ({why}); choose another place",
            file=self.path,
            why=refusal(error),
        )
