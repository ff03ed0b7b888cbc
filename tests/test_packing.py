"""A warp goes to another computer and back as one file: nothing is lost on either, whatever that file is."""

import json
import shutil
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

import numpy as np
import pytest

from assistant import cli
from assistant.errors import HeddlecallError, JournalError, PackError
from assistant.packing import RECORDS, SEQUENCE, gathered, pack, read_packed, take_up
from assistant.senses.ear import taught
from assistant.senses.ear.clip import FRAMES
from assistant.senses.ear.embedding import BANDS
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal, Record
from assistant.session.resume import Resumption, replayed
from assistant.sitting.prepare import prepared
from assistant.warp.passes import SLEY, THREAD, Pass

WARP = """\
# as the weaver wrote it
title: Runner
shafts: 4
sley: [2]
sett: 20
reed: 10
groups:
  - {name: edge, thread: 1 2 1 2}
  - {name: rose, thread: 9(1 2 3 4)}
"""


@dataclass
class Computer:
    """Its journal and its files."""

    journal: Journal
    folder: Path

    @property
    def file(self) -> Path:
        return self.folder / "runner.yaml"

    def sits(self, steps: int = 1, job: Pass[Any] = THREAD, fresh: bool = False) -> int:
        """A sitting of so many steps; returns what was done when it began."""
        with prepared(self.journal, self.file, job, Resumption(fresh=fresh)) as (record, session):
            keep = self.journal.keep(record)
            for event in [Event(Kind.SIT_DOWN, 1.0), *[Event(Kind.NEXT, 2.0)] * steps, Event(Kind.LEAVE, 3.0)]:
                keep(event)
        return session.done

    def packs(self) -> Path:
        packed, _ = gathered(self.journal, self.file, self.file, ())
        out = self.folder / "packed.zip"
        out.write_bytes(pack(packed, "Runner"))
        return out

    def unpacks(self, packed: Path) -> Path:
        return take_up(self.journal, packed, self.folder).file

    def everything(self) -> list[tuple[Record, list[Event]]]:
        return [(record, self.journal.events(record)) for record in self.journal.records()]


@pytest.fixture
def computers(tmp_path: Path) -> Iterator[tuple[Computer, Computer]]:
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
    with Journal(tmp_path / "1" / "j.sqlite3") as first, Journal(tmp_path / "2" / "j.sqlite3") as second:
        one, other = Computer(first, tmp_path / "one"), Computer(second, tmp_path / "other")
        one.file.write_text(WARP)
        yield one, other


def test_a_warp_goes_to_another_computer_and_comes_back_further_on(computers: tuple[Computer, Computer]) -> None:
    one, other = computers
    one.sits(3)
    one.sits(1, SLEY)
    one.journal.note(one.journal.records(one.file, THREAD.name)[0], "a knot here", 4.0)
    assert other.unpacks(one.packs()) == other.file
    assert other.file.read_text() == WARP
    (there, here) = (each.journal.under_way(each.file, "thread") for each in (one, other))
    assert there
    assert here
    assert other.journal.events(here) == one.journal.events(there)
    assert replayed(other.journal, here).view() == replayed(one.journal, there).view()
    assert other.sits(2) == 8
    one.unpacks(other.packs())
    assert one.journal.events(there) == other.journal.events(here)
    assert one.sits() == 16
    assert len(one.journal.records()) == 2


def test_the_same_taken_up_twice_changes_nothing(computers: tuple[Computer, Computer]) -> None:
    one, other = computers
    one.sits(2)
    packed = one.packs()
    other.unpacks(packed)
    before = other.everything()
    other.unpacks(packed)
    one.unpacks(packed)
    assert other.everything() == before


def test_older_records_come_too_and_the_one_begun_last_is_gone_on_with(computers: tuple[Computer, Computer]) -> None:
    one, other = computers
    one.sits(1)
    one.sits(3, fresh=True)
    other.unpacks(one.packs())
    assert [len(events) for _, events in other.everything()] == [5, 3]
    assert other.sits() == 8
    older = other.journal.records()[1]
    other.journal._lasting.write("DELETE FROM events WHERE warp = ?", (older.id,))
    other.journal._lasting.write("DELETE FROM warps WHERE id = ?", (older.id,))
    one.unpacks(other.packs())
    assert one.sits() == 12


def refused(computer: Computer, packed: Path, why: str) -> None:
    before, files = computer.everything(), sorted(computer.folder.iterdir())
    with pytest.raises(HeddlecallError, match=why):
        computer.unpacks(packed)
    assert (computer.everything(), sorted(computer.folder.iterdir())) == (before, files)


def test_what_would_be_lost_here_is_refused(computers: tuple[Computer, Computer]) -> None:
    one, other = computers
    one.sits(1)
    packed = one.packs()
    other.unpacks(packed)
    other.sits(1)
    refused(other, packed, "further on than what was packed")
    one.sits(2)
    refused(other, one.packs(), "gone another way")


def test_a_file_of_that_name_that_differs_is_left(computers: tuple[Computer, Computer]) -> None:
    one, other = computers
    one.sits(1)
    other.file.write_text(WARP.replace("9(", "8("))
    refused(other, one.packs(), "is there already and differs")


def test_a_record_of_another_warp_under_that_name_is_not_hidden(computers: tuple[Computer, Computer]) -> None:
    one, other = computers
    one.sits(1)
    shutil.copy(one.file, other.file)
    other.sits(2)
    refused(other, one.packs(), "another warp was begun under this name")


def test_where_the_file_was_renamed_here_it_goes_on_there(computers: tuple[Computer, Computer]) -> None:
    one, other = computers
    one.sits(1)
    other.unpacks(one.packs())
    other.sits(1)
    one.file.rename(renamed := one.folder / "towel.yaml")
    one.journal.carry(one.journal.records(), renamed)
    assert one.unpacks(other.packs()) == renamed
    assert not one.file.exists()


def test_a_file_that_is_gone_is_written_again(computers: tuple[Computer, Computer]) -> None:
    one, other = computers
    one.sits(1)
    other.unpacks(one.packs())
    other.sits(1)
    one.file.unlink()
    assert one.unpacks(other.packs()) == one.file
    assert one.everything() == other_as_here(one, other)


def other_as_here(one: Computer, other: Computer) -> list[tuple[Record, list[Event]]]:
    """What the other computer holds, by the names and numbers of this one."""
    ours = zip(one.journal.records(), other.everything(), strict=True)
    return [(replace(theirs, id=here.id, file=here.file), events) for here, (theirs, events) in ours]


def test_beside_a_sitting_nothing_is_taken_up(computers: tuple[Computer, Computer]) -> None:
    one, other = computers
    one.sits(1)
    other.unpacks(one.packs())
    other.sits(1)
    packed = other.packs()
    with (
        Journal(one.journal.path) as window,
        prepared(window, one.file, THREAD, Resumption()),
        pytest.raises(JournalError, match="another window"),
    ):
        one.unpacks(packed)


def test_where_the_journal_cannot_be_written_no_file_is_left(
    computers: tuple[Computer, Computer], monkeypatch: pytest.MonkeyPatch
) -> None:
    one, other = computers
    one.sits(1)
    monkeypatch.setattr(other.journal, "take_up", lambda *_: (_ for _ in ()).throw(JournalError("full")))
    refused(other, one.packs(), "full")


def hostile(good: bytes) -> Iterator[tuple[str, bytes]]:
    """Files that a weaver may be given in place of a packed warp."""
    yield "nothing", b""
    yield "text", b"title: Runner\n"
    yield "half", good[: len(good) // 2]
    yield "bent", good[:-200] + bytes(200)
    with ZipFile(BytesIO(good)) as zipped:
        parts = {name: zipped.read(name) for name in zipped.namelist()}
    manifest = json.loads(parts["manifest.json"])

    def with_parts(changed: Mapping[str, bytes | None]) -> bytes:
        into = BytesIO()
        with ZipFile(into, "w", ZIP_DEFLATED) as out:
            for name, content in {**parts, **changed}.items():
                if content is not None:
                    out.writestr(ZipInfo(name), content)
        return into.getvalue()

    def claims(**changed: object) -> bytes:
        return with_parts({"manifest.json": json.dumps({**manifest, **changed}).encode()})

    yield "bomb", with_parts({"manifest.json": bytes(50 << 20)})
    yield "larger bomb", with_parts({RECORDS: bytes(120 << 20)})
    for name in ("../out.yaml", "/tmp/out.yaml", "a/b.yaml", "..", "", "c:\\x", "con\x00.yaml", ".bashrc", 3, None):
        yield f"named {name!r}", claims(file=name)
    yield "outside", with_parts({"../../out.yaml": b"x"})
    yield "more", with_parts({"more.yaml": b"x"})
    yield "lacking", with_parts({SEQUENCE: None})
    yield "no list", claims(taught=3)
    yield "words that are not there", claims(taught=["Anna"])
    yield "nested", with_parts({"manifest.json": b"[" * 90_000})
    yield "no sequence", with_parts({SEQUENCE: b"\xff\xfe\x00"})
    yield "no records", with_parts({RECORDS: b"none"})
    yield "empty records", with_parts({RECORDS: b""})
    link = ZipInfo(SEQUENCE)
    link.external_attr = 0o120777 << 16
    into = BytesIO()
    with ZipFile(into, "w", ZIP_STORED) as out:
        for name, content in parts.items():
            out.writestr(link if name == SEQUENCE else ZipInfo(name), content)
    yield "link", into.getvalue()
    for why, statement in (
        ("view", "ALTER TABLE warps RENAME TO w; CREATE VIEW warps AS SELECT * FROM w"),
        ("trigger", "CREATE TRIGGER t AFTER UPDATE ON warps BEGIN DELETE FROM events; END"),
        ("odd event", "UPDATE events SET kind = 'explode'"),
        ("odd job", "UPDATE warps SET job = 'explode'"),
        ("odd sequence", "UPDATE warps SET sequence = '{'"),
        ("a step missing", "DELETE FROM events WHERE step = 1"),
        ("no such table", "DROP TABLE events"),
    ):
        yield why, with_parts({RECORDS: altered(parts[RECORDS], statement)})


def altered(content: bytes, statement: str) -> bytes:
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as db:
        db.deserialize(content)
        db.executescript(statement)
        return db.serialize()


def test_whatever_the_file_is_it_is_one_line_and_nothing_changes(computers: tuple[Computer, Computer]) -> None:
    one, other = computers
    one.sits(2)
    other.file.write_text(WARP)
    file = other.folder / "any.zip"
    for why, content in hostile(one.packs().read_bytes()):
        file.write_bytes(content)
        before, files = other.everything(), sorted(other.folder.iterdir())
        with pytest.raises(HeddlecallError) as refusal:
            other.unpacks(file)
        assert "\n" not in str(refusal.value), why
        assert (other.everything(), sorted(other.folder.iterdir())) == (before, files), why
    assert not (other.folder.parent / "out.yaml").exists()


def test_one_from_a_later_version_says_so(computers: tuple[Computer, Computer]) -> None:
    one, other = computers
    with ZipFile(one.packs()) as zipped:
        parts = {name: zipped.read(name) for name in zipped.namelist()}
    for key in ("layout", "journal"):
        with ZipFile(later := other.folder / "later.zip", "w") as out:
            later_one = json.loads(parts["manifest.json"]) | {key: 99}
            for name, content in (parts | {"manifest.json": json.dumps(later_one).encode()}).items():
                out.writestr(name, content)
        with pytest.raises(PackError, match="packed by a newer heddlecall"):
            read_packed(later)


def lesson(weaver: str, value: float = 0.5) -> bytes:
    """A file of taught words as the program keeps it, of one word."""
    into = BytesIO()
    clips = np.full((1, FRAMES, BANDS), value, np.float16)
    np.savez_compressed(into, layout=taught.LAYOUT, words=np.array(["next"]), clips=clips)
    file = taught.kept_in(weaver)
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(into.getvalue())
    return into.getvalue()


def test_taught_words_go_along_where_that_is_wished(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "one"))
    Path("runner.yaml").write_text(WARP)
    hers = lesson("Anna")
    assert cli.main(["pack", "runner.yaml", "--taught"]) == 2
    assert cli.main(["pack", "runner.yaml", "--taught", "--for", "Berta"]) == 2
    assert cli.main(["pack", "runner.yaml", "--taught", "--for", "Anna"]) == 0
    assert cli.main(["pack", "runner.yaml", "-o", "runner.zip"]) == 2
    assert cli.main(["pack", "runner.yaml", "-o", "runner.yaml", "--replace"]) == 2
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "other"))
    (tmp_path / "there").mkdir()
    lesson("Anna", 0.25)
    assert cli.main(["unpack", "runner.zip", "there"]) == 2
    assert [*(tmp_path / "there").iterdir()] == []
    taught.kept_in("Anna").unlink()
    assert cli.main(["unpack", "runner.zip", "there"]) == 0
    assert taught.kept_in("Anna").read_bytes() == hers
    assert (tmp_path / "there" / "runner.yaml").read_text() == WARP
    told = capsys.readouterr()
    assert "Traceback" not in told.err
    assert len(told.err.splitlines()) == 5
    assert cli.main(["unpack", "runner.zip", "nowhere"]) == 2
