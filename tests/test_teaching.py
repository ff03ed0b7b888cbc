"""A lesson through real devices: PulseAudio's null sink is the cable from loudspeaker to microphone."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import soundfile
from cable import MISSING, Ears, in_a_terminal, listening, sound_server
from waiting import wait

from assistant import cli
from assistant.rehearsal.weaver_voice import open_voice
from assistant.senses.sound import EAR_RATE

REACTION_S = 0.4
FAST = ("--speed", "320")
needs_cable = pytest.mark.skipif(bool(MISSING), reason=f"no cable without {', '.join(MISSING)}: apt install pulseaudio")


@pytest.fixture
def server(tmp_path: Path) -> Iterator[dict[str, str]]:
    with sound_server(tmp_path) as env:
        yield env


@pytest.fixture
def said(tmp_path: Path) -> dict[str, list[Path]]:
    """Each word four times: three to teach, one to try."""
    voice = open_voice("hibari", "en-us")
    files = {word: [tmp_path / f"{word}-{take}.wav" for take in range(4)] for word in ("next", "repeat")}
    for word, takes in files.items():
        for take, file in enumerate(takes):
            soundfile.write(file, voice.say(word, take), EAR_RATE)
    return files


def speak(env: dict[str, str], ears: Ears, file: Path) -> None:
    assert wait(ears.quiet, 30), "the helper never stops speaking"
    time.sleep(REACTION_S)
    subprocess.run(["paplay", "--device=cable", str(file)], env=env, check=True)
    before = ears.loud_s
    assert wait(lambda: ears.loud_s > before, 10), "no tone after a word"


def taught(env: dict[str, str]) -> Path:
    return Path(env["HEDDLECALL_DATA"], "weavers", "Aino.npz")


@needs_cable
def test_two_words_are_taught_aloud_and_heard(server: dict[str, str], said: dict[str, list[Path]]) -> None:
    with (
        listening(server) as ears,
        in_a_terminal(server, "teach", "--weaver", "Aino", "--words", "next,repeat", *FAST) as (process, _),
    ):
        assert wait(lambda: ears.loud_s > 4, 60), "the lesson does not begin"
        for takes in said.values():
            for file in takes[:3]:
                speak(server, ears, file)
        assert process.wait(60) == 0
    assert taught(server).stat().st_size < 50_000
    command = [
        sys.executable,
        "-m",
        "assistant",
        "hear",
        "--weaver",
        "Aino",
        *[str(takes[3]) for takes in said.values()],
    ]
    told = subprocess.run(command, env=server, check=True, capture_output=True, text=True).stdout
    heard = [json.loads(line)["heard"][0]["event"] for line in told.splitlines()]
    assert heard == ["next", "repeat"]


@needs_cable
def test_a_lesson_that_is_left_keeps_the_words_that_are_whole(
    server: dict[str, str], said: dict[str, list[Path]]
) -> None:
    with listening(server) as ears, in_a_terminal(server, "teach", "--weaver", "Aino", *FAST) as (process, terminal):
        assert wait(lambda: ears.loud_s > 4, 60), "the lesson does not begin"
        for file in said["next"][:3]:
            speak(server, ears, file)
        os.write(terminal, b"q")
        assert process.wait(60) == 1
    assert taught(server).exists()


@needs_cable
def test_without_a_terminal_a_lesson_is_plain_lines_and_leaving_at_once_changes_nothing(server: dict[str, str]) -> None:
    command = [sys.executable, "-m", "assistant", "teach", "--weaver", "Aino"]
    told = subprocess.run(command, env=server, check=False, capture_output=True, text=True, input="q\n", timeout=60)
    assert told.returncode == 2
    assert "I am going to learn your words." in told.stdout
    assert told.stderr == "heddlecall: nothing was learnt, and nothing is changed\n"
    assert not taught(server).exists()


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["--weaver", "Aino", "--words", "nxt"], "'nxt' stands for no command"),
        (["--weaver", "../Aino"], "cannot be a weaver's name"),
        (["--weaver", "Aino", "--numbers", "100"], "numbers from 1 to 99 can be taught"),
        (["--weaver", "Aino", "--from", ".", "--numbers", "4"], "--numbers is for a lesson at the microphone"),
        (["--weaver", "Aino", "--microphone", "no such one"], "no microphone"),
        (["--weaver", "Aino", "--loudspeaker", "no such one"], "no loudspeaker"),
        (["--words", "next"], "--weaver"),
    ],
)
def test_what_cannot_be_taught_is_one_clear_line(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
    words: list[str],
    line: str,
) -> None:
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path))
    monkeypatch.setenv("PULSE_SERVER", "unix:/nowhere")
    try:
        code = cli.main(["teach", *words])
    except SystemExit as end:
        code = int(end.code or 0)
    told = capfd.readouterr()
    assert (code, told.out, told.err.count("\n")) == (2, "", 1)
    assert line in told.err
