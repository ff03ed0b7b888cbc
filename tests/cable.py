"""A real cable from loudspeaker to microphone: a sound server of our own with a null sink, and who listens to it."""

import os
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
from waiting import wait

NEEDED = ("pulseaudio", "pactl", "parec", "paplay")
MISSING = [program for program in NEEDED if shutil.which(program) is None]
MONITOR_RATE = 22_050
CABLE = f"module-null-sink sink_name=cable rate={MONITOR_RATE} channels=1"
QUIET_LEVEL = 0.01  # of full scale
QUIET_S = 0.6


@contextmanager
def running(*command: str, env: dict[str, str], **how: object) -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(command, env=env, **how)  # type: ignore[call-overload]
    try:
        yield process
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()


@contextmanager
def sound_server(folder: Path) -> Iterator[dict[str, str]]:
    """The environment of a sound server of our own, whose only device is the cable; its files lie in the folder."""
    env = environment(folder)
    with serving(env):
        yield env


def environment(folder: Path) -> dict[str, str]:
    """For a sound server, and for who uses it."""
    for name in ("run", "state", "data", "config"):
        (folder / name).mkdir()
    return os.environ | {
        "PULSE_SERVER": f"unix:{folder / 'socket'}",
        "PULSE_RUNTIME_PATH": str(folder / "run"),
        "PULSE_STATE_PATH": str(folder / "state"),
        "HEDDLECALL_DATA": str(folder / "data"),
        "XDG_CONFIG_HOME": str(folder / "config"),
        "TERM": "xterm-256color",
    }


@contextmanager
def serving(env: dict[str, str]) -> Iterator[subprocess.Popen[bytes]]:
    """The sound server, until it is killed."""
    modules = (
        f"module-native-protocol-unix socket={env['PULSE_SERVER'].removeprefix('unix:')} auth-anonymous=1",
        CABLE,
    )
    loads = [word for module in modules for word in ("-L", module)]
    flags = ("-n", "--daemonize=no", "--exit-idle-time=-1", "--disable-shm=yes", "--use-pid-file=no")
    with running("pulseaudio", *flags, *loads, env=env, stderr=subprocess.DEVNULL) as process:
        wait(lambda: subprocess.run(["pactl", "info"], env=env, capture_output=True, check=False).returncode == 0, 20)
        yield process


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
        return time.monotonic() - self.loud_at > QUIET_S


@contextmanager
def listening(env: dict[str, str], cable: str = "cable") -> Iterator[Ears]:
    """Somebody who listens to the cable, or to another."""
    flags = ("-d", f"{cable}.monitor", "--raw", "--format=s16le", f"--rate={MONITOR_RATE}", "--channels=1")
    with running("parec", *flags, "--latency-msec=10", env=env, stdout=subprocess.PIPE) as parec:
        yield Ears(parec.stdout)


@contextmanager
def in_a_terminal(
    env: dict[str, str], *words: str, seen: bytearray | None = None
) -> Iterator[tuple[subprocess.Popen[bytes], int]]:
    """A command in a terminal of its own; its process, and the terminal's other end.

    What it draws is added to `seen`.
    """
    ours, theirs = os.openpty()
    command = (sys.executable, "-m", "assistant", *words)
    with running(*command, env=env, stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True) as process:
        os.close(theirs)
        threading.Thread(target=drain, args=(ours, seen), daemon=True).start()
        yield process, ours


def drain(terminal: int, seen: bytearray | None = None) -> None:
    """Read what is drawn, so that the program is never held up by it."""
    try:
        while drawn := os.read(terminal, 65536):
            if seen is not None:
                seen += drawn
    except OSError:
        pass
