"""What comes next in the order of work, whatever passes there are."""

from dataclasses import replace
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from warps import ENGLISH, RUNNER, warp

from assistant.meaning import Tell
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal
from assistant.session.upcoming import JobState, Upcoming, upcoming
from assistant.warp.model import Warping
from assistant.warp.passes import PASSES, WIND
from assistant.warp.passes.order import ORDERS
from assistant.warp.passes.pace import Time

FILE = Path("runner.yaml")
LASH = replace(WIND, name="lash", on_loom=True)
SLEYED = f"{RUNNER}sett: 20\nreed: 10\n"
SMALL = "{shafts: 2, sett: 20, reed: 10, groups: [{name: a, thread: 1 2 1 2}, {name: b, thread: 1 2}]}"


def told(folder: Path, *done: str, order: Warping | None = None, usual: Warping | None = None, **more: Any) -> Upcoming:
    """What comes next where these jobs are done, one after the other; of one with a "-" behind it a part is."""
    made = replace(warp(more.get("text", SMALL)), warping=order)
    steps = more.get("steps", 8)
    with Journal(folder / f"{len(list(folder.iterdir()))}.sqlite3") as journal:
        for day, name in enumerate(done, 1):
            job = name.removesuffix("-")
            keep = journal.keep(journal.begin(FILE, job, made, 1000.0 * day))
            keep(Event(Kind.SIT_DOWN, 1.0))
            for step in range(1, (1 if name.endswith("-") else steps) + 1):
                keep(Event(Kind.NEXT, 10.0 * step, source="pedal"))
        return upcoming(journal, FILE, "runner.yaml", made, usual)


def jobs(of: Upcoming) -> list[str]:
    """Those that may come next."""
    return [command.removeprefix("heddlecall ").removesuffix(" runner.yaml") for command in of.commands]


@pytest.mark.parametrize(
    ("done", "order", "then"),
    [
        ("", None, "wind, heddles, thread, check, sley"),
        ("", "front-to-back", "wind, sley, heddles, thread, check"),
        ("", "tied-on", "wind, tie"),
        ("wind", None, "heddles, thread"),
        ("wind", "front-to-back", "sley"),
        ("wind", "tied-on", "tie"),
        ("wind heddles", None, "thread"),
        ("heddles wind", None, "thread"),
        ("heddles wind-", None, "wind"),
        ("wind thread", None, "check, check --read, sley"),
        ("wind sley", None, "heddles, thread"),
        ("sley", None, "heddles, thread"),
        ("sley", "front-to-back", "heddles, thread"),
        ("sley heddles", "front-to-back", "thread"),
        ("wind sley thread", "front-to-back", "check, check --read, wind runner.yaml --fresh"),
        ("wind thread sley", None, "check, check --read, wind runner.yaml --fresh"),
        ("thread check", None, "sley"),
        ("check", "front-to-back", "sley"),
        ("thread check sley", None, "wind"),
        ("tie", None, "wind"),
        ("wind tie", "tied-on", "wind runner.yaml --fresh"),
        ("wind heddles", "tied-on", "thread"),
        ("heddles- thread", None, "check, check --read, sley"),
        ("thread heddles-", None, "check, check --read, sley"),
        ("wind- thread", None, "check, check --read, sley"),
        ("thread-", "front-to-back", "thread"),
        ("thread check- sley", None, "check"),
        ("thread read- check", None, "sley"),
        ("heddles", None, "thread"),
    ],
)
def test_the_job_that_the_order_of_work_asks_for(done: str, order: Warping | None, then: str, tmp_path: Path) -> None:
    """Common practice, no source."""
    assert jobs(told(tmp_path, *done.split(), order=order)) == then.split(", ")


@pytest.mark.parametrize("order", [None, *ORDERS])
def test_no_heddles_after_threading_and_nothing_is_done_before_it_is_threaded(
    order: Warping | None, tmp_path: Path
) -> None:
    """In whatever order two jobs were done."""
    for done in permutations(("heddles", "thread", "check", "sley"), 2):
        after = told(tmp_path, *done, order=order)
        threaded = {"thread", "check"} & {*done}
        assert not (threaded and "heddles" in jobs(after))
        assert threaded or after.job in ("heddles", "thread", "sley", "tie")


def test_the_file_names_the_order_else_a_setting_does(tmp_path: Path) -> None:
    assert jobs(told(tmp_path, "wind", usual="front-to-back")) == ["sley"]
    assert jobs(told(tmp_path, "wind", order="tied-on", usual="front-to-back")) == ["tie"]
    assert told(tmp_path, order="tied-on", usual="front-to-back").warping == "tied-on"


def test_a_further_warp_is_tied_to_the_old_one_or_begun_afresh(tmp_path: Path) -> None:
    done = ("wind", "thread", "sley", "wind")
    assert jobs(told(tmp_path, *done)) == ["tie", "heddles", "thread runner.yaml --fresh"]
    assert jobs(told(tmp_path, *done, order="back-to-front")) == ["heddles", "thread runner.yaml --fresh"]
    assert jobs(told(tmp_path, *done, "heddles")) == ["thread runner.yaml --fresh"]
    assert told(tmp_path, *done, "tie").job is None
    standing = {each.job: each for each in told(tmp_path, *done, order="back-to-front").standings}["thread"]
    assert (standing.state, standing.note) == (JobState.NOT_BEGUN, Tell("recorded before"))
    assert standing.left is not None


def test_jobs_are_listed_in_the_order_of_work(tmp_path: Path) -> None:
    listed = [standing.job for standing in told(tmp_path, order="front-to-back").standings]
    assert listed == ["wind", "sley", "heddles", "thread", "check", "read", "tie"]


def test_what_is_still_to_do_at_the_end_is_that_of_the_order(tmp_path: Path) -> None:
    over = told(tmp_path, "sley", "thread", "check", order="front-to-back")
    assert (over.job, over.why) == (None, Tell("all jobs are done", rest=Tell("then front-to-back")))
    beamed = told(tmp_path, "wind").why
    assert beamed == Tell("comes next once beamed", job=Tell("job heddles"), done=Tell("job wind"))


def test_a_job_that_the_file_lacks_something_for_may_be_passed_over(tmp_path: Path) -> None:
    assert jobs(told(tmp_path, "wind", order="front-to-back", text=RUNNER, steps=15)) == ["sley", "heddles", "thread"]


def test_the_time_left_in_every_job_of_the_order(tmp_path: Path) -> None:
    """30 ends, of which four are threaded; at one's own pace where that is known."""
    left = {each.job: each.left for each in told(tmp_path, "thread-", text=SLEYED).standings}
    for job, units in (("thread", 26), ("check", 30), ("sley", 30)):
        assert left[job] == Time(job, units * PASSES[job].pace, own=False)
    assert left["wind"] is left["tie"] is left["read"] is None
    anew = {each.job: each.left for each in told(tmp_path, "wind", "wind-", text=SLEYED, steps=15).standings}["wind"]
    assert anew is not None
    assert anew.own


@pytest.fixture
def lash(monkeypatch: pytest.MonkeyPatch) -> None:
    """A further pass, done last, with the words of winding."""
    monkeypatch.setitem(PASSES, "lash", LASH)
    monkeypatch.setitem(ORDERS, "back-to-front", (*ORDERS["back-to-front"], "lash"))
    monkeypatch.setitem(ENGLISH.jobs, "lash", ENGLISH.jobs["wind"])


@pytest.mark.usefixtures("lash")
def test_a_pass_that_is_added_stands_in_its_place(tmp_path: Path) -> None:
    assert jobs(told(tmp_path)) == ["wind", "heddles", "thread", "check", "sley", "lash"]
    assert jobs(told(tmp_path, "thread", "check", "sley")) == ["lash"]


@pytest.mark.usefixtures("lash")
def test_a_pass_that_is_added_can_be_all_that_was_done(tmp_path: Path) -> None:
    after = told(tmp_path, "lash")
    assert {each.job: each.state for each in after.standings}["lash"] is JobState.DONE
    assert after.job == "heddles"
