"""A whole warp through real devices: PulseAudio's null sink is the cable from loudspeaker to microphone.

`heddlecall thread` runs in a terminal of its own. One weaver speaks into the cable and listens to it; another only
uses keys. The warp must come to its end with every group even.
"""

import os
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import soundfile
from cable import MISSING, in_a_terminal, listening, sound_server
from waiting import wait

from assistant.rehearsal.weaver import Act, PlannedSlip, Slip, Weaver
from assistant.rehearsal.weaver_voice import open_voice
from assistant.senses.sound import EAR_RATE
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal
from assistant.session.machine import Session
from assistant.session.resume import replayed
from assistant.session.view import GroupState, View
from assistant.warp.examples import find
from assistant.words.language import load

pytestmark = [
    pytest.mark.skipif(bool(MISSING), reason=f"no cable without {', '.join(MISSING)}: apt install pulseaudio"),
    pytest.mark.timeout(420),
]

ENGLISH = load("en")
KEYS = {Kind.NEXT: "n", Kind.FINISHED: "d", Kind.OVER: "o", Kind.SHORT: "s", Kind.REDO: "a", Kind.BACK: "b"}


@pytest.fixture
def server(tmp_path: Path) -> Iterator[dict[str, str]]:
    with sound_server(tmp_path) as env:
        yield env


def events(env: dict[str, str]) -> list[Event]:
    """What the journal holds so far."""
    with Journal(Path(env["HEDDLECALL_DATA"], "journal.sqlite3")) as journal:
        return [event for record in journal.records() for event in journal.events(record)]


def session(env: dict[str, str]) -> Session:
    with Journal(Path(env["HEDDLECALL_DATA"], "journal.sqlite3")) as journal:
        (record,) = journal.records()
        return replayed(journal, record)


def thread(
    env: dict[str, str], process: subprocess.Popen[bytes], weaver: Weaver, tell: Callable[[Act], None]
) -> Session:
    """Answer what the helper asks until it ends by itself; each act is told again when nothing comes of it."""
    assert wait(lambda: any(each.kind is Kind.SIT_DOWN for each in events(env)), 30), "no sitting began"
    while process.poll() is None:
        view: View = session(env).view()
        for act in weaver.act(view):
            known = len(events(env))
            for _ in range(4):
                tell(act)
                if wait(lambda known=known: len(events(env)) > known, 4):  # type: ignore[misc]
                    break
            assert len(events(env)) > known, f"{act} was never understood"
            if events(env)[-1].kind is not act.kind:
                break
        wait(lambda: process.poll() is not None, 0.1)
        if session(env).view() == view:
            wait(lambda: process.poll() is not None, 10)
    assert process.returncode == 0
    return session(env)


def test_a_weaver_who_only_speaks(server: dict[str, str], tmp_path: Path) -> None:
    voice = open_voice(None, ENGLISH.voice)
    warp = tmp_path / "short.yaml"
    warp.write_text("{title: Short, shafts: 4, groups: [{name: edge, thread: 1 2 3 4}, {name: rest, thread: 4 3 2 1}]}")
    with listening(server) as ears:

        def speak(act: Act) -> None:
            number = act.number if act.kind is Kind.NUMBER else None
            word = ENGLISH.commands[act.kind or Kind.NEXT][0] if number is None else ENGLISH.numbers[number]
            file = tmp_path / f"{word}.wav"
            soundfile.write(file, voice.say(word), EAR_RATE)
            assert wait(ears.quiet, 30), "the helper never stops speaking"
            subprocess.run(["paplay", "--device=cable", str(file)], env=server, check=True)

        with in_a_terminal(server, "thread", str(warp), "--speed", "320") as (process, _):
            finished = thread(server, process, Weaver([PlannedSlip(Slip.SKIP, 3)]), speak)
        assert ears.loud_s > 10, "the helper was hardly heard"
    assert [(group.counted, group.state) for group in finished.summary()] == [
        (4, GroupState.EVEN),
        (4, GroupState.EVEN),
    ]
    kept = events(server)
    assert {event.source for event in kept} == {"clock", "voice"}
    assert Kind.OVER in {event.kind for event in kept}


def test_a_weaver_who_only_uses_keys(server: dict[str, str]) -> None:
    with in_a_terminal(server, "thread", str(find("first-evening")), "--deaf") as (process, terminal):

        def press(act: Act) -> None:
            key = str(act.number) if act.kind is Kind.NUMBER else KEYS[act.kind or Kind.NEXT]
            os.write(terminal, key.encode())

        finished = thread(server, process, Weaver([PlannedSlip(Slip.EARLY_DONE, 10)]), press)
    assert all(group.state is GroupState.EVEN for group in finished.summary())
    kept = events(server)
    assert {event.source for event in kept} == {"clock", "key"}
    assert {Kind.FINISHED, Kind.BACK} <= {event.kind for event in kept}
