"""A record goes on from the edge from which it was begun."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.errors import JournalError
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal
from assistant.session.machine import Session
from assistant.session.resume import Resumption
from assistant.session.upcoming import upcoming
from assistant.sitting.prepare import prepared
from assistant.warp.model import Edge
from assistant.warp.passes import SLEY, THREAD
from assistant.warp.sequence import load

SCARF = "{title: Scarf, shafts: 4, reed: 10, sley: [2], groups: [{name: a, thread: 1 2 3}, {name: b, thread: 4 3 1}]}"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    file = tmp_path / "scarf.yaml"
    file.write_text(SCARF)
    return file


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    with Journal(tmp_path / "data" / "journal.sqlite3") as journal:
        yield journal


def threaded(journal: Journal, file: Path, call_from: Edge | None, fresh: bool = False) -> Session:
    """One call further in a sitting."""
    with prepared(journal, file, THREAD, Resumption(fresh=fresh, call_from=call_from)) as (record, session):
        keep = journal.keep(record)
        for event in (Event(Kind.SIT_DOWN, 1e9), Event(Kind.NEXT, 1e9 + 10)):
            keep(event)
            session.handle(event)
        return session


def test_from_the_left_the_last_group_comes_first_backwards(journal: Journal, file: Path) -> None:
    session = threaded(journal, file, "left")
    assert session.group.name == "b"
    assert [unit.shafts for call in session.place.course.calls[0] for unit in call.units] == [(1,), (3,), (4,)]
    assert session.view().start == "left"


def test_a_record_goes_on_from_its_edge_unasked(journal: Journal, file: Path) -> None:
    begun = threaded(journal, file, "left")
    again = threaded(journal, file, None)
    assert (again.done, again.step) == (begun.done, begun.step + 2)
    assert threaded(journal, file, "left").done >= again.done
    assert all(standing.note is None for standing in upcoming(journal, file, "scarf", load(file)).standings)


@pytest.mark.parametrize(("begun", "asked"), [("left", "right"), (None, "left"), ("right", "left")])
def test_from_another_edge_it_is_refused_kindly(journal: Journal, file: Path, begun: Edge | None, asked: Edge) -> None:
    before = threaded(journal, file, begun)
    edge = begun or "right"
    with pytest.raises(JournalError, match=f"was begun from the {edge} edge; go on from there with --call-from {edge}"):
        threaded(journal, file, asked)
    assert threaded(journal, file, None).step == before.step + 2
    assert threaded(journal, file, asked, fresh=True).step == 2


def test_the_key_of_the_file_does_as_the_option(journal: Journal, file: Path) -> None:
    file.write_text(SCARF.replace("shafts: 4", "shafts: 4, call_from: left"))
    assert threaded(journal, file, None).group.name == "b"
    with prepared(journal, file, SLEY, Resumption(call_from="right")) as (_, session):
        assert session.group.name == "a"
