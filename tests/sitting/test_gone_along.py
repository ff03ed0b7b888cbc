"""A warp is known by what is in it: its record goes along, wherever its file goes, and with no other warp."""

import random
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from assistant.errors import JournalError, WarpChanged
from assistant.meaning import Tell
from assistant.session.elsewhere import known_as
from assistant.session.events import Event, Kind
from assistant.session.history import asked_for, history
from assistant.session.journal import Journal, Record, lies_at
from assistant.session.resume import Resumption
from assistant.sitting.prepare import prepared
from assistant.warp import examples
from assistant.warp.passes import SLEY, THREAD, Pass
from assistant.warp.sequence import dump, load

WARP = """
title: {title}
shafts: 4
sley: [2]
sett: 20
reed: 10
groups:
  - {{name: edge, thread: 1 2 1 2}}
  - {{name: rose, thread: 9(1 2 3 4)}}
"""


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    with Journal(tmp_path / "data" / "journal.sqlite3") as journal:
        yield journal


def written(file: Path, title: str = "Runner") -> Path:
    file.parent.mkdir(exist_ok=True)
    file.write_text(WARP.format(title=title))
    return file


def sat(journal: Journal, file: Path, steps: int = 0, job: Pass[Any] = THREAD, **how: Any) -> tuple[Record, int]:
    """A sitting of so many steps: its record, and how much was counted when it began."""
    resumption = Resumption(fresh=how.pop("fresh", False), same_warp=how.pop("same_warp", False))
    with prepared(journal, file, job, resumption, **how) as (record, session):
        done, keep = session.done, journal.keep(record)
        for event in [Event(Kind.SIT_DOWN, 1.0), *[Event(Kind.NEXT, 2.0)] * steps]:
            keep(event)
    return record, done


def test_a_file_that_was_moved_takes_its_records_along(journal: Journal, tmp_path: Path) -> None:
    file = written(tmp_path / "runner.yaml")
    threaded, sleyed = sat(journal, file, 3)[0], sat(journal, file, 1, SLEY)[0]
    moved = file.rename(tmp_path / "towel.yaml")
    assert known_as(journal, moved) == file
    told: list[Tell] = []
    record, done = sat(journal, moved, warn=told.append)
    assert (record.id, done, record.file) == (threaded.id, 8, lies_at(moved))
    assert [(each.phrase, each.places["other"], each.places["done"]) for each in told] == [
        ("record goes along", lies_at(file), 8)
    ]
    assert journal.under_way(moved, SLEY.name) == Record(**{**vars_of(sleyed), "file": lies_at(moved)})
    assert asked_for(journal, str(moved)) == moved


def vars_of(record: Record) -> dict[str, Any]:
    return {name: getattr(record, name) for name in Record.__slots__}


def test_of_a_copy_it_is_asked_whether_it_is_the_same_warp(journal: Journal, tmp_path: Path) -> None:
    file = written(tmp_path / "runner.yaml")
    first = sat(journal, file, 3)[0]
    copy = Path(shutil.copy(file, tmp_path / "copy.yaml"))
    with pytest.raises(WarpChanged, match="--same-warp"):
        sat(journal, copy)
    assert journal.records(copy) == []
    asked: list[Tell] = []

    def no(question: Tell) -> bool:
        asked.append(question)
        return False

    other, done = sat(journal, copy, agrees=no)
    assert (done, other.id != first.id) == (0, True)
    assert (asked[0].phrase, asked[0].places["done"]) == ("same warp?", 8)
    third = Path(shutil.copy(file, tmp_path / "third.yaml"))
    record, done = sat(journal, third, agrees=lambda _: True)
    assert (record.id, done) in {(first.id, 8), (other.id, 0)}


def test_by_an_option_a_copy_goes_on(journal: Journal, tmp_path: Path) -> None:
    file = written(tmp_path / "runner.yaml")
    first = sat(journal, file, 3)[0]
    copy = Path(shutil.copy(file, tmp_path / "copy.yaml"))
    record, done = sat(journal, copy, same_warp=True)
    assert (record.id, done) == (first.id, 8)


def test_a_name_that_another_warp_has_now_keeps_nothing_of_the_first(journal: Journal, tmp_path: Path) -> None:
    file = written(tmp_path / "runner.yaml")
    first = sat(journal, file, 3)[0]
    moved = file.rename(tmp_path / "moved.yaml")
    written(file, "Another")
    record, done = sat(journal, moved)
    assert (record.id, done) == (first.id, 8)
    assert sat(journal, file)[1] == 0


def test_an_example_of_another_installation_is_the_same(
    journal: Journal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    places = [tmp_path / place / "sequences" for place in ("one", "other")]
    for place in places:
        place.mkdir(parents=True)
        written(place / "first.yaml")
    monkeypatch.setattr(examples, "_PLACES", places[:1])
    first = sat(journal, examples.find("first"), 3)[0]
    monkeypatch.setattr(examples, "_PLACES", places[1:])
    record, done = sat(journal, examples.find("first"))
    assert (record.id, done) == (first.id, 8)


def test_a_window_that_is_at_it_is_left_in_peace(journal: Journal, tmp_path: Path) -> None:
    file = written(tmp_path / "runner.yaml")
    sat(journal, file, 3)
    copy = Path(shutil.copy(file, tmp_path / "copy.yaml"))
    with Journal(journal.path) as other, prepared(other, file, THREAD, Resumption()):
        with pytest.raises(JournalError, match="another window"):
            sat(journal, copy, same_warp=True)
        assert journal.records(copy) == []


MOVES = 1000


def test_wherever_files_go_no_record_is_lost_and_none_is_taken_for_anothers(journal: Journal, tmp_path: Path) -> None:
    """Files are moved, copied, edited, written over and taken away at random; what was counted is kept beside."""
    chance = random.Random(22)
    counted: dict[int, int] = {}  # by the number of the record, steps given
    titles = [f"warp {number}" for number in range(12)]
    names = [tmp_path / "files" / f"{number}.yaml" for number in range(20)]
    written(names[0], titles[0])
    for _ in range(MOVES):
        there = [name for name in names if name.exists()]
        file, other = chance.choice(there), chance.choice(names)
        match chance.choice(("move", "copy", "edit", "write", "delete", *["sit"] * 4)):
            case "move":
                file.replace(other)
            case "copy" if other != file:
                shutil.copy(file, other)
            case "edit" | "write":
                written(file if chance.random() < 0.5 else other, chance.choice(titles))
            case "delete" if len(there) > 1:
                file.unlink()
            case "sit":
                warp, same = load(file), chance.random() < 0.5
                try:
                    record, _ = sat(journal, file, 1, agrees=lambda _, same=same: same)
                except WarpChanged:  # the file was edited under a record of its own
                    record, _ = sat(journal, file, 1, fresh=True)
                assert (record.sequence, record.file) == (dump(warp), lies_at(file))
                counted[record.id] = counted.get(record.id, 0) + 1
    kept = {record.id: record for record in journal.records()}
    assert kept.keys() == counted.keys()
    for number, record in kept.items():
        assert sum(event.kind is Kind.SIT_DOWN for event in journal.events(record)) == counted[number]
        assert history(journal, record).total == load(written(tmp_path / "plain.yaml")).ends


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such names")
def test_a_name_that_is_no_text_goes_along_too(journal: Journal, tmp_path: Path) -> None:
    file = written(tmp_path / "runner.yaml")
    first = sat(journal, file, 2)[0]
    moved = file.rename(tmp_path / "r\udcffnner.yaml")
    assert sat(journal, moved)[0].id == first.id
