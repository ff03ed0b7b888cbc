"""A model out of a zip, which may come from anywhere."""

import io
import os
import stat
import struct
import zlib
from pathlib import Path, PurePosixPath
from shutil import copyfileobj, rmtree
from typing import BinaryIO
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from assistant.errors import ModelError
from assistant.files import open_plain
from assistant.models.catalogue import megabytes
from assistant.senses.ear.opening import is_model

MOST_FILES = 1000
LARGEST = 2_000_000_000  # bytes, of all files together
MOST_TIMES = 20  # the size of the zip, of all files together: what models hold packs to a third at best
AT_ONCE = 2_000_000  # bytes that are read of a zip: its directory, of which all is read, is shorter by far
ENCRYPTED = 0x1  # the flag bit: APPNOTE.TXT 4.4.4, of PKWARE, who keep the format

# What zipfile raises for what it cannot read, and what a name raises that is there already.
_UNREADABLE = (BadZipFile, zlib.error, struct.error, EOFError, ValueError, NotImplementedError)
_BROKEN = (*_UNREADABLE, FileExistsError, NotADirectoryError)


def unpack(file: Path, target: Path) -> None:
    """Make the one model in a zip the folder `target`, whole or not at all. Raises ModelError, OSError."""
    work = target.with_name(".unpacking")  # holds no language's code, so that it is never taken for a model
    rmtree(work, ignore_errors=True)
    try:
        _extract(file, work)
        found = [folder for folder in (work, *work.rglob("*")) if is_model(folder)]
        if len(found) != 1:
            raise ModelError("{file} holds no vosk model, or more than one; nothing was unpacked", file=file)
        found[0].rename(target)
    finally:
        rmtree(work, ignore_errors=True)


def _extract(file: Path, into: Path) -> None:
    try:
        with open_plain(file) as opened, ZipFile(_Piecewise(opened)) as packed:
            _check(file, os.fstat(opened.fileno()).st_size, packed.infolist())
            for member in packed.infolist():
                path = into / member.filename
                if member.is_dir():
                    path.mkdir(parents=True, exist_ok=True)
                    continue
                path.parent.mkdir(parents=True, exist_ok=True)
                with packed.open(member) as source, path.open("xb") as out:  # reads no further than the size it tells
                    copyfileobj(source, out)
    except _BROKEN as error:
        raise ModelError("{file} is no zip file, or a broken one; nothing was unpacked", file=file) from error


class _Piecewise(io.BufferedReader):
    """A file of which nobody reads more than AT_ONCE, whatever length he was told."""

    def __init__(self, opened: BinaryIO):
        super().__init__(io.FileIO(opened.fileno(), closefd=False))

    def read(self, size: int | None = -1, /) -> bytes:
        """Raises BadZipFile where more is there."""
        content = super().read(AT_ONCE + 1 if size is None or size < 0 else min(size, AT_ONCE + 1))
        if len(content) > AT_ONCE:
            raise BadZipFile
        return content


def _check(file: Path, packed: int, members: list[ZipInfo]) -> None:
    """Raises ModelError before a byte is written."""
    if len(members) > MOST_FILES:
        raise ModelError(
            "{file} holds {count} files, more than the {most} that are allowed",
            file=file,
            count=len(members),
            most=MOST_FILES,
        )
    size = sum(member.file_size for member in members)
    if size > LARGEST:
        raise ModelError(
            "{file} would unpack to {size}, more than the {most} allowed",
            file=file,
            size=megabytes(size),
            most=megabytes(LARGEST),
        )
    if size > MOST_TIMES * packed:
        raise ModelError(
            "{file} would unpack to {size}, more than {most} times its own size; nothing was unpacked",
            file=file,
            size=megabytes(size),
            most=MOST_TIMES,
        )
    for member in members:
        if not 0 <= member.header_offset < packed:
            raise BadZipFile
        if member.flag_bits & ENCRYPTED or member.compress_type not in (ZIP_STORED, ZIP_DEFLATED):
            raise ModelError("{file} is encrypted, or packed in a way that is not read here", file=file)
        if not _stays_inside(member.filename):
            raise ModelError(
                "{file} would write outside its folder, at {member!r}; nothing was unpacked",
                file=file,
                member=member.filename,
            )
        if stat.S_IFMT(member.external_attr >> 16) not in (0, stat.S_IFREG, stat.S_IFDIR):
            raise ModelError(
                "{file} holds a link or a device, {member!r}; nothing was unpacked",
                file=file,
                member=member.filename,
            )


def _stays_inside(name: str) -> bool:
    """On any system: Windows reads a backslash as a slash, and a colon as a drive or a hidden stream."""
    path = PurePosixPath(name)
    return bool(path.parts) and not path.is_absolute() and ".." not in path.parts and not set(name) & set("\\:")
