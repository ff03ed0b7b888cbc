"""Journals as every earlier format version wrote them, made by its own code: they open, replay and go on.

journals/make.py says how they were made, and journals/journal-N.json where the code of that time stood.
"""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from assistant.session.database import VERSION
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal, Record
from assistant.session.machine import Session
from assistant.session.resume import replayed
from assistant.session.view import ModeName
from assistant.warp.passes import PASSES

SAMPLES = Path(__file__).parent / "journals"
VERSIONS = range(1, 8)

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
            session = Session(record.warp, PASSES[record.job])
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
