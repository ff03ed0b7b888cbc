"""A warp as one file, to be taken to another computer: its sequence, the records of all its jobs, and taught words.

The file is a zip. PARTS says what it holds; `manifest.json` tells which version of this layout it has, what the
sequence file is called, and whose taught words come along. Nothing in it is believed: it may come from anywhere.
"""

import json
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from itertools import product
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from assistant.drafting import SEQUENCE as SEQUENCE_FILE
from assistant.errors import JournalError, PackError, TaughtError, refusal
from assistant.files import read_whole
from assistant.meaning import Tell
from assistant.outfile import FileKind, Outfile
from assistant.senses.ear.taught import MOST_BYTES as MOST_TAUGHT
from assistant.senses.ear.taught import is_taught, kept_in, put
from assistant.session.arriving import arriving, lies_here
from assistant.session.database import VERSION
from assistant.session.journal import Journal, Record, Records, lies_at
from assistant.session.resume import replayed
from assistant.warp.sequence import loads
from assistant.warp.source import MOST_BYTES
from assistant.zips import UNREADABLE, can_be_read, is_plain, opened

LAYOUT = 1
MANIFEST, SEQUENCE, RECORDS, TAUGHT = "manifest.json", "sequence.yaml", "records.sqlite3", "taught/"
WHAT = "a warp packed by heddlecall"
PACKED = FileKind(Tell(WHAT), lambda data: data[30:].startswith(MANIFEST.encode()) and WHAT.encode() in data)
MOST = {MANIFEST: 100_000, SEQUENCE: MOST_BYTES, RECORDS: 100_000_000, TAUGHT: MOST_TAUGHT}  # bytes of each
MOST_OF_ALL = 150_000_000  # bytes, unpacked
MOST_WEAVERS = 20
MOST_FILE_NAME = 200  # bytes
DAMAGED = "{file} is no packed warp, or a damaged one; nothing was changed"
FORBIDDEN = set('<>:"/\\|?*')  # in a file's name, in Windows


@dataclass(frozen=True, slots=True)
class Packed:
    """What such a file holds."""

    name: str  # of the sequence file
    sequence: bytes
    records: bytes
    taught: Mapping[str, bytes]  # by weaver


def pack(packed: Packed, title: str) -> bytes:
    """The file."""
    versions = {"layout": LAYOUT, "journal": VERSION}
    manifest = {"what": WHAT, **versions, "file": packed.name, "title": title, "taught": [*packed.taught]}
    into = BytesIO()
    with ZipFile(into, "w") as out:
        out.writestr(ZipInfo(MANIFEST), json.dumps(manifest, indent=1))  # not compressed: by it the file is known
        for name, content in (
            (SEQUENCE, packed.sequence),
            (RECORDS, packed.records),
            *((f"{TAUGHT}{weaver}.npz", content) for weaver, content in packed.taught.items()),
        ):
            out.writestr(ZipInfo(name), content, ZIP_DEFLATED)
    return into.getvalue()


def gathered(records: Records, file: Path, now: Path, weavers: Iterable[str]) -> tuple[Packed, list[Record]]:
    """What is kept of the warp that the records know by this file, and which records; `now` is where it lies.

    Where the file is gone the sequence is that of the record begun last. Raises SequenceError, TaughtError, PackError.
    """
    kept = records.records(file)
    sequence = _sequence(now, kept)
    loads(sequence, str(now))
    taught = {weaver: _taught(weaver) for weaver in weavers}
    called = _harmless(now.name)
    return Packed(called, sequence, records.excerpt(kept, called), taught), kept


def _sequence(file: Path, kept: Sequence[Record]) -> bytes:
    try:
        return read_whole(file, MOST_BYTES)
    except OSError as error:
        if kept and not file.exists():
            return kept[0].sequence.encode()
        raise PackError("{file} cannot be read: {why}", file=file, why=refusal(error)) from error


def _taught(weaver: str) -> bytes:
    file = kept_in(weaver)
    try:
        return read_whole(file, MOST_TAUGHT)
    except FileNotFoundError:
        raise TaughtError("{weaver} has taught nothing; there is nothing to pack", weaver=weaver) from None
    except OSError as error:
        raise PackError("{file} cannot be read: {why}", file=file, why=refusal(error)) from error


def _harmless(name: str) -> str:
    """A name that a file can have in any system."""
    plain = "".join(sign if sign.isprintable() and sign not in FORBIDDEN else "_" for sign in name)
    while len(plain.encode()) > MOST_FILE_NAME:
        plain = plain[1:]
    return plain if _can_be_a_name(plain) else f"_{plain.strip(' .')}"


def _can_be_a_name(name: object) -> bool:
    if not isinstance(name, str) or not name.isprintable() or FORBIDDEN & set(name):
        return False
    return 0 < len(name.encode()) <= MOST_FILE_NAME and name == name.strip(" ").rstrip(".") and name[0] != "."


def read_packed(file: Path) -> Packed:
    """What is in a packed warp. Raises PackError for any other file, or a damaged one."""
    damaged = PackError(DAMAGED, file=file)
    try:
        with opened(file) as (packed, _):
            members = {member.filename: member for member in packed.infolist()}
            if len(members) != len(packed.infolist()) or len(members) > len(MOST) + MOST_WEAVERS:
                raise damaged
            if sum(member.file_size for member in members.values()) > MOST_OF_ALL:
                raise damaged
            content = {name: packed.read(member) for name, member in members.items() if _is_ours(name, member)}
    except OSError as error:
        raise PackError("{file} cannot be read: {why}", file=file, why=refusal(error)) from error
    except UNREADABLE:
        raise damaged from None
    if content.keys() != members.keys():
        raise damaged
    try:
        manifest = json.loads(content.pop(MANIFEST))
        layout, name, whose = manifest["layout"], manifest["file"], manifest["taught"]
        if layout > LAYOUT or manifest["journal"] > VERSION:
            raise PackError("{file}: packed by a newer heddlecall; install that one to unpack it", file=file)
        taught = {weaver: content.pop(f"{TAUGHT}{weaver}.npz") for weaver in whose}
        found = Packed(name, content.pop(SEQUENCE), content.pop(RECORDS), taught)
    except (ValueError, KeyError, TypeError, RecursionError):
        raise damaged from None
    if content or not _can_be_a_name(name):
        raise damaged
    return found


def _is_ours(name: str, member: ZipInfo) -> bool:
    most = MOST[TAUGHT] if name.startswith(TAUGHT) else MOST.get(name, -1)
    return member.file_size <= most and can_be_read(member) and is_plain(member)


@dataclass(frozen=True, slots=True)
class TakenUp:
    """What came of it."""

    file: Path  # the sequence file
    title: str
    records: tuple[Record, ...]
    taught: tuple[str, ...]


def take_up(journal: Journal, file: Path, folder: Path) -> TakenUp:
    """Put what is in a packed warp in its place here, all of it or nothing, so that each job goes on where it was.

    Raises PackError, JournalError, SequenceError or TaughtError where that cannot be, or would undo what is here.
    """
    packed = read_packed(file)
    warp = loads(packed.sequence, f"{file}: {packed.name}")
    folder = Path(lies_at(folder))
    if not folder.is_dir():
        raise PackError("there is no folder {folder}; make it first, or name another", folder=folder)
    with _records(packed, file) as records:
        place = folder / packed.name
        lying = lies_here(journal, records)
        if lying and os.path.exists(lying) and (_holds(Path(lying), packed.sequence) or Path(lying).parent == folder):
            place = Path(lying)
        files = {lies_at(place), lying or lies_at(place)}
        jobs = {record.job for record in records.records()}
        with journal.left_alone(product(sorted(files), sorted(jobs))):
            coming = arriving(journal, records, place)
            for each in coming:
                replayed(records, each.record)
            writings = [*_taught_words(packed.taught), *_written(place, packed.sequence)]
            _all_or_none(writings, lambda: journal.take_up(coming, place))
    return TakenUp(place, warp.title, tuple(each.record for each in coming), tuple(packed.taught))


def _records(packed: Packed, file: Path) -> Records:
    try:
        return Records.given(packed.records, file)
    except JournalError as error:
        raise PackError(DAMAGED, file=file) from error


def _holds(file: Path, content: bytes) -> bool:
    with suppress(OSError):
        return read_whole(file, MOST_BYTES) == content
    return False


Writing = tuple[Path, Callable[[], object]]  # a file that is not there yet, and what writes it


def _written(place: Path, sequence: bytes) -> list[Writing]:
    if not os.path.lexists(place):
        return [(place, partial(Outfile(place, SEQUENCE_FILE).write, sequence))]
    if _holds(place, sequence):
        return []
    raise PackError(
        "{file} is there already and differs from what was packed; move it away, or unpack into another folder",
        file=place,
    )


def _taught_words(taught: Mapping[str, bytes]) -> list[Writing]:
    writings: list[Writing] = []
    for weaver, content in taught.items():
        file = kept_in(weaver)
        if not is_taught(content):
            raise PackError("what {weaver} taught is damaged in what was packed; nothing was changed", weaver=weaver)
        try:
            if read_whole(file, MOST_TAUGHT) == content:
                continue
        except FileNotFoundError:
            writings.append((file, partial(put, weaver, content)))
            continue
        except OSError as error:
            raise PackError("{file} cannot be read: {why}", file=file, why=refusal(error)) from error
        raise PackError(
            "{weaver} has taught other words here; nothing was changed: "
            "heddlecall teach --weaver NAME --forget deletes those here",
            weaver=weaver,
        )
    return writings


def _all_or_none(writings: Sequence[Writing], last: Callable[[], None]) -> None:
    """Write them, and do what comes last; where anything fails, none of them is left."""
    done: list[Path] = []
    try:
        for file, write in writings:
            write()
            done.append(file)
        last()
    except BaseException as error:
        for file in done:
            with suppress(OSError):
                file.unlink()
        if isinstance(error, OSError):
            raise PackError("what was taught cannot be written: {why}", why=refusal(error)) from error
        raise
