"""A pedal read from its own device, held for this program alone, whatever window is in front.

The input devices of Linux (/dev/input/event*), as evdev shows them; a pedal is one that sends keys.
"""

import os
import select
import struct
import sys
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing
from pathlib import Path
from typing import NoReturn, Protocol

from assistant.clock import SLEEPLESS, Clock
from assistant.errors import DeviceLost, DeviceMissing
from assistant.meaning import Tell
from assistant.senses.pedal.gestures import Change, Switches
from assistant.senses.pedal.keys import Keyboard
from assistant.senses.pedal.settings import Pedal
from assistant.session.events import Event, Kind, Origin
from assistant.words.keypad import PAD

EV_KEY = 1  # linux/input-event-codes.h
FIRST_BUTTON = 0x100  # codes below are keys of a keyboard, from here on buttons of mice and joysticks
BUILT_IN = 0x11  # linux/input.h, BUS_I8042: a laptop's own keyboard
EVIOCSCLOCKID = 0x400445A0  # linux/input.h
AUTO_REPEAT = 2  # the value of a key event; 1 is down, 0 up
ROOT = Path("/dev/input")
GONE = Tell("the pedal went away; plug it in again, or go on with keys and voice")


class InputEvent(Protocol):
    """One event of the kernel, as evdev.InputEvent."""

    type: int
    code: int
    value: int

    def timestamp(self) -> float:
        """Seconds, as `elapsed` of the clock tells them."""


class DeviceInfo(Protocol):
    """What a device says it is, as evdev.DeviceInfo."""

    @property
    def bustype(self) -> int:
        """How it is plugged in."""

    @property
    def vendor(self) -> int:
        """Who made it."""

    @property
    def product(self) -> int:
        """What it is."""


class InputDevice(Protocol):
    """One device node, as evdev.InputDevice."""

    name: str

    @property
    def path(self) -> str | bytes:
        """Its node, such as /dev/input/event5."""

    @property
    def info(self) -> DeviceInfo:
        """What it says it is."""

    def capabilities(self) -> dict[int, list[int]]:
        """Codes it can send, by type of event."""

    def fileno(self) -> int:
        """What to wait for."""

    def read(self) -> Iterable[InputEvent]:
        """What came; OSError where the device went."""

    def grab(self) -> None:
        """Have it alone; OSError where another program has it."""

    def close(self) -> None:
        """Let it go."""


def open_device(path: str) -> InputDevice:
    """One device node. Raises OSError where it went or may not be opened."""
    try:
        import evdev
    except ImportError as error:
        raise DeviceMissing(
            "a pedal cannot be read without evdev: pip install 'heddlecall[pedal]' on x86-64, "
            "else pip install evdev, which needs a C compiler"
        ) from error
    device: InputDevice = evdev.InputDevice(path)
    dated_steadily(device)
    return device


def dated_steadily(device: InputDevice) -> None:
    """Have its events dated by a clock that nobody sets. Raises OSError where the kernel has none."""
    if sys.platform == "linux":  # evdev is nowhere else
        import fcntl

        fcntl.ioctl(device.fileno(), EVIOCSCLOCKID, struct.pack("i", SLEEPLESS))


class InputDevices:
    """The devices under a folder such as /dev/input that may be pedals: they send keys of a keyboard."""

    def __init__(self, root: Path = ROOT, open_node: Callable[[str], InputDevice] = open_device) -> None:
        self._root, self._open_node = root, open_node

    def all(self) -> list[InputDevice]:
        """All of them, opened. Raises DeviceMissing where there are none, or none may be read."""
        return list(self._opened()) or self._none()

    def find(self, identity: str) -> InputDevice:
        """The one of this identity, opened. Raises DeviceMissing where it is not plugged in or may not be read."""
        for device in self._opened():
            if self.identity(device) == identity:
                return device
            device.close()
        return self._none()

    def identity(self, device: InputDevice) -> str:
        """What stays the same when it is plugged in again: its path in by-id, or else vendor:product:name."""
        node = Path(os.fsdecode(device.path)).resolve()
        links = sorted(str(link) for link in (self._root / "by-id").glob("*") if link.resolve() == node)
        return links[0] if links else f"{device.info.vendor:04x}:{device.info.product:04x}:{device.name}"

    def _opened(self) -> Iterator[InputDevice]:
        for node in self._nodes():
            try:
                device = self._open_node(str(node))
            except OSError:
                continue
            keys = device.capabilities().get(EV_KEY, [])
            if device.info.bustype != BUILT_IN and any(key < FIRST_BUTTON for key in keys):
                yield device
            else:
                device.close()

    def _nodes(self) -> list[Path]:
        return sorted(self._root.glob("event*"))

    def _none(self) -> NoReturn:
        """A device that may not be read looks as if it was not there: tell the two apart."""
        forbidden = [str(node) for node in self._nodes() if not os.access(node, os.R_OK)]
        if forbidden:
            raise DeviceMissing(
                "no pedal that may be read: {node} is closed to you; run 'sudo usermod -aG input $USER' and log in "
                "again, or open the pedal alone to you with a udev rule (docs/pedal.md)",
                node=forbidden[0],
            )
        raise DeviceMissing("no pedal is plugged in; plug it in, or go on with keys and voice")


def key_name(code: int) -> str:
    """The kernel's name of a key: 48 is "KEY_B"."""
    from evdev import ecodes

    names = ecodes.keys.get(code, f"KEY_{code}")
    return names if isinstance(names, str) else names[0]


def changes(device: InputDevice) -> list[tuple[str, Change]]:
    """The keys that went down or up since the last time, by the device's own time.

    Raises DeviceLost where the device was unplugged.
    """
    try:
        events = list(device.read())
    except BlockingIOError:
        return []
    except OSError as error:
        raise DeviceLost(GONE) from error
    return [
        (key_name(event.code), Change(event.timestamp(), bool(event.value)))
        for event in events
        if event.type == EV_KEY and event.value != AUTO_REPEAT
    ]


KEYPAD_KEYS = {device: key.name for key in PAD for device in key.devices}  # by the kernel's names


class Keypad:
    """Presses of a numeric keypad, which mean what they mean in a terminal."""

    def __init__(self) -> None:
        self._keyboard = Keyboard()
        self.counting, self.reading = self._keyboard.counting, self._keyboard.reading
        self.at = self._keyboard.at

    def forget(self) -> None:
        """Nothing is held that would have to be let go."""

    @property
    def due(self) -> float | None:
        """When `at` has something to say, if nothing else happens."""
        return self._keyboard.due

    def change(self, key: str, at: float, down: bool) -> list[Event]:
        """A key went down, or up; those that no keypad has mean nothing."""
        name = KEYPAD_KEYS.get(key)
        return self._keyboard.press(name, at) if down and name else self.at(at)


class TypingKeypad:
    """Presses of a numeric keypad where it types: each goes to `typed` by its name, and none is an event."""

    due = None

    def __init__(self, typed: Callable[[str], None]) -> None:
        self._typed = typed

    def counting(self, on: bool, checking: bool = False) -> None:
        """A key is the same whatever is asked for."""

    def reading(self, shafts: int) -> None:
        """Likewise."""

    def forget(self) -> None:
        """Nothing is held that would have to be let go."""

    def change(self, key: str, at: float, down: bool) -> list[Event]:
        """A key went down, or up; those that no keypad has mean nothing."""
        name = KEYPAD_KEYS.get(key)
        if down and name:
            self._typed(name)
        return []

    def at(self, now: float) -> list[Event]:
        """Nothing waits for its time."""
        return []


LOOK_AGAIN = 1.0  # seconds between looks for a pedal that is not there
LONGEST_WAIT = 0.2  # seconds until `close` is noticed
READY = Tell("pedal ready")
KEYPAD_AWAY = Tell("the keypad cannot be read: plug it in, or end what else holds it; voice, pedal and keyboard go on")
KEYPAD_READY = Tell("keypad ready")
LEAVING = ("KEY_Q", "KEY_ESC")  # a keyboard taught as a pedal is held too: it must be able to let go


class Presses(Protocol):
    """The ups and downs of a device's keys -> events, as Switches."""

    def counting(self, on: bool, checking: bool = False) -> None:
        """Whether a number is being counted out, or a threading checked by listening."""

    def reading(self, shafts: int) -> None:
        """Up to which shaft ends are being read; 0: none are."""

    def forget(self) -> None:
        """Begin anew: it was unplugged, and all keys are up."""

    @property
    def due(self) -> float | None:
        """When `at` has something to say, if nothing else happens."""

    def change(self, key: str, at: float, down: bool) -> list[Event]:
        """A key, by the kernel's name, went down or up; one that is none of its own means nothing."""

    def at(self, now: float) -> list[Event]:
        """What can be decided by now."""


class EvdevPedal:
    """Reads the pedal in a thread: events go to `post`, what there is to tell of plugging in and out to `notice`.

    What was told is taken back, with None, at the first press after.
    """

    def __init__(
        self,
        pedal: Pedal,
        post: Callable[[Event], None],
        notice: Callable[[Tell | None], None],
        devices: InputDevices | None = None,
        clock: Clock | None = None,
        presses: Presses | None = None,
    ) -> None:
        """`presses`: what becomes of its keys; by default what they mean at the loom."""
        self._clock = clock or Clock()
        self._pedal, self._post, self._notice = pedal, post, notice
        self._devices = devices or InputDevices()
        self._lock = threading.Lock()
        self._switches: Presses = presses or (Keypad() if pedal.keypad else Switches(pedal.switches))
        self._told: Tell | None = None
        self._closed = threading.Event()
        self._thread = threading.Thread(target=self._run, name="pedal", daemon=True)

    def start(self) -> None:
        """Begin to read; a pedal that is not there is looked for."""
        self._thread.start()

    def close(self) -> None:
        """Let the pedal go."""
        self._closed.set()
        self._thread.join()

    def counting(self, on: bool, checking: bool = False) -> None:
        """Whether a number is being counted out, or a threading checked by listening. From any thread."""
        with self._lock:
            self._switches.counting(on, checking)

    def reading(self, shafts: int) -> None:
        """Up to which shaft ends are being read; 0: none are. From any thread."""
        with self._lock:
            self._switches.reading(shafts)

    def _run(self) -> None:
        while device := self._look():
            with closing(device):
                try:
                    self._read(device)
                except DeviceLost:
                    self._missed(GONE)

    @property
    def _ready(self) -> Tell:
        return KEYPAD_READY if self._pedal.keypad else READY

    def _look(self) -> InputDevice | None:
        """The pedal, held, as soon as it is there; None once closed."""
        while not self._closed.is_set():
            try:
                device = self._hold()
            except DeviceMissing as missing:
                self._missed(missing.tell)
                self._closed.wait(LOOK_AGAIN)
            else:
                if self._told:
                    self._tell(self._ready)
                return device
        return None

    def _hold(self) -> InputDevice:
        device = self._devices.find(self._pedal.device)
        try:
            device.grab()
        except OSError as error:
            device.close()
            raise DeviceMissing(
                "another program holds the pedal; end that program, or go on with keys and voice"
            ) from error
        return device

    def _missed(self, what: Tell) -> None:
        with self._lock:
            self._switches.forget()
        if self._told in (None, self._ready):
            self._tell(KEYPAD_AWAY if self._pedal.keypad else what)

    def _tell(self, what: Tell | None) -> None:
        self._told = what
        self._notice(what)

    def _read(self, device: InputDevice) -> None:
        while not self._closed.is_set():
            ready, _, _ = select.select([device], [], [], self._patience())
            arrived = changes(device) if ready else []
            with self._lock:
                events = [event for key, change in arrived for event in self._take(key, change)]
                events += self._switches.at(self._clock.now())
            if (events or arrived) and self._told:
                self._tell(None)
            for event in events:
                self._post(event)

    def _patience(self) -> float:
        """Seconds to wait for the pedal before something else is to be done."""
        with self._lock:
            due = self._switches.due
        return LONGEST_WAIT if due is None else min(self._clock.until(due), LONGEST_WAIT)

    def _take(self, key: str, change: Change) -> list[Event]:
        at = self._clock.at(change.at)
        if key in LEAVING and key not in self._pedal.switches:
            return [Event(Kind.LEAVE, at, source=Origin.PEDAL)] if change.down else []
        return self._switches.change(key, at, change.down)
