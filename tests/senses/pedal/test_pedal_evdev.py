"""A pedal read from its own device: pressed, unplugged, plugged in again."""

import queue
import struct
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from machine import EVENING, Machine
from plugged import Folder

from assistant.clock import elapsed
from assistant.meaning import Tell
from assistant.senses.pedal import PedalSource, evdev_pedal
from assistant.senses.pedal.evdev_pedal import EvdevPedal, InputDevices
from assistant.senses.pedal.gestures import QUIET, Role
from assistant.senses.pedal.settings import Pedal
from assistant.session.events import Event, Kind

PATIENCE = 30  # seconds before a test gives up waiting
LINK = "usb-PCsensor_FootSwitch-event-kbd"


class AtTheLoom:
    """A folder of devices, a pedal read from it, and what it told."""

    def __init__(self, root: Path, switches: dict[str, Role]):
        self.folder = Folder(root)
        self.told: queue.Queue[Event | Tell | None] = queue.Queue()
        taught = Pedal(PedalSource.EVDEV, str(root / "by-id" / LINK), switches)
        self.pedal = EvdevPedal(taught, self.told.put, self.told.put, InputDevices(root, self.folder.open))

    def next(self) -> Kind | Tell | None:
        told = self.told.get(timeout=PATIENCE)
        return told.kind if isinstance(told, Event) else told


@pytest.fixture
def loom(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[AtTheLoom]:
    monkeypatch.setattr(evdev_pedal, "LOOK_AGAIN", 0.02)
    loom = AtTheLoom(tmp_path, {"KEY_B": Role.ONE})
    yield loom
    loom.pedal.close()


def test_presses_become_events_and_the_device_is_held_alone(loom: AtTheLoom) -> None:
    node = loom.folder.plug("event3", keys=["KEY_B"], link=LINK)
    loom.pedal.start()
    began = elapsed() - 100
    node.press("KEY_B", began)
    node.press("KEY_B", began + 2, began + 2.2)
    node.press("KEY_B", began + 4, seconds=1)
    assert [loom.next() for _ in range(3)] == [Kind.NEXT, Kind.REPEAT, Kind.BACK]
    assert node.grabbed


def test_a_press_is_decided_without_another_event_from_the_pedal(loom: AtTheLoom) -> None:
    node = loom.folder.plug("event3", keys=["KEY_B"], link=LINK)
    loom.pedal.start()
    node.press("KEY_B", elapsed() - 0.1)
    assert loom.next() is Kind.NEXT
    node.send("KEY_B", 1, elapsed())
    assert loom.next() is Kind.BACK


def test_a_number_is_pressed_out(loom: AtTheLoom) -> None:
    node = loom.folder.plug("event3", keys=["KEY_B"], link=LINK)
    loom.pedal.counting(True)
    loom.pedal.start()
    began = elapsed() - QUIET
    node.press("KEY_B", *(began + 0.3 * n for n in range(3)))
    event = loom.told.get(timeout=PATIENCE)
    assert isinstance(event, Event)
    assert (event.kind, event.number) == (Kind.NUMBER, 3)


def test_unplugged_and_plugged_in_again(loom: AtTheLoom) -> None:
    first = loom.folder.plug("event3", keys=["KEY_B"], link=LINK)
    loom.pedal.start()
    first.press("KEY_B", elapsed() - 10)
    assert loom.next() is Kind.NEXT
    first.send("KEY_B", 1, elapsed())
    loom.folder.unplug(first)
    assert loom.next() == Tell("the pedal went away; plug it in again, or go on with keys and voice")
    second = loom.folder.plug("event8", keys=["KEY_B"], link=LINK)
    assert loom.next() == Tell("pedal ready")
    second.press("KEY_B", elapsed() - 10)
    assert [loom.next(), loom.next()] == [None, Kind.NEXT]
    assert first.closed
    assert second.grabbed


def test_not_plugged_in_yet(loom: AtTheLoom) -> None:
    loom.pedal.start()
    assert loom.next() == Tell("no pedal is plugged in; plug it in, or go on with keys and voice")
    loom.folder.plug("event3", keys=["KEY_B"], link=LINK).press("KEY_B", elapsed() - 10)
    assert [loom.next(), loom.next(), loom.next()] == [Tell("pedal ready"), None, Kind.NEXT]


def test_held_by_another_program(loom: AtTheLoom) -> None:
    node = loom.folder.plug("event3", keys=["KEY_B"], link=LINK)
    node.taken = True
    loom.pedal.start()
    assert loom.next() == Tell("another program holds the pedal; end that program, or go on with keys and voice")
    node.taken = False
    assert loom.next() == Tell("pedal ready")


def test_a_keyboard_taught_as_a_pedal_can_still_leave(loom: AtTheLoom) -> None:
    node = loom.folder.plug("event3", keys=["KEY_B", "KEY_Q", "KEY_X"], link=LINK)
    loom.pedal.start()
    node.press("KEY_X", elapsed() - 10)
    node.press("KEY_Q", elapsed() - 9)
    assert loom.next() is Kind.LEAVE
    assert loom.told.empty()


def test_closed_the_pedal_is_let_go(tmp_path: Path) -> None:
    loom = AtTheLoom(tmp_path, {"KEY_Q": Role.NEXT})
    node = loom.folder.plug("event3", keys=["KEY_Q"], link=LINK)
    loom.pedal.start()
    node.press("KEY_Q", elapsed() - 10)
    assert loom.next() is Kind.NEXT
    loom.pedal.close()
    assert node.closed


def test_presses_count_whatever_the_clock_is_set_to(tmp_path: Path) -> None:
    machine, events = Machine(), queue.Queue[Event]()
    folder = Folder(tmp_path)
    node = folder.plug("event3", keys=["KEY_B"], link=LINK)
    taught = Pedal(PedalSource.EVDEV, str(tmp_path / "by-id" / LINK), {"KEY_B": Role.NEXT})
    pedal = EvdevPedal(taught, events.put, lambda _: None, InputDevices(tmp_path, folder.open), machine.clock)
    pedal.start()
    dated = []
    for _ in range(3):
        node.press("KEY_B", machine.passes(10, -3600).elapsed)
        dated.append(events.get(timeout=PATIENCE).at - EVENING)
    pedal.close()
    assert dated == [10, 20, 30]


def test_the_kernel_is_asked_to_date_a_pedal_by_what_the_clock_goes_by(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[int, int, bytes]] = []
    monkeypatch.setattr("fcntl.ioctl", lambda *asking: asked.append(asking))
    monkeypatch.setattr("evdev.InputDevice", lambda path: type("Device", (), {"fileno": lambda self: 7})())
    evdev_pedal.open_device("/dev/input/event3")
    write, number = 1 << 30, ord("E") << 8 | 0xA0  # _IOW('E', 0xa0, int) of linux/input.h
    assert asked == [(7, write | struct.calcsize("i") << 16 | number, struct.pack("i", time.CLOCK_BOOTTIME))]
