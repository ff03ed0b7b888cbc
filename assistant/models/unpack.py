"""A model out of a zip, which may come from anywhere."""

from pathlib import Path, PurePosixPath
from shutil import copyfileobj, rmtree
from zipfile import ZipInfo

from assistant.errors import ModelError
from assistant.models.catalogue import megabytes
from assistant.senses.ear.opening import is_model
from assistant.zips import UNREADABLE, can_be_read, is_plain, opened

MOST_FILES = 1000
LARGEST = 2_000_000_000  # bytes, of all files together
MOST_TIMES = 20  # the size of the zip, of all files together: what models hold packs to a third at best

# What cannot be read, and a name that is there already.
_BROKEN = (*UNREADABLE, FileExistsError, NotADirectoryError)


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
        with opened(file) as (packed, size):
            _check(file, size, packed.infolist())
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
        if not can_be_read(member):
            raise ModelError("{file} is encrypted, or packed in a way that is not read here", file=file)
        if not _stays_inside(member.filename):
            raise ModelError(
                "{file} would write outside its folder, at {member!r}; nothing was unpacked",
                file=file,
                member=member.filename,
            )
        if not is_plain(member):
            raise ModelError(
                "{file} holds a link or a device, {member!r}; nothing was unpacked",
                file=file,
                member=member.filename,
            )


def _stays_inside(name: str) -> bool:
    """On any system: Windows reads a backslash as a slash, and a colon as a drive or a hidden stream."""
    path = PurePosixPath(name)
    return bool(path.parts) and not path.is_absolute() and ".." not in path.parts and not set(name) & set("\\:")
