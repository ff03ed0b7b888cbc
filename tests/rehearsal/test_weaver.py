"""The simulated weaver: each slip shows as it would at the loom, and is put right."""

from typing import Any

import pytest

from assistant.errors import RehearsalError
from assistant.rehearsal.outcome import Report
from assistant.rehearsal.silent import rehearse
from assistant.rehearsal.weaver import PlannedSlip, Slip, Weaver
from assistant.session.machine import Session
from assistant.session.view import GroupState
from assistant.warp import sequence
from assistant.warp.examples import find
from assistant.warp.passes import PASSES, Manner, Pass
from assistant.words.language import load
from assistant.words.printed import Printed
from assistant.words.wording import Wording

CALLED = [job for job in PASSES.values() if job.manner is Manner.CALLED]
ENGLISH = load("en")
THREADING = Wording(ENGLISH, "thread")
WARP = sequence.load(find("first-evening"))  # groups of 4, 16 and 4 ends; calls of 4


def rehearsed(*mistakes: str, seed: int = 1) -> Report:
    report = Report(Session(WARP), THREADING)
    rehearse(report, Weaver(PlannedSlip.parse(text) for text in mistakes), seed)
    return report


def test_without_a_slip_every_group_closes_even_at_once() -> None:
    report = rehearsed()
    assert report.as_json() == {
        "ends": 24,
        "calls": 6,
        "groups": [
            {"name": "right edge", "expected": 4, "counted": 4, "left_over": 0, "state": "even"},
            {"name": "middle", "expected": 16, "counted": 16, "left_over": 0, "state": "even"},
            {"name": "left edge", "expected": 4, "counted": 4, "left_over": 0, "state": "even"},
        ],
        "alerts": [],
        "heard": {"said": 10, "right": 10, "wrong": 0, "missed": 0},
    }


@pytest.mark.parametrize(
    ("mistake", "alerts"),
    [
        ("skip@5", [("middle", 1)]),
        ("skip@24", [("left edge", 1)]),
        ("double@6", [("middle", -4)]),
        ("double@20", []),  # the bundle is empty before the call can be threaded a second time
        ("early-done@10", [("middle", -12)]),
        ("double-press@9", [("middle", 4)]),
        ("misheard@1", []),
    ],
)
def test_a_slip_shows_as_it_would_at_the_loom(mistake: str, alerts: list[tuple[str, int]]) -> None:
    report = rehearsed(mistake)
    assert [(alert.group, alert.off_by) for alert in report.alerts] == alerts


@pytest.mark.parametrize("slip", Slip)
def test_every_slip_at_every_end_is_put_right(slip: Slip) -> None:
    for end in range(1, WARP.ends + 1):
        report = rehearsed(f"{slip}@{end}")
        assert all(group.state is GroupState.EVEN for group in report.session.summary())
        assert len(report.alerts) <= 1


@pytest.mark.parametrize("job", CALLED, ids=lambda job: job.name)
@pytest.mark.parametrize("slip", Slip)
def test_every_slip_in_every_job_is_put_right(slip: Slip, job: Pass[Any]) -> None:
    for unit in range(1, WARP.ends + 1):
        report = Report(Session(WARP, job), Wording(ENGLISH, job.name))
        rehearse(report, Weaver([PlannedSlip(slip, unit)]), 1)
        assert all(group.state is GroupState.EVEN for group in report.session.summary())
        assert len(report.alerts) <= 1


def test_a_bundle_that_runs_out_inside_a_call_is_counted_to_the_end() -> None:
    report = Report(Session(WARP, size=3), THREADING)
    rehearse(report, Weaver([PlannedSlip(Slip.DOUBLE, 5)]), 1)
    assert [alert.off_by for alert in report.alerts] == [-3]
    assert any("How many ends of the last call" in line.line(Printed(ENGLISH)) for line in report.transcript)


def test_the_same_seed_gives_the_same_rehearsal() -> None:
    assert rehearsed("skip@5", seed=7).transcript == rehearsed("skip@5", seed=7).transcript
    assert rehearsed("skip@5", seed=7).transcript != rehearsed("skip@5", seed=8).transcript


@pytest.mark.parametrize("text", ["skip", "skip@", "skip@x", "sneeze@3", "skip@-1"])
def test_a_mistake_that_is_none_is_one_clear_line(text: str) -> None:
    with pytest.raises(RehearsalError, match=r"write KIND@END, such as skip@18; kinds: skip, double"):
        PlannedSlip.parse(text)
