"""A zip that may come from anywhere: opened, and what it holds looked at, before anything of it is believed."""

import io
import os
import stat
import struct
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from assistant.files import open_plain

AT_ONCE = 2_000_000  # bytes that are read of a zip: its directory, of which all is read, is shorter by far
ENCRYPTED = 0x1  # the flag bit: APPNOTE.TXT 4.4.4, of PKWARE, who keep the format

# What zipfile raises for what it cannot read.
UNREADABLE = (BadZipFile, zlib.error, struct.error, EOFError, ValueError, NotImplementedError)


@contextmanager
def opened(file: Path) -> Iterator[tuple[ZipFile, int]]:
    """The zip, and its bytes. Raises OSError, and what is UNREADABLE, also while it is read."""
    with open_plain(file) as content, ZipFile(_Piecewise(content)) as packed:
        size = os.fstat(content.fileno()).st_size
        if any(not 0 <= member.header_offset < size for member in packed.infolist()):
            raise BadZipFile
        yield packed, size


def can_be_read(member: ZipInfo) -> bool:
    """It is not encrypted, and packed in a way that is read here."""
    return not member.flag_bits & ENCRYPTED and member.compress_type in (ZIP_STORED, ZIP_DEFLATED)


def is_plain(member: ZipInfo) -> bool:
    """It is a file or a folder, no link and no device."""
    return stat.S_IFMT(member.external_attr >> 16) in (0, stat.S_IFREG, stat.S_IFDIR)


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
