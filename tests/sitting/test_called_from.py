"""A record goes on from the edge from which it was begun."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from assistant.errors import JournalError, PassError
from assistant.paper.report import report
from assistant.paper.retold import story
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal
from assistant.session.machine import Session
from assistant.session.resume import Resumption
from assistant.session.telling import whereabouts
from assistant.session.upcoming import upcoming
from assistant.session.view import GroupState, ModeName
from assistant.sitting.prepare import prepared
from assistant.warp.model import CallFrom, Edge
from assistant.warp.passes import SLEY, THREAD, Dent
from assistant.warp.sequence import load
from assistant.words.language import load as load_language

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


# From the centre of the reed.

RUNNER = """{title: Runner, shafts: 4, reed: 10, sley: [1, 2], groups: [
  {name: edge, thread: 1 2 3 4}, {name: body, thread: 15(1 2 3 4)}, {name: rose, thread: 3(1 2 3 4), empty_before: 2},
]}"""


@pytest.fixture
def runner(tmp_path: Path) -> Path:
    file = tmp_path / "runner.yaml"
    file.write_text(RUNNER)
    return file


def sleyed(journal: Journal, file: Path, *kinds: str | tuple[str, int], **resumption: CallFrom | bool) -> Session:
    """These in a sitting of their own, taken up as it was kept, and kept."""
    with prepared(journal, file, SLEY, Resumption(**resumption)) as (record, session):  # type: ignore[arg-type]
        keep = journal.keep(record)
        for at, each in enumerate(("sit down", *kinds)):
            kind, number = each if isinstance(each, tuple) else (each, None)
            event = session.found_by(Event(Kind(kind), 1e9 + 10 * at, number, "key"))
            keep(event)
            session.handle(event)
        return session


def test_every_step_of_either_half_is_taken_up_as_it_was_left(journal: Journal, runner: Path) -> None:
    begun = sleyed(journal, runner, call_from="centre")
    assert [line.name for line in begun.summary()] == ["body (1)", "edge", "body (2)", "rose"]
    assert [line.expected for line in begun.summary()] == [36, 4, 24, 12]
    halves, steps = set(), 0
    while begun.mode is not ModeName.COMPLETE:
        left = sleyed(journal, runner, "next")
        again = sleyed(journal, runner)
        assert again.place == replace(left.place, sittings=again.place.sittings, worked=again.place.worked)
        halves.add((again.view().side, again.view().outward))
        begun, steps = again, steps + 1
    assert halves == {("left", 2), ("right", 2)}
    assert steps > 8
    assert {line.state for line in begun.summary()} == {GroupState.EVEN}


def test_back_leads_over_the_centre_into_the_first_half(journal: Journal, runner: Path) -> None:
    session = sleyed(journal, runner, call_from="centre")
    while session.group.name != "body (2)":
        session.handle(Event(Kind.NEXT, 1e9))
    before = session.place
    session.handle(Event(Kind.BACK, 1e9))
    assert (session.group.name, session.mode) == ("edge", ModeName.CLOSING)
    session.handle(Event(Kind.NEXT, 1e9))
    assert session.place.groups == before.groups


def test_the_closing_question_names_the_dent_from_the_centre(journal: Journal, runner: Path) -> None:
    """By hand: 76 ends and 2 empty dents are 53 dents, 27 of them at the right: 40 ends."""
    course = sleyed(journal, runner, call_from="centre").place.course
    assert list(course.ends_in) == [24, 27, 16, 26]


def test_a_dent_skipped_in_the_second_half_is_looked_for_from_the_centre(journal: Journal, runner: Path) -> None:
    session = sleyed(journal, runner, call_from="centre")
    while (session.group.name, session.mode) != ("body (2)", ModeName.CLOSING):
        session.handle(Event(Kind.NEXT, 1e9))
    for kind, number in (("over", 1), ("find", None)):
        session.handle(Event(Kind(kind), 1e9, number, "key"))
    assert session.mode is ModeName.ASKING
    pointing = session.view().pointing
    assert pointing is not None
    assert (pointing.side, pointing.of) == ("right", 16)
    while session.mode is ModeName.ASKING:
        session.handle(Event(Kind.UNSURE, 1e9, source="key"))
    told = [tell.phrase for tell in session.view().prompt]
    assert "reed mends: onward" in told
    assert "reed mends: from before" not in told


def test_dents_are_drawn_as_they_lie_on_either_side(journal: Journal, runner: Path) -> None:
    session = sleyed(journal, runner, call_from="centre")
    assert session.view().dents[0] == Dent(1, ("",))
    assert session.view().side == "left"
    while session.group.name != "body (2)":
        session.handle(Event(Kind.NEXT, 1e9))
    assert session.view().side == "right"
    assert session.view().start == "right"


def test_begun_from_the_centre_it_goes_on_from_there(journal: Journal, runner: Path) -> None:
    sleyed(journal, runner, "next", call_from="centre")
    with pytest.raises(JournalError, match="was begun from the centre; go on from there with --call-from centre"):
        sleyed(journal, runner, call_from="left")
    assert sleyed(journal, runner, usual_call_from="left").group.name == "body (1)"
    assert sleyed(journal, runner, call_from="right", fresh=True).group.name == "edge"
    with pytest.raises(JournalError, match="was begun from the right edge"):
        sleyed(journal, runner, call_from="centre")


def test_a_habit_counts_where_neither_file_nor_record_says(journal: Journal, runner: Path) -> None:
    assert sleyed(journal, runner, usual_call_from="centre").group.name == "body (1)"
    runner.write_text(RUNNER.replace("shafts", "call_from: left, shafts"))
    assert sleyed(journal, runner, usual_call_from="centre", fresh=True).group.name == "rose"


def test_of_the_jobs_sleying_alone_goes_by_the_centre(journal: Journal, runner: Path) -> None:
    runner.write_text(RUNNER.replace("shafts", "call_from: centre, shafts"))
    assert sleyed(journal, runner).group.name == "body (1)"
    with prepared(journal, runner, THREAD, Resumption()) as (_, session):
        assert session.group.name == "edge"
    with prepared(journal, runner, THREAD, Resumption(call_from="right")) as (_, session):
        assert session.group.name == "edge"
    with pytest.raises(PassError, match="from the centre only sley is called; thread goes from an edge"):  # noqa: SIM117
        with prepared(journal, runner, THREAD, Resumption(call_from="centre")):
            pass
    assert all(standing.note is None for standing in upcoming(journal, runner, "runner", load(runner)).standings)


def test_an_edit_that_moves_the_centre_leaves_nothing_as_it_was(journal: Journal, runner: Path) -> None:
    sleyed(journal, runner, "next", call_from="centre")
    runner.write_text(RUNNER.replace("3(1 2 3 4)", "9(1 2 3 4)"))
    with pytest.raises(JournalError, match="in groups already done"):
        sleyed(journal, runner)
    runner.write_text(RUNNER.replace("Runner", "Long runner"))
    assert sleyed(journal, runner, edited=True).done == 15


def test_from_an_edge_the_plan_is_the_one_it_was_begun_with(journal: Journal, runner: Path) -> None:
    warned: list[object] = []
    for call_from in ("left", "centre"):
        asked = Resumption(fresh=True, call_from=call_from)
        with prepared(journal, runner, SLEY, asked, warned.append):
            pass
    assert warned == []


def test_whoever_comes_back_is_told_on_which_side_she_is(journal: Journal, runner: Path) -> None:
    first = sleyed(journal, runner, call_from="centre")
    assert whereabouts(first.place)[0].phrase == "out to the right"
    while first.group.name != "body (2)":
        first = sleyed(journal, runner, "next")
    assert whereabouts(first.place)[0].phrase == "out to the left"


def test_in_the_record_it_hangs_as_the_file_has_it(journal: Journal, runner: Path) -> None:
    session = sleyed(journal, runner, call_from="centre")
    while session.mode is not ModeName.CLOSING:
        session = sleyed(journal, runner, "next")
    sleyed(journal, runner, "over", ("number", 1), "resume")
    (record,) = journal.records(runner)
    told = story(record, journal.events(record), load_language("en"))
    assert [group.name for group in told.warp.groups] == ["edge", "body (1)", "body (2)", "rose"]
    assert [end.shafts for end in told.warp.every_end()] == [end.shafts for end in load(runner).every_end()]
    assert [trouble.group for trouble in told.troubles] == ["body (1)"]
    assert "body (1)" in report([told], "runner.yaml")
