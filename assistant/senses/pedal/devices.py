"""The input devices of Linux (/dev/input/event*), as evdev shows them. A pedal is one that sends keys."""

import os
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import NoReturn, Protocol

from assistant.errors import DeviceLost, DeviceMissing
from assistant.senses.pedal.gestures import Change

EV_KEY = 1  # linux/input-event-codes.h
FIRST_BUTTON = 0x100  # codes below are keys of a keyboard, from here on buttons of mice and joysticks
BUILT_IN = 0x11  # linux/input.h, BUS_I8042: a laptop's own keyboard
AUTO_REPEAT = 2  # the value of a key event; 1 is down, 0 up
ROOT = Path("/dev/input")
NOT_PLUGGED_IN = "no pedal is plugged in; plug it in, or go on with keys and voice"
NO_RIGHTS = (
    "no pedal that may be read: {} is closed to you; run 'sudo usermod -aG input $USER' and log in again, "
    "or open the pedal alone to you with a udev rule (see the README)"
)


class InputEvent(Protocol):
    """One event of the kernel, as evdev.InputEvent."""

    type: int
    code: int
    value: int

    def timestamp(self) -> float:
        """Seconds since the epoch."""


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


class Device(Protocol):
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


def open_device(path: str) -> Device:
    """One device node. Raises OSError where it went or may not be opened."""
    try:
        import evdev
    except ImportError as error:
        raise DeviceMissing("a pedal cannot be read without evdev: pip install 'heddlecall[pedal]'") from error
    device: Device = evdev.InputDevice(path)
    return device


class Devices:
    """The devices under a folder such as /dev/input that may be pedals: they send keys of a keyboard."""

    def __init__(self, root: Path = ROOT, open_node: Callable[[str], Device] = open_device) -> None:
        self._root, self._open_node = root, open_node

    def all(self) -> list[Device]:
        """All of them, opened. Raises DeviceMissing where there are none, or none may be read."""
        return list(self._opened()) or self._none()

    def find(self, identity: str) -> Device:
        """The one of this identity, opened. Raises DeviceMissing where it is not plugged in or may not be read."""
        for device in self._opened():
            if self.identity(device) == identity:
                return device
            device.close()
        return self._none()

    def identity(self, device: Device) -> str:
        """What stays the same when it is plugged in again: its path in by-id, or else vendor:product:name."""
        node = Path(os.fsdecode(device.path)).resolve()
        links = sorted(str(link) for link in (self._root / "by-id").glob("*") if link.resolve() == node)
        return links[0] if links else f"{device.info.vendor:04x}:{device.info.product:04x}:{device.name}"

    def _opened(self) -> Iterator[Device]:
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
        raise DeviceMissing(NO_RIGHTS.format(forbidden[0]) if forbidden else NOT_PLUGGED_IN)


def key_name(code: int) -> str:
    """The kernel's name of a key: 48 is "KEY_B"."""
    from evdev import ecodes

    names = ecodes.keys.get(code, f"KEY_{code}")
    return names if isinstance(names, str) else names[0]


def changes(device: Device) -> list[tuple[str, Change]]:
    """The keys that went down or up since the last time. Raises DeviceLost where the device was unplugged."""
    try:
        events = list(device.read())
    except BlockingIOError:
        return []
    except OSError as error:
        raise DeviceLost("the pedal went away; plug it in again, or go on with keys and voice") from error
    return [
        (key_name(event.code), Change(event.timestamp(), bool(event.value)))
        for event in events
        if event.type == EV_KEY and event.value != AUTO_REPEAT
    ]
