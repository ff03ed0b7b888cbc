"""A warp with ends that float and heddles of several ends, done by a simulated weaver without sound."""

from dataclasses import replace
from typing import Any

import pytest

from assistant.rehearsal.coverage import CoverageWish, cover
from assistant.rehearsal.run import RehearsalWish, run
from assistant.rehearsal.weaver import PlannedSlip, Slip
from assistant.session.view import GroupState
from assistant.warp.model import CallFrom
from assistant.warp.passes import PASSES, Pass
from assistant.warp.sequence import loads
from assistant.words.language import load

ENGLISH = load("en")
WARP = loads(
    b"""
title: All of it
shafts: 4
reed: 10
sley: [2]
yarns: {flax: {name: flax}, rust: {name: rust}}
beams: {ground: {name: ground}, loops: {name: loops}}
groups:
  - {name: loose, thread: "~ ~", beam: ground}
  - {name: edge, thread: "~ 2(1*2 2*2)", beam: ground}
  - {name: rose, thread: "3(1 3 1 3 1 2; 1*3 4 ~ 1 4)", yarn: "3 flax, 1 rust", beam: "3 ground, 1 loops", times: 2}
  - {name: last, thread: "4*2 ~", beam: loops}
""",
    "all.yaml",
)


@pytest.mark.parametrize("job", [job for job in PASSES.values() if not job.compares], ids=lambda job: job.name)
@pytest.mark.parametrize("call_from", ["right", "left", "centre"])
def test_every_job_comes_out_even(job: Pass[Any], call_from: CallFrom) -> None:
    report = run(replace(WARP, call_from=call_from), ENGLISH, RehearsalWish(job=job))
    assert {line.state for line in report.session.summary()} == {GroupState.EVEN}


@pytest.mark.parametrize("slip", [Slip.SKIP, Slip.DOUBLE, Slip.EARLY_DONE, Slip.DOUBLE_PRESS])
def test_a_slip_in_a_heddle_of_several_is_caught(slip: Slip) -> None:
    report = run(WARP, ENGLISH, RehearsalWish(slips=[PlannedSlip(slip, 11)]))
    assert {line.state for line in report.session.summary()} == {GroupState.EVEN}
    assert report.alerts or slip is Slip.EARLY_DONE


def test_what_the_finder_says_sets_it_right() -> None:
    coverage = cover(WARP, ENGLISH, CoverageWish(mistakes_per_1000=60, seed=3, runs=2))
    assert coverage.fates.made
    assert coverage.fates.left_in_cloth == 0
