"""A folder like /dev/input whose nodes are pipes: what is written into one is read by evdev's own code.

The bytes are the kernel's `struct input_event` (linux/input.h): seconds, microseconds, type, code, value.
"""

import errno
import os
import struct
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

evdev = pytest.importorskip("evdev", reason="the pedal is read through evdev, which is not installed")

from evdev import InputEvent, ecodes  # noqa: E402
from evdev.eventio import EventIO  # noqa: E402

INPUT_EVENT = struct.Struct("@llHHi")


class Node(EventIO):
    """One node, as evdev.InputDevice shows it."""

    def __init__(self, path: Path, name: str, keys: Iterable[str], bus: int = ecodes.BUS_USB):
        self.path, self.name = str(path), name
        self.info = evdev.DeviceInfo(bus, 0x1A86, 0xE026, 0x110)
        self.grabbed = self.closed = self.taken = False
        self._keys = [ecodes.ecodes[key] for key in keys]
        self.fd, self._foot = os.pipe()
        os.set_blocking(self.fd, False)

    def capabilities(self) -> dict[int, list[int]]:
        return {ecodes.EV_SYN: [0], **({ecodes.EV_KEY: self._keys} if self._keys else {})}

    def read(self) -> Iterator[InputEvent]:
        events = list(super().read())
        if not events:
            raise OSError(errno.ENODEV, os.strerror(errno.ENODEV))
        return iter(events)

    def grab(self) -> None:
        if self.taken:
            raise OSError(errno.EBUSY, os.strerror(errno.EBUSY))
        self.grabbed = True

    def close(self) -> None:
        self.closed = True

    def send(self, key: str, value: int, at: float) -> None:
        """The pedal sends a key: down 1, up 0, auto-repeat 2."""
        os.write(self._foot, report(key, value, at))

    def press(self, key: str, *ats: float, seconds: float = 0.1) -> None:
        """Presses in the past, in one write: a reader that woke between them would take the foot to be still down."""
        os.write(self._foot, b"".join(report(key, 1, at) + report(key, 0, at + seconds) for at in ats))

    def unplug(self) -> None:
        os.close(self._foot)


def report(key: str, value: int, at: float) -> bytes:
    """A key's event and the report that the kernel sends after it."""
    events = ((ecodes.EV_KEY, ecodes.ecodes[key], value), (ecodes.EV_SYN, ecodes.SYN_REPORT, 0))
    return b"".join(INPUT_EVENT.pack(int(at), round(at % 1 * 1e6), *event) for event in events)


class Folder:
    """The folder; nodes are plugged in and out of it."""

    def __init__(self, root: Path):
        self.root = root
        self.nodes: dict[str, Node] = {}
        (root / "by-id").mkdir()

    def plug(self, event: str, name: str = "FootSwitch", keys: Iterable[str] = (), link: str = "", **more: int) -> Node:
        path = self.root / event
        path.touch()
        if link:
            (self.root / "by-id" / link).symlink_to(f"../{event}")
        self.nodes[str(path)] = Node(path, name, keys, **more)
        return self.nodes[str(path)]

    def unplug(self, node: Node) -> None:
        for link in (self.root / "by-id").iterdir():
            if link.resolve() == Path(node.path):
                link.unlink()
        Path(node.path).unlink()
        del self.nodes[node.path]
        node.unplug()

    def open(self, path: str) -> Node:
        if path not in self.nodes:
            raise OSError(errno.EACCES, os.strerror(errno.EACCES))
        return self.nodes[path]
