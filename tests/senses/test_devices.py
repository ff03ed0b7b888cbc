"""Devices that go away: which are named, what is closed for whom, and that nothing is waited for."""

import os
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from waiting import wait

from assistant.errors import DeviceMissing
from assistant.senses.devices import Devices


class Bench:
    """What is plugged in, the list of it that was made last, and all that was done, in order."""

    def __init__(self) -> None:
        self.plugged = {"ear", "mouth"}
        self.listed = {"ear", "mouth"}
        self.done: list[str] = []
        self.abandoned = False
        self.open: set[str] = set()

    def rescan(self) -> None:
        assert not self.open, "the list is made anew only when all are closed"
        self.listed = set(self.plugged)
        self.done.append("rescan")

    def abandon(self) -> None:
        self.abandoned = True

    def pull(self, name: str) -> None:
        self.plugged.discard(name)


class Plug:
    """A device on the bench; opened only while it is listed, and there."""

    def __init__(self, bench: Bench, name: str):
        self.bench, self.name = bench, name
        self.reopen()

    def alive(self) -> bool:
        return self.name in self.bench.open & self.bench.plugged

    awake = alive

    def shut(self) -> None:
        self.bench.open.discard(self.name)
        self.bench.done.append(f"shut {self.name}")

    def reopen(self) -> None:
        self.bench.done.append(f"open {self.name}")
        if self.name not in self.bench.listed & self.bench.plugged:
            raise DeviceMissing(f"no {self.name}")
        self.bench.open.add(self.name)


def devices(bench: Bench, busy: Callable[[], bool] = lambda: False) -> Devices:
    made = Devices(bench.rescan, bench.abandon, busy)
    for name in ("ear", "mouth"):
        made.watch(name, Plug(bench, name))
    bench.done.clear()
    return made


def test_one_that_only_stopped_is_opened_again_and_the_other_left_alone() -> None:
    bench = Bench()
    watched = devices(bench)
    assert watched.lost() == set()
    bench.open.discard("ear")
    assert watched.lost() == {"ear"}
    assert wait(lambda: not watched.lost())
    assert bench.done == ["shut ear", "open ear"]


def test_one_that_is_listed_no_more_is_found_by_a_new_list_and_all_are_opened_together() -> None:
    bench = Bench()
    watched = devices(bench)
    bench.pull("ear")
    bench.listed.discard("ear")
    assert watched.lost() == {"ear"}
    assert wait(lambda: "rescan" in bench.done)
    bench.plugged.add("ear")
    assert wait(lambda: not watched.lost())
    assert bench.open == {"ear", "mouth"}


def test_a_device_that_is_well_is_never_told_lost_for_being_opened_anew() -> None:
    bench = Bench()
    watched = devices(bench)
    bench.pull("ear")
    told: set[str] = set()

    def opened_anew() -> bool:
        told.update(watched.lost())
        return bench.done.count("rescan") == 2

    assert wait(opened_anew)
    assert told == {"ear"}


def test_a_mouth_that_speaks_is_not_interrupted_for_the_ear() -> None:
    bench, tried = Bench(), threading.Event()

    def busy() -> bool:
        tried.set()
        return True

    watched = devices(bench, busy)
    bench.pull("ear")
    watched.lost()
    assert tried.wait(30)
    assert "shut mouth" not in bench.done
    watched.close()


def test_another_loss_is_told_while_the_system_hangs() -> None:
    bench, let = Bench(), threading.Event()

    class Hanging(Plug):
        def shut(self) -> None:
            let.wait()

    watched = devices(bench)
    watched.watch("ear", Hanging(bench, "ear"))
    bench.pull("ear")
    assert watched.lost() == {"ear"}
    bench.pull("mouth")
    assert watched.lost() == {"ear", "mouth"}
    watched.close()
    assert bench.abandoned, "a call that does not come back is not waited for"
    let.set()


def test_at_the_end_all_are_closed_and_none_is_opened_again() -> None:
    bench = Bench()
    watched = devices(bench)
    bench.pull("ear")
    watched.lost()
    watched.close()
    assert not bench.open
    assert not bench.abandoned
    bench.plugged.add("ear")
    done = len(bench.done)
    watched.lost()
    assert len(bench.done) == done


HANGING = """
import atexit, sys, time
from contextlib import closing
from assistant.cli import main
from assistant.errors import DeviceLost
from assistant.senses import devices, portaudio
from assistant.senses.mouth import loudspeaker

class Hanging:
    alive = awake = reopen = lambda self: True
    def shut(self):
        time.sleep(3600)

def speak(*_, **__):
    watched = devices.Devices(abandon=portaudio.abandon)
    watched.watch("loudspeaker", Hanging())
    with closing(watched):
        {ends}
    return []

atexit.register(time.sleep, 3600)  # as PortAudio's own end would wait for the sound server
devices.LEAVE_WITHIN_S = 0.1
loudspeaker.speak = speak
sys.exit(main(["speak"]))
"""


@pytest.mark.parametrize(
    ("ends", "code"),
    [
        ("pass", 0),
        ("raise DeviceLost('it went away')", 2),
        ("1 / 0", 1),
        ("raise KeyboardInterrupt", 130),
    ],
)
def test_where_a_sound_server_hangs_the_exit_code_is_that_of_the_command(ends: str, code: int) -> None:
    done = subprocess.run(
        [sys.executable, "-c", HANGING.format(ends=ends)], capture_output=True, text=True, timeout=120, check=False
    )
    assert done.returncode == code, done.stderr
    assert ("it went away" in done.stderr) == (code == 2)
    assert ("ZeroDivisionError" in done.stderr) == ("/" in ends)


STUCK = """
import atexit, sys, threading, time
from contextlib import closing
from types import SimpleNamespace

import numpy as np
from assistant.cli import main
from assistant.senses import devices, portaudio
from assistant.senses.ear import microphone
from assistant.senses.mouth import loudspeaker

opened = []

class Stream:
    def __init__(self, callback, **_):
        self.callback = callback
        opened.append(self)

    def start(self):
        if len(opened) > 1:  # the first is dead from the beginning
            threading.Thread(target=self.bring, daemon=True).start()

    def bring(self):
        while True:
            self.callback(np.zeros((480, 1), np.float32), 480, None, None)
            time.sleep(0.01)

    def close(self):
        if self is opened[0]:
            time.sleep(3600)

made = SimpleNamespace(
    PortAudioError=OSError,
    InputStream=Stream,
    query_devices=lambda *_: {"name": "made", "default_samplerate": 16_000, "max_input_channels": 1},
    _terminate=lambda: print("terminated"),
    _initialize=lambda: None,
)

def speak(*_, **__):
    ear = microphone.Microphone(None, lambda: False)
    watched = devices.Devices(portaudio.rescan, portaudio.abandon)
    watched.watch("microphone", ear)
    with closing(watched):
        while not ear.awake():
            watched.lost()
            time.sleep(0.01)
        portaudio.rescan()
    print("taken up again")

atexit.register(time.sleep, 3600)  # as PortAudio's own end may
sys.modules["sounddevice"] = made
portaudio.WAKES_WITHIN_S = portaudio.CLOSES_WITHIN_S = 0.2
portaudio.PRIMED_WITHIN_S = 0.0
microphone.load_portaudio = lambda lacking: made
loudspeaker.speak = speak
sys.exit(main(["speak"]))
"""


def test_a_stream_that_is_never_closed_keeps_no_device_away_and_does_not_hold_up_the_end() -> None:
    done = subprocess.run([sys.executable, "-c", STUCK], capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout == "taken up again\n", "PortAudio may not be ended under the stream"


HUNG = """
import sys, time
from assistant.cli import main
from assistant.senses import portaudio
from assistant.senses.mouth import loudspeaker

portaudio.ANSWERS_WITHIN_S = 0.2
loudspeaker.load_portaudio = lambda lacking: time.sleep(3600)
sys.exit(main([{command}]))
"""


def test_a_sound_server_that_hangs_at_the_start_holds_up_nothing(tmp_path: Path) -> None:
    """A sitting goes on without sound, and says so; a command that is for sound says it in a line."""
    file = tmp_path / "runner.yaml"
    file.write_text("{title: R, shafts: 2, groups: [{name: e, thread: 1 2}]}")
    env = os.environ | {"HEDDLECALL_DATA": str(tmp_path)}
    for command, given, code in ((f"'thread', {str(file)!r}, '--deaf'", "q\n", 0), ("'speak', 'x'", "", 2)):
        script = HUNG.format(command=command)
        done = subprocess.run(
            [sys.executable, "-c", script],
            input=given, capture_output=True, text=True, env=env, timeout=120, check=False,
        )  # fmt: skip
        assert "the sound server does not answer" in done.stdout + done.stderr
        assert done.returncode == code, done.stderr
