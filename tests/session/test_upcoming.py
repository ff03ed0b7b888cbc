"""What comes next, whatever passes there are."""

from dataclasses import replace
from pathlib import Path

import pytest
from warps import ENGLISH, warp

from assistant.meaning import Tell
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal
from assistant.session.upcoming import JobState, Upcoming, upcoming
from assistant.warp.passes import PASSES, WIND

FILE = Path("runner.yaml")
LASH = replace(WIND, name="lash", on_loom=True)
TO_THE_END = [Event(Kind.SIT_DOWN, 1.0), *[Event(Kind.NEXT, 10.0 * n, source="pedal") for n in range(1, 60)]]


@pytest.fixture
def lash(monkeypatch: pytest.MonkeyPatch) -> None:
    """A further pass, done last, with the words of winding."""
    monkeypatch.setitem(PASSES, "lash", LASH)
    monkeypatch.setitem(ENGLISH.jobs, "lash", ENGLISH.jobs["wind"])


def told(folder: Path, *done: str) -> Upcoming:
    """What comes next where these jobs are done, one after the other."""
    with Journal(folder / "journal.sqlite3") as journal:
        for day, job in enumerate(done, 1):
            keep = journal.keep(journal.begin(FILE, job, warp(), 1000.0 * day))
            for event in TO_THE_END:
                keep(event)
        return upcoming(journal, FILE, "runner.yaml", warp())


@pytest.mark.usefixtures("lash")
def test_a_pass_that_is_added_stands_in_its_place(tmp_path: Path) -> None:
    afresh = told(tmp_path)
    jobs = [command.split()[1] for command in afresh.commands]
    assert jobs == ["wind", "heddles", "thread", "check", "sley", "lash"]


@pytest.mark.usefixtures("lash")
def test_a_pass_that_is_added_can_be_all_that_was_done(tmp_path: Path) -> None:
    after = told(tmp_path, "lash")
    assert after.standings[-1].state is JobState.DONE
    assert after.why == Tell("all jobs are done")
    assert after.commands == ("heddlecall wind runner.yaml",)
