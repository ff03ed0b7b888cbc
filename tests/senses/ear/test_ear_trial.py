"""`heddlecall hear` with a microphone: PulseAudio's null sink is the cable, a synthetic voice the weaver."""

import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
import soundfile
from cable import MISSING, drain, environment, running, serving
from said import pause, room, word
from waiting import wait

from assistant.senses.sound import EAR_RATE

pytest.importorskip("hibari")
pytestmark = [
    pytest.mark.skipif(bool(MISSING), reason=f"no cable without {', '.join(MISSING)}: apt install pulseaudio"),
    pytest.mark.timeout(240),
]

HEAR = (sys.executable, "-m", "assistant", "hear")


@pytest.fixture
def env(tmp_path: Path) -> Iterator[dict[str, str]]:
    env = environment(tmp_path)
    with serving(env):
        yield env


def say(env: dict[str, str], tmp_path: Path) -> None:
    """A second of room, a word, and the room again."""
    file = tmp_path / "next.wav"
    soundfile.write(file, room(pause(1), word("next"), pause(1)), EAR_RATE)
    subprocess.run(["paplay", "--device=cable", str(file)], env=env, check=True)


def test_to_a_pipe_it_prints_a_line_a_word_and_at_the_end_the_room(env: dict[str, str], tmp_path: Path) -> None:
    with running(*HEAR, env=env, stdout=subprocess.PIPE) as process:
        lines: list[dict[str, object]] = []
        assert process.stdout
        reader = threading.Thread(target=lambda: lines.extend(map(json.loads, process.stdout)), daemon=True)  # type: ignore[arg-type]
        reader.start()
        for _ in range(10):  # until it listens
            say(env, tmp_path)
            if wait(lambda: lines, 2):
                break
        process.send_signal(signal.SIGINT)
        reader.join(30)
    words, last = lines[:-1], lines[-1]
    assert words
    assert all(line["heard"][0]["event"] == "next" for line in words)  # type: ignore[index]
    assert last["room"]["heard"] == len(words)  # type: ignore[index]
    assert last["room"]["voice_db"] > -40  # type: ignore[index]


def test_in_a_terminal_it_shows_the_room_and_ends_with_a_verdict(env: dict[str, str], tmp_path: Path) -> None:
    ours, theirs = os.openpty()
    seen = bytearray()
    with running(*HEAR, env=env, stdin=theirs, stdout=theirs, start_new_session=True) as process:
        os.close(theirs)
        threading.Thread(target=drain, args=(ours, seen), daemon=True).start()
        for _ in range(10):
            say(env, tmp_path)
            if wait(lambda: b"heard    next, " in seen, 2):
                break
        assert wait(lambda: b"| voice -" in seen, 10)
        process.send_signal(signal.SIGINT)
        assert wait(lambda: process.poll() is not None, 30)
    verdict = seen.decode().rpartition("mic ")[2]
    assert process.returncode == 0
    assert "understood" in verdict
    assert "advice" in verdict
    assert "{" not in seen.decode()
