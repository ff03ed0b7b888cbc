"""A whole warp through real devices: PulseAudio's null sink is the cable from loudspeaker to microphone.

`heddlecall thread` runs in a terminal of its own. One weaver speaks into the cable and listens to it; another only
uses keys. The warp must come to its end with every group even.
"""

import os
import pty
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.languages import load
from assistant.rehearsal.voices import EAR_RATE, Hibari
from assistant.rehearsal.weaver import Act, Mistake, Slip, Weaver
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal
from assistant.session.machine import Session
from assistant.session.resume import replayed
from assistant.session.view import GroupState, View
from assistant.warp.examples import find

NEEDED = ("pulseaudio", "pactl", "parec", "paplay")
MISSING = [program for program in NEEDED if shutil.which(program) is None]
pytestmark = [
    pytest.mark.skipif(bool(MISSING), reason=f"no cable without {', '.join(MISSING)}: apt install pulseaudio"),
    pytest.mark.timeout(420),
]

WARP = find("first-evening")
ENGLISH = load("en")
MONITOR_RATE = 22_050
QUIET_LEVEL = 0.01
KEYS = {Kind.NEXT: "n", Kind.DONE: "d", Kind.OVER: "o", Kind.SHORT: "s", Kind.REDO: "a", Kind.BACK: "b"}


@contextmanager
def running(*command: str, env: dict[str, str], **how: object) -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(command, env=env, **how)  # type: ignore[call-overload]
    try:
        yield process
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()


@pytest.fixture
def server(tmp_path: Path) -> Iterator[dict[str, str]]:
    """The environment of a sound server of our own, whose only device is the cable."""
    for folder in ("run", "state", "data", "cache", "config"):
        (tmp_path / folder).mkdir()
    socket = tmp_path / "socket"
    env = os.environ | {
        "PULSE_SERVER": f"unix:{socket}",
        "PULSE_RUNTIME_PATH": str(tmp_path / "run"),
        "PULSE_STATE_PATH": str(tmp_path / "state"),
        "HEDDLECALL_DATA": str(tmp_path / "data"),
        "XDG_CONFIG_HOME": str(tmp_path / "config"),
        "TERM": "xterm-256color",
    }
    modules = (
        f"module-native-protocol-unix socket={socket} auth-anonymous=1",
        f"module-null-sink sink_name=cable rate={MONITOR_RATE} channels=1",
    )
    loads = [word for module in modules for word in ("-L", module)]
    flags = ("-n", "--daemonize=no", "--exit-idle-time=-1", "--disable-shm=yes", "--use-pid-file=no")
    with running("pulseaudio", *flags, *loads, env=env, stderr=subprocess.DEVNULL):
        wait(lambda: subprocess.run(["pactl", "info"], env=env, capture_output=True, check=False).returncode == 0, 20)
        yield env


def wait(until: Callable[[], object], seconds: float) -> bool:
    """Whether it came true in time."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if until():
            return True
        time.sleep(0.05)
    return False


class Ears:
    """Listens to the cable: for how long it has been quiet, and how much was to be heard in all."""

    def __init__(self, stream: object):
        self.loud_at = time.monotonic()
        self.loud_s = 0.0
        threading.Thread(target=self._listen, args=(stream,), daemon=True).start()

    def _listen(self, stream: object) -> None:
        block = MONITOR_RATE // 50
        while data := stream.read(2 * block):  # type: ignore[attr-defined]
            samples = np.frombuffer(data[: len(data) // 2 * 2], np.int16) / 32768
            if np.abs(samples).max(initial=0) > QUIET_LEVEL:
                self.loud_at = time.monotonic()
                self.loud_s += len(samples) / MONITOR_RATE

    def quiet(self) -> bool:
        return time.monotonic() - self.loud_at > 0.6


@contextmanager
def at_the_loom(env: dict[str, str], *options: str) -> Iterator[tuple[subprocess.Popen[bytes], int]]:
    """`heddlecall thread` in a terminal of its own; its process, and the terminal's other end."""
    ours, theirs = pty.openpty()
    command = (sys.executable, "-m", "assistant", "thread", str(WARP), *options)
    with running(*command, env=env, stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True) as process:
        os.close(theirs)
        threading.Thread(target=drain, args=(ours,), daemon=True).start()
        yield process, ours


def drain(terminal: int) -> None:
    """Read what is drawn, so that the program is never held up by it."""
    try:
        while os.read(terminal, 65536):
            pass
    except OSError:
        pass


def events(env: dict[str, str]) -> list[Event]:
    """What the journal holds so far."""
    with Journal(Path(env["HEDDLECALL_DATA"], "journal.sqlite3")) as journal:
        record = journal.under_way(WARP)
        return journal.events(record) if record else []


def session(env: dict[str, str]) -> Session:
    with Journal(Path(env["HEDDLECALL_DATA"], "journal.sqlite3")) as journal:
        record = journal.under_way(WARP)
        assert record is not None
        return replayed(journal, record, ENGLISH)


def thread(
    env: dict[str, str], process: subprocess.Popen[bytes], weaver: Weaver, tell: Callable[[Act], None]
) -> Session:
    """Answer what the helper asks until it ends by itself; each act is told again when nothing comes of it."""
    assert wait(lambda: events(env), 30), "no sitting began"
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
    voice = Hibari()
    flags = ("-d", "cable.monitor", "--raw", "--format=s16le", f"--rate={MONITOR_RATE}", "--channels=1")
    with running("parec", *flags, "--latency-msec=10", env=server, stdout=subprocess.PIPE) as cable:
        ears = Ears(cable.stdout)

        def speak(act: Act) -> None:
            number = act.number if act.kind is Kind.NUMBER else None
            word = ENGLISH.commands[act.kind or Kind.NEXT][0] if number is None else ENGLISH.numbers[number]
            file = tmp_path / f"{word}.wav"
            soundfile.write(file, voice.say(word), EAR_RATE)
            assert wait(ears.quiet, 30), "the helper never stops speaking"
            subprocess.run(["paplay", "--device=cable", str(file)], env=server, check=True)

        with at_the_loom(server) as (process, _):
            finished = thread(server, process, Weaver([Mistake(Slip.SKIP, 7)]), speak)
        assert ears.loud_s > 20, "the helper was hardly heard"
    assert [(group.counted, group.state) for group in finished.summary()] == [
        (4, GroupState.EVEN),
        (16, GroupState.EVEN),
        (4, GroupState.EVEN),
    ]
    kept = events(server)
    assert {event.source for event in kept} == {"clock", "voice"}
    assert Kind.OVER in {event.kind for event in kept}


def test_a_weaver_who_only_uses_keys(server: dict[str, str]) -> None:
    with at_the_loom(server, "--deaf") as (process, terminal):

        def press(act: Act) -> None:
            key = str(act.number) if act.kind is Kind.NUMBER else KEYS[act.kind or Kind.NEXT]
            os.write(terminal, key.encode())

        finished = thread(server, process, Weaver([Mistake(Slip.EARLY_DONE, 10)]), press)
    assert all(group.state is GroupState.EVEN for group in finished.summary())
    kept = events(server)
    assert {event.source for event in kept} == {"clock", "key"}
    assert {Kind.DONE, Kind.BACK} <= {event.kind for event in kept}
