"""Journals as every earlier format version wrote them, made by its own code: they open, replay and go on.

journals/make.py says how they were made, and journals/journal-N.json where the code of that time stood.
"""

import errno
import json
import os
import shutil
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from assistant.errors import JournalError
from assistant.session import database
from assistant.session.database import VERSION
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal, Record, Records
from assistant.session.machine import Session
from assistant.session.resume import replayed
from assistant.session.view import ModeName
from assistant.warp.passes import PASSES

SAMPLES = Path(__file__).parent / "journals"
VERSIONS = range(1, 11)

Stood = dict[str, Any]
Kept = tuple[Path, list[Stood], int]


@pytest.fixture(params=VERSIONS)
def kept(request: pytest.FixtureRequest, tmp_path: Path) -> Kept:
    """A copy of the journal of a version, where each of its records stood, in the order they were begun, and which."""
    name = f"journal-{request.param}"
    path = tmp_path / "journal.sqlite3"
    shutil.copyfile(SAMPLES / f"{name}.sqlite3", path)
    return path, json.loads((SAMPLES / f"{name}.json").read_text(encoding="utf-8")), request.param


def in_order(journal: Journal) -> list[Record]:
    return journal.records()[::-1]


def counted(session: Session, group: int) -> int:
    """As it was counted up to version 6: what was left over on top of what a group has, and settled as it was."""
    progress = session.place.groups[group]
    return session.place.course.sizes[group] + progress.over if progress.over else progress.counted


def stands(session: Session, version: int) -> str:
    """As make.py writes it, in the words of that time."""
    here = session.group
    mode = "finished" if session.mode is ModeName.COMPLETE else session.mode.value
    many = counted(session, session.place.group) if version <= 6 else here.counted
    return f"{mode}, {here.name}, {many}, {here.state.value}"


def groups(session: Session, version: int) -> list[dict[str, object]]:
    """As JSON had them then."""
    if version > 6:
        return [line.as_json() for line in session.summary()]
    return [
        {"name": line.name, "expected": line.expected, "counted": counted(session, n), "state": line.state.value}
        for n, line in enumerate(session.summary())
    ]


def test_a_sample_is_of_its_version() -> None:
    for version in VERSIONS:
        header = (SAMPLES / f"journal-{version}.sqlite3").read_bytes()[:100]
        assert int.from_bytes(header[60:64]) == version
    assert max(VERSIONS) <= VERSION


def test_every_event_moves_the_session_as_it_did_then(kept: Kept) -> None:
    path, then, version = kept
    with Journal(path) as journal:
        for record, stood in zip(in_order(journal), then, strict=True):
            assert (record.file, record.job) == (stood["file"], stood["job"])
            session = Session(record.warp_begun, PASSES[record.job])
            trail = []
            for event in journal.events(record):
                session.handle(event)
                trail.append(stands(session, version))
            assert trail == stood["trail"], record.file


def test_a_record_is_taken_up_where_it_was_left(kept: Kept) -> None:
    path, then, version = kept
    with Journal(path) as journal:
        for record, stood in zip(in_order(journal), then, strict=True):
            session = replayed(journal, record)
            view = session.view()
            assert groups(session, version) == stood["groups"], record.file
            assert view.group_number == stood["group_number"], record.file
            assert view.done == sum(line.counted for line in view.summary) <= view.total, record.file
            assert (view.first, view.calling) == (stood["first"], stood["calling"]), record.file
            assert view.largest == stood["largest"], record.file


def test_a_record_goes_on_and_stands_there_when_opened_again(kept: Kept) -> None:
    path, _, _ = kept
    more = [Event(kind, 1.8e9 + n, source="key") for n, kind in enumerate((Kind.SIT_DOWN, Kind.NEXT, Kind.BACK))]
    stood = []
    with Journal(path) as journal:
        for record in in_order(journal):
            session, keep = replayed(journal, record), journal.keep(record)
            for event in more:
                keep(event)
                session.handle(event)
            stood.append(session.view())
    with Journal(path) as journal:
        assert [replayed(journal, record).view() for record in in_order(journal)] == stood
        assert all(journal.events(record)[-3:] == more for record in in_order(journal))


def kept_before(path: Path) -> list[Path]:
    return sorted(path.parent.glob(f"journal-before-{VERSION}*"))


def content(path: Path) -> list[str]:
    with closing(sqlite3.connect(f"{path.as_uri()}?immutable=1", uri=True)) as db:
        return [*db.iterdump(), *map(str, db.execute("PRAGMA user_version"))]


def test_it_is_copied_once_before_it_is_changed(kept: Kept) -> None:
    path, _, _ = kept
    before = content(path)
    for _ in range(2):
        Journal(path).__exit__()
    (copy,) = kept_before(path)
    assert copy.name == f"journal-before-{VERSION}.sqlite3"
    assert content(copy) == before != content(path)
    assert copy.stat().st_mode & 0o077 == 0 or os.name != "posix"


def test_no_copy_is_written_over_and_the_same_one_is_not_made_twice(kept: Kept) -> None:
    path, _, _ = kept
    older, before = path.read_bytes(), content(path)
    path.with_stem(f"journal-before-{VERSION}").write_text("another")
    for _ in range(2):
        Journal(path).__exit__()
        path.write_bytes(older)  # as where the older program was taken up again
    first, second = kept_before(path)
    assert {first.name, second.name} == {f"journal-before-{VERSION}{more}.sqlite3" for more in ("", "-2")}
    assert path.with_stem(f"journal-before-{VERSION}").read_text() == "another"
    assert content(path.with_stem(f"journal-before-{VERSION}-2")) == before


def test_where_no_copy_can_be_made_nothing_is_changed(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    path, _, version = kept

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(database, "write_whole", full)
    with pytest.raises(JournalError, match="see to the folder's rights and room"):
        Journal(path)
    assert content(path)[-1] == f"({version},)"


def test_to_read_changes_nothing_and_copies_nothing(kept: Kept) -> None:
    path, _, _ = kept
    before = path.read_bytes()
    with Records.read(path) as records:
        assert records.records()
    assert path.read_bytes() == before
    assert [*path.parent.iterdir()] == [path]


def test_two_windows_that_bring_it_up_to_date_leave_one_copy(kept: Kept) -> None:
    path, _, _ = kept
    with ThreadPoolExecutor() as both:
        for opened in [both.submit(Journal, path) for _ in range(2)]:
            opened.result().__exit__()
    assert len(kept_before(path)) == 1
