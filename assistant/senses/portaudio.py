"""PortAudio, which mouth and ear both need: loaded on first use, kept quiet, and led through an echo canceller."""

import atexit
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager, suppress
from types import ModuleType
from typing import Any, TypeVar, cast

from assistant.ending import exit_code
from assistant.errors import DeviceMissing
from assistant.meaning import Tell
from assistant.output import ALIGNED

INSTALL = Tell("install PortAudio (Debian, Ubuntu: sudo apt install libportaudio2; Fedora: sudo dnf install portaudio)")
NO_SOUND = Tell("no sound without PortAudio; {install}", install=INSTALL)
NO_MICROPHONE = Tell("no microphone without PortAudio; {install}", install=INSTALL)
UNANSWERED = Tell("the sound server does not answer; start it again, then heddlecall")
ANSWERS_WITHIN_S = 8.0  # at the beginning; a wireless loudspeaker takes some seconds
CLOSES_WITHIN_S = 2.0
LOST_AFTER_S = 1.3  # PortAudio tells of no lost device: only its calls, every 30 ms, stop coming
PRIMED_WITHIN_S = 0.5  # from opening: PortAudio fills its buffers at once, whether the device wakes or not
WAKES_WITHIN_S = 5.0  # PulseAudio's null sink takes up to 2 s from opening to its first call, a wireless one longer

_abandoned = threading.Event()
_closings: list[Future[None]] = []  # of streams, that did not come back in time
T = TypeVar("T")


def answered(ask: Callable[[], T]) -> T:
    """What asking the sound server comes to; what that raises is raised. Raises DeviceMissing where it does not answer.

    A call into a server that hangs never returns: the program ends without it.
    """
    if _abandoned.is_set():
        raise DeviceMissing(UNANSWERED)
    try:
        return _apart(ask).result(ANSWERS_WITHIN_S)
    except TimeoutError:
        abandon()
        raise DeviceMissing(UNANSWERED) from None


def _apart(ask: Callable[[], T]) -> Future[T]:
    """Asked in a thread of its own, to which a call that never returns is left."""
    answer: Future[T] = Future()

    def wait() -> None:
        try:
            answer.set_result(ask())
        except BaseException as error:
            answer.set_exception(error)

    threading.Thread(target=wait, name="sound", daemon=True).start()
    return answer


def load_portaudio(lacking: Tell) -> ModuleType:
    """The module sounddevice. Raises DeviceMissing, telling what is lacking, without PortAudio."""
    try:
        import sounddevice
    except OSError as error:
        raise DeviceMissing(lacking) from error
    return cast(ModuleType, sounddevice)


def rescan() -> None:
    """Find out anew which devices there are: PortAudio looks only once. Every stream must be closed; may block.

    Left out while one is still being closed: PortAudio would free what that stream goes by.
    """
    sounddevice = sys.modules.get("sounddevice")
    if sounddevice and all(closing.done() for closing in _closings):
        for step in (sounddevice._terminate, sounddevice._initialize):
            with suppress(sounddevice.PortAudioError):  # then no device is found, which is told by who opens one
                step()


def close(stream: Any) -> None:
    """Close a stream, unless all were abandoned; one that is not closed in time is forgotten, and others may be opened.

    PortAudio 19.6 never comes back from closing a stream whose sound server died within about a second after it was
    opened. The thread that it has for the stream cannot be stopped and keeps one core busy until the program ends,
    which it then does without PortAudio.
    """
    if not stream or _abandoned.is_set():
        return
    closing = _apart(stream.close)
    try:
        closing.result(CLOSES_WITHIN_S)
    except TimeoutError:
        _closings.append(closing)
        atexit.register(_end)


def abandon() -> None:
    """Let the program end although a call into PortAudio never came back: whatever else would wait for it is left out.

    Otherwise PortAudio's own end would wait for ever, or crash under the threads it still has. The exit code is that
    of the command.
    """
    _abandoned.set()
    atexit.register(_end)


def _end() -> None:
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError):  # whoever read it is gone
            stream.flush()
    os._exit(exit_code())


def lasting(device: str | int | None, about: dict[str, Any]) -> str | None:
    """How to find a device again, when its number and the place it is plugged into may be others."""
    return str(about["name"]).partition(" (hw:")[0] if isinstance(device, int) else device


def first_line(error: Exception) -> str:
    """What an error says, in one line."""
    return str(error).partition("\n")[0]


class Heartbeat:
    """When a device called last, and until when what it was given is heard; seconds on the caller's clock."""

    def __init__(self, now: float):
        self._settled_from = now + PRIMED_WITHIN_S
        self._lost_from = now + WAKES_WITHIN_S
        self._quiet_from = now
        self.awake = False  # whether it called by itself

    def block(self, now: float, seconds: float = 0.0, sounding: bool = False) -> None:
        """A block was brought, or asked for; in the second case it has left after so many seconds."""
        if now >= self._settled_from:
            self._lost_from = now + LOST_AFTER_S
            self.awake = True
        if sounding:
            self._quiet_from = now + seconds

    def alive(self, now: float) -> bool:
        """Whether blocks still come and go."""
        return now < self._lost_from

    def sounding(self, now: float) -> bool:
        """Whether the last block with sound in it has not left yet."""
        return now < self._quiet_from


DEVICE = "pulse"  # as PortAudio names the way to the sound server, which takes its devices from the environment
SWITCH_ON = (
    "pactl load-module module-echo-cancel aec_method=webrtc "
    "aec_args='\"analog_gain_control=0 digital_gain_control=0\"'"  # else it turns the microphone up and down by itself
)


def use_echo_canceller() -> None:
    """Let PortAudio, if it is loaded after this, find it as DEVICE. Raises DeviceMissing where none is switched on."""
    source, sink = (canceller(_listed(what)) for what in ("sources", "sinks"))
    if not (source and sink):
        raise DeviceMissing(
            "no echo canceller is switched on; switch it on with: {command}",
            command=SWITCH_ON,
        )
    os.environ |= {"PULSE_SOURCE": source, "PULSE_SINK": sink}


def canceller(listed: str) -> str | None:
    """The name of the canceller's own source or sink among those that `pactl list short` lists."""
    for line in listed.splitlines():
        _, name, driver, *_ = [*line.split("\t"), "", ""]
        if "echo-cancel" in name + driver and not name.endswith(".monitor"):
            return name
    return None


def _listed(what: str) -> str:
    try:
        return subprocess.run(["pactl", "list", "short", what], capture_output=True, text=True, check=True).stdout
    except (OSError, subprocess.CalledProcessError) as error:
        raise DeviceMissing(
            "no echo canceller without PulseAudio or PipeWire and pactl (Debian, Ubuntu: sudo apt install "
            "pulseaudio-utils); leave out --echo-canceller"
        ) from error


@contextmanager
def libraries_quiet() -> Iterator[None]:
    """Drop what PortAudio, ALSA and recognisers write to file descriptor 2; Python's own standard error still shows."""
    standard, before = os.dup(2), (sys.stderr, sys.__stderr__)
    shown = os.fdopen(os.dup(2), "w", encoding=sys.stderr.encoding, errors=ALIGNED)
    with open(os.devnull, "w") as nothing, shown as ours:
        os.dup2(nothing.fileno(), 2)
        sys.stderr = sys.__stderr__ = ours  # type: ignore[misc]
        try:
            yield
        finally:
            sys.stderr, sys.__stderr__ = before  # type: ignore[misc]
            os.dup2(standard, 2)
            os.close(standard)
