"""A warp is known by what is in it: the records of one that was begun in a file elsewhere, or of another name."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import get_args

from assistant.errors import SequenceError
from assistant.session.journal import Record, Records, lies_at
from assistant.warp.examples import examples
from assistant.warp.model import CallFrom, Warp
from assistant.warp.sequence import dump, load


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Records of the same warp, begun in another file."""

    file: str
    records: tuple[Record, ...]  # one for each job, and older ones, the latest begun first
    there: bool  # the file still is, and holds this warp, so that there may be two of it


def elsewhere(journal: Records, file: Path, warp: Warp) -> Elsewhere | None:
    """Where the records of a warp were begun that has none in this file; None where it has some, or nowhere any.

    Of several files the one in which something happened last; one that is no longer there, or holds another warp by
    now, before one that does.
    """
    if journal.knows(file):
        return None
    froms = (None, *get_args(CallFrom))  # wherever it was called from
    sequences = {dump(replace(warp, call_from=each)) for each in froms}
    same = [record for record in journal.records() if record.sequence in sequences]
    found = [
        Elsewhere(name, tuple(record for record in same if record.file == name), _holds(name, file, warp))
        for name in dict.fromkeys(record.file for record in same)
    ]
    last = {each.file: journal.last(each.records) for each in found}
    return min(found, key=lambda each: (each.there, -last[each.file]), default=None)


def known_as(journal: Records, file: Path) -> Path:
    """The file by which the journal knows what is in this one, where that was moved or renamed; else the same."""
    try:
        found = elsewhere(journal, file, load(file))
    except SequenceError:
        return file
    return Path(found.file) if found and not found.there else file


def _holds(name: str, file: Path, warp: Warp) -> bool:
    """Whether a file still holds this warp; an example that came with another installation is the same example."""
    if _is_example(file) and Path(name).parts[-2:] == Path(lies_at(file)).parts[-2:]:
        return False
    try:
        return Path(name).exists() and load(Path(name)) == warp
    except SequenceError:
        return False


def _is_example(file: Path) -> bool:
    return lies_at(file) in map(lies_at, examples().values())
