"""The sound server's echo canceller is found, and sound goes through it."""

import os
import subprocess
import sys
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from pipewire import SERVERS
from waiting import wait

from assistant import cli
from assistant.senses.portaudio import SWITCH_ON, canceller

# As PulseAudio 16.1 and PipeWire 0.3.65 listed them here
PULSEAUDIO = (
    "1\troom.monitor\tmodule-null-sink.c\ts16le 1ch 16000Hz\tRUNNING\n"
    "3\tcable.echo-cancel.monitor\tmodule-echo-cancel.c\tfloat32le 1ch 32000Hz\tIDLE\n"
    "2\troom.monitor.echo-cancel\tmodule-echo-cancel.c\tfloat32le 1ch 32000Hz\tRUNNING\n"
)
PIPEWIRE = (
    "44\tcable.monitor\tPipeWire\tfloat32le 1ch 22050Hz\tRUNNING\n"
    "49\techo-cancel-source\tPipeWire\tfloat32le 2ch 48000Hz\tSUSPENDED\n"
    "50\techo-cancel-sink.monitor\tPipeWire\tfloat32le 2ch 48000Hz\tSUSPENDED\n"
)
EITHER = [
    pytest.param(server, id=name, marks=pytest.mark.skipif(bool(missing), reason=f"without {', '.join(missing)}"))
    for name, (server, missing) in SERVERS.items()
]
Server = Callable[[Path], AbstractContextManager[dict[str, str]]]
STREAMS = """
import sounddevice, subprocess, sys
from assistant.senses.portaudio import DEVICE, use_echo_canceller
use_echo_canceller()
with sounddevice.Stream(device=DEVICE, channels=1, samplerate=22050):
    pass
"""


@pytest.mark.parametrize(
    ("listed", "name"),
    [(PULSEAUDIO, "room.monitor.echo-cancel"), (PIPEWIRE, "echo-cancel-source"), ("", None), ("nothing\n", None)],
)
def test_it_is_known_by_its_name_or_its_maker(listed: str, name: str | None) -> None:
    assert canceller(listed) == name


def test_it_chooses_the_devices_itself(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["thread", "first-evening", "--echo-canceller", "--microphone", "usb"]) == 2
    assert capsys.readouterr().err == (
        "heddlecall: --echo-canceller chooses both devices; leave out --microphone and --loudspeaker\n"
    )


@pytest.mark.parametrize("server", EITHER)
def test_sound_goes_through_it_once_it_is_switched_on(tmp_path: Path, server: Server) -> None:
    with server(tmp_path) as env:

        def run(*command: str) -> str:
            return subprocess.run(command, env=env, capture_output=True, text=True, check=True).stdout

        thread = (sys.executable, "-m", "assistant", "thread", "first-evening", "--echo-canceller")
        told = subprocess.run(thread, env=env, capture_output=True, text=True, check=False)
        assert (told.returncode, told.stderr) == (
            2,
            f"heddlecall: no echo canceller is switched on; switch it on with: {SWITCH_ON}\n",
        )
        run("pactl", "load-module", "module-null-sink", "sink_name=room")
        masters = "sink_master=cable source_master=room.monitor"
        run("sh", "-c", f"{SWITCH_ON} {masters}")
        with (tmp_path / "streams.py").open("w") as file:
            file.write(STREAMS.replace("pass", "sys.stdin.read()"))
        streams = subprocess.Popen(
            [sys.executable, file.name], env=env | {"PYTHONPATH": os.pathsep.join(sys.path)}, stdin=subprocess.PIPE
        )
        try:
            for streams_of, devices in (("source-outputs", "sources"), ("sink-inputs", "sinks")):
                listed = run("pactl", "list", "short", devices)
                number = next(line for line in listed.splitlines() if f"\t{canceller(listed)}\t" in line).split("\t")[0]

                def attached(what: str = streams_of, number: str = number) -> bool:
                    return any(
                        line.split("\t")[1] == number for line in run("pactl", "list", "short", what).splitlines()
                    )

                assert wait(attached, 20), run("pactl", "list", "short", streams_of)
        finally:
            streams.communicate()
