"""Several weavers on one warp: who did what is kept, told, and each has a pace of her own."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.paper.log import log
from assistant.paper.retold import story
from assistant.paper.table import table
from assistant.session.events import Event, Kind
from assistant.session.history import history, own_pace, own_paces
from assistant.session.journal import Journal, Record
from assistant.session.resume import replayed
from assistant.session.upcoming import upcoming
from assistant.warp.sequence import loads
from assistant.words.language import load
from assistant.words.printed import Printed

ENGLISH = load("en")
LONG = "{title: Long, shafts: 4, groups: [{name: all, thread: 50(1 2 3 4)}]}"


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    with Journal(tmp_path / "data" / "journal.sqlite3") as journal:
        yield journal


def woven(journal: Journal, *sittings: tuple[str, float, int], file: str = "long.yaml") -> Record:
    """A record of sittings: who, seconds a call, and calls."""
    record = journal.begin(Path(file), "thread", loads(LONG.encode(), "long.yaml"), 1.0)
    keep, at = journal.keep(record), 1_000.0
    for weaver, seconds, calls in sittings:
        keep(Event(Kind.SIT_DOWN, at, text=weaver))
        for _ in range(calls):
            at += seconds
            keep(Event(Kind.NEXT, at, source="key"))
        keep(Event(Kind.LEAVE, at, source="key"))
        at += 50_000.0
    return record


def test_each_has_a_pace_of_her_own(journal: Journal) -> None:
    record = woven(journal, ("Anna", 8.0, 10), ("Berta", 40.0, 10), ("Anna", 8.0, 1))
    told = history(journal, record)
    assert told.paces == {"Anna": 2.0, "Berta": 10.0}
    assert told.weavers == {"Anna": 44, "Berta": 40}
    assert (told.pace, replayed(journal, record).place.pace) == (2.0, 2.0)
    assert [own_pace(journal, "thread", who) for who in ("Anna", "Berta", "Carla", "")] == [2.0, 10.0, None, 2.0]
    assert [pace.seconds for pace in own_paces(journal, "Berta")] == [10.0]


def test_the_time_left_goes_by_the_pace_of_who_asks(journal: Journal) -> None:
    woven(journal, ("Anna", 8.0, 10), ("Berta", 40.0, 10))
    for weaver, seconds in (("Anna", 2), ("Berta", 10), ("", 10)):
        told = upcoming(journal, Path("long.yaml"), "long", loads(LONG.encode(), "long.yaml"), weaver=weaver)
        left = next(standing.left for standing in told.standings if standing.job == "thread")
        assert left
        assert (left.seconds, left.own) == (seconds * (200 - 80), True)


def test_what_was_done_before_anybody_was_named_is_that_of_the_first(journal: Journal) -> None:
    record = woven(journal, ("", 8.0, 10), ("Anna", 8.0, 1), ("Berta", 40.0, 10), ("", 8.0, 1))
    assert history(journal, record).paces == {"Anna": 2.0, "Berta": 10.0}
    woven(journal, ("", 12.0, 10), file="other.yaml")
    assert own_pace(journal, "thread", "Carla") == 3.0


def test_the_log_and_the_table_tell_who_did_what(journal: Journal) -> None:
    record = woven(journal, ("Anna", 8.0, 10), ("Berta", 40.0, 12))
    lines = log(history(journal, record), Printed(ENGLISH))
    assert [line.rpartition(", ")[2] for line in lines if " to " in line] == ["Anna", "Berta"]
    assert lines[-2:] == ["  Anna: 40 ends, 2 s an end", "  Berta: 48 ends, 10 s an end"]
    told = story(record, journal.events(record), ENGLISH)
    assert table([told]).splitlines()[1].endswith('"Berta, Anna"')
    assert [sitting.get("weaver") for sitting in told.history.as_json()["sittings"]] == ["Anna", "Berta"]  # type: ignore[attr-defined]


def test_where_nobody_is_named_nothing_is_told_of_weavers(journal: Journal) -> None:
    record = woven(journal, ("", 8.0, 10))
    assert log(history(journal, record), Printed(ENGLISH))[-1] == "pace: 2 s an end"
    assert "weaver" not in str(history(journal, record).as_json())
