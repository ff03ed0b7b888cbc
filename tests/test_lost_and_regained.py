"""The sound server dies in the middle of a sitting and comes back: told, survived, taken up again; keys go on.

Everything is real but the devices, which are PulseAudio's null sink. Nothing here measures a time: what has to be seen
is waited for, generously.
"""

import os
import signal
import time
from contextlib import ExitStack
from pathlib import Path

import pytest
from cable import MISSING, environment, in_a_terminal, listening, serving
from waiting import wait

from assistant.session.events import Kind
from assistant.session.journal import Journal
from assistant.warp.examples import find

pytestmark = [
    pytest.mark.skipif(bool(MISSING), reason=f"no cable without {', '.join(MISSING)}: apt install pulseaudio"),
    pytest.mark.timeout(240),
]

WARP = find("first-evening")


def steps(env: dict[str, str]) -> int:
    """How often "next" was pressed and kept."""
    with Journal(Path(env["HEDDLECALL_DATA"], "journal.sqlite3")) as journal:
        record = journal.under_way(WARP, "thread")
        return sum(event.kind is Kind.NEXT for event in journal.events(record)) if record else 0


def shows(seen: bytearray, text: str) -> bool:
    return wait(lambda: text.encode() in seen, 30)


def presses(env: dict[str, str], terminal: int) -> bool:
    """Whether a key does what it should."""
    time.sleep(1)  # two presses in quick succession are a key that is held down
    before = steps(env)
    os.write(terminal, b"n")
    return wait(lambda: steps(env) == before + 1, 20)


def test_the_sound_server_dies_and_comes_back(tmp_path: Path) -> None:
    env, seen = environment(tmp_path), bytearray()
    with serving(env) as server, in_a_terminal(env, "thread", str(WARP), seen=seen) as (process, terminal):
        assert shows(seen, "hears you, speaks")
        assert presses(env, terminal)
        server.kill()
        assert shows(seen, "the loudspeaker is gone; the microphone is gone")
        assert presses(env, terminal)
        seen.clear()
        with serving(env), listening(env) as ears:
            assert shows(seen, "hears you, speaks")
            heard = ears.loud_s
            assert presses(env, terminal)
            assert wait(lambda: ears.loud_s > heard + 0.5, 30), "the call is not heard after the loudspeaker came back"
            os.write(terminal, b"q")
            assert wait(lambda: process.poll() is not None, 30)
    assert process.returncode == 0


def test_the_sound_server_dies_again_as_soon_as_the_devices_were_opened_anew(tmp_path: Path) -> None:
    """PortAudio 19.6 may then never close the microphone; how soon that is differs from machine to machine."""
    env, seen = environment(tmp_path), bytearray()
    with ExitStack() as server, in_a_terminal(env, "thread", str(WARP), seen=seen) as (process, terminal):
        server.enter_context(serving(env))
        assert shows(seen, "hears you, speaks")
        for after_s in (0.3, 0.6, 0.9):
            seen.clear()
            server.close()
            server.enter_context(serving(env))
            assert shows(seen, "is gone")
            time.sleep(after_s)
            server.close()
            server.enter_context(serving(env))
            time.sleep(2)  # in which it is noticed
            back = wait(lambda: seen.rfind(b"hears you, speaks") > seen.rfind(b"is gone"), 30)
            assert back, f"killed again {after_s} s after they were gone"
        assert presses(env, terminal)
        os.write(terminal, b"q")
        assert wait(lambda: process.poll() is not None, 30)
    assert process.returncode == 0


def test_the_loudspeakers_own_monitor_is_the_wrong_microphone_and_a_mute_one_is_dead(tmp_path: Path) -> None:
    """PulseAudio takes the monitor where no microphone is plugged in; nothing else sounds in this cable."""
    env, seen = environment(tmp_path), bytearray()
    with serving(env), listening(env) as ears:
        with in_a_terminal(env, "thread", str(WARP), "--plain", seen=seen):
            assert shows(seen, "it hears only the helper's own voice: the wrong one")
            told = ears.loud_s
            assert wait(lambda: ears.loud_s > told + 1, 30), "it is shown, and not said"
        with in_a_terminal(env, "thread", str(WARP), "--plain", "--mute", seen=seen):
            assert shows(seen, "no sound at all: it is muted, switched off or the wrong one")


def test_a_sound_server_that_hangs_holds_up_no_key(tmp_path: Path) -> None:
    env, seen = environment(tmp_path), bytearray()
    with serving(env) as server, in_a_terminal(env, "thread", str(WARP), seen=seen) as (process, terminal):
        assert shows(seen, "hears you, speaks")
        server.send_signal(signal.SIGSTOP)
        assert shows(seen, "the loudspeaker is gone; the microphone is gone")
        assert presses(env, terminal)
        assert presses(env, terminal)
        os.write(terminal, b"q")
        assert wait(lambda: process.poll() is not None, 60)
        server.send_signal(signal.SIGCONT)
    assert process.returncode == 0
    assert steps(env) == 2


def test_a_sound_server_that_hangs_from_the_start_holds_up_no_sitting(tmp_path: Path) -> None:
    env, seen = environment(tmp_path), bytearray()
    with serving(env) as server:
        server.send_signal(signal.SIGSTOP)
        with in_a_terminal(env, "thread", str(WARP), seen=seen) as (process, terminal):
            assert shows(seen, "the sound server does not answer")
            assert presses(env, terminal)
            os.write(terminal, b"q")
            assert wait(lambda: process.poll() is not None, 60)
        server.send_signal(signal.SIGCONT)
    assert process.returncode == 0
    assert steps(env) == 1
