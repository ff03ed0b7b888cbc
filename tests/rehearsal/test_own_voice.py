"""Whole sessions in which the ear hears the mouth: its own voice never sets it off, and the weaver is heard."""

from contextlib import closing

import pytest
from leaking import Leak, LeakyRoom, taught_in

from assistant.rehearsal.aloud import Aloud
from assistant.rehearsal.outcome import Report
from assistant.rehearsal.weaver import Weaver
from assistant.rehearsal.weaver_voice import SystemVoice, WeaverVoice, open_voice
from assistant.senses.ear import Listener
from assistant.senses.ear import engine as ear
from assistant.senses.ear.opening import open_engine
from assistant.senses.ear.own_voice import OwnVoice
from assistant.senses.mouth.speaker import Cable
from assistant.session.machine import Session
from assistant.session.view import GroupState
from assistant.warp.sequence import loads
from assistant.words.language import load
from assistant.words.wording import Wording

ENGLISH = load("en")
WARP = loads(
    b"{title: Own, shafts: 4, groups: [{name: edge, thread: 1 2 3 4 1}, {name: rest, thread: 4 3 2 1}]}", "own.yaml"
)
TAUGHT = ("next", "repeat", "back", "finished", "pause", "resume")


def thread(
    engine: ear.WordEngine, voice: WeaverVoice, leak: Leak, headset: bool, patience_s: float | None
) -> tuple[int, bool]:
    """Thread the warp; how many words were said, and whether the own voice was noticed. Nothing else may be heard."""
    report = Report(Session(WARP), Wording(ENGLISH, "thread"))
    noticed: list[bool] = []
    with closing(Cable("en-us")) as mouth:
        mouth.prepare(report.words.parts(report.session.ahead()))
        own = OwnVoice(mouth.played, leaks=not headset, noticed=lambda: noticed.append(True))
        room = LeakyRoom(mouth, Listener(engine, own), 1, leak=leak, patience_s=patience_s)
        Aloud(report, Weaver([]), room, voice, ENGLISH).run()
    assert all(group.state is GroupState.EVEN for group in report.session.summary())
    assert report.heard.wrong == 0
    assert len(room.heard) <= report.heard.said
    assert all(heard.word in ("next", "") for heard in room.heard)
    assert len(noticed) <= 1
    return report.heard.said, bool(noticed)


@pytest.mark.parametrize("headset", [False, True], ids=["loudspeaker", "headphones not plugged in"])
def test_a_loudspeaker_sets_off_nothing(headset: bool) -> None:
    said, noticed = thread(open_engine(ENGLISH), open_voice("hibari", "en-us"), Leak(-10, 0.15), headset, None)
    assert noticed is headset
    assert said <= 7


def test_words_taught_in_the_very_voice_of_the_mouth_are_not_set_off_by_it() -> None:
    voice = SystemVoice("en-us")
    _, noticed = thread(taught_in(voice, TAUGHT), voice, Leak(-15, 0.2), True, None)
    assert noticed


def test_with_a_headset_the_weaver_may_interrupt() -> None:
    said, noticed = thread(open_engine(ENGLISH), open_voice("hibari", "en-us"), Leak(-45, 0.1), True, 0.8)
    assert not noticed
    assert said <= 9
