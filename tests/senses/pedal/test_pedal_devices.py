"""Finding the pedal among the input devices, and saying why when it cannot be found."""

import os
import sys
from pathlib import Path

import pytest
from plugged import Folder

from assistant.errors import DeviceLost, DeviceMissing
from assistant.senses.pedal.evdev_pedal import InputDevices, changes, key_name, open_device
from assistant.senses.pedal.gestures import Change


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    return Folder(tmp_path)


@pytest.fixture
def devices(folder: Folder) -> InputDevices:
    return InputDevices(folder.root, folder.open)


def test_of_two_nodes_of_a_pedal_only_the_one_with_keys_may_be_it(folder: Folder, devices: InputDevices) -> None:
    mouse = folder.plug("event1", keys=["BTN_LEFT", "BTN_RIGHT"])
    pedal = folder.plug("event2", keys=["KEY_A", "KEY_B"])
    silent = folder.plug("event3")
    assert devices.all() == [pedal]
    assert (mouse.closed, pedal.closed, silent.closed) == (True, False, True)


def test_a_laptops_own_keyboard_is_not_taken_for_a_pedal(folder: Folder, devices: InputDevices) -> None:
    folder.plug("event0", "built in", keys=["KEY_A"], bus=0x11)
    with pytest.raises(DeviceMissing, match="no pedal is plugged in"):
        devices.all()


def test_a_pedal_is_known_by_its_link(folder: Folder, devices: InputDevices) -> None:
    pedal = folder.plug("event2", keys=["KEY_A"], link="usb-PCsensor_FootSwitch-event-kbd")
    identity = devices.identity(pedal)
    assert identity == str(folder.root / "by-id" / "usb-PCsensor_FootSwitch-event-kbd")
    folder.unplug(pedal)
    again = folder.plug("event9", keys=["KEY_A"], link="usb-PCsensor_FootSwitch-event-kbd")
    folder.plug("event2", "another keyboard", keys=["KEY_A"])
    assert devices.find(identity) is again


def test_without_a_link_a_pedal_is_known_by_what_it_says_it_is(folder: Folder, devices: InputDevices) -> None:
    folder.plug("event1", keys=["BTN_LEFT"])
    other = folder.plug("event2", "keyboard", keys=["KEY_A"])
    pedal = folder.plug("event3", keys=["KEY_A"])
    assert devices.identity(pedal) == "1a86:e026:FootSwitch"
    assert devices.find("1a86:e026:FootSwitch") is pedal
    assert other.closed
    assert not pedal.closed


def test_a_pedal_that_is_not_there(folder: Folder, devices: InputDevices) -> None:
    folder.plug("event2", "keyboard", keys=["KEY_A"])
    with pytest.raises(DeviceMissing, match="no pedal is plugged in; plug it in, or go on with keys and voice"):
        devices.find("1a86:e026:FootSwitch")


def test_without_rights_the_weaver_is_told_what_to_run(
    folder: Folder, devices: InputDevices, monkeypatch: pytest.MonkeyPatch
) -> None:
    (folder.root / "event4").touch()
    monkeypatch.setattr(os, "access", lambda path, mode: Path(path).name != "event4")
    for look in (devices.all, lambda: devices.find("1a86:e026:FootSwitch")):
        with pytest.raises(DeviceMissing, match=r"event4 is closed to you; run 'sudo usermod -aG input \$USER'"):
            look()


def test_a_computer_without_input_devices(tmp_path: Path) -> None:
    with pytest.raises(DeviceMissing, match="no pedal is plugged in"):
        InputDevices(tmp_path / "nowhere").all()


def test_a_node_that_is_no_input_device_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "event0").touch()
    with pytest.raises(DeviceMissing, match="no pedal is plugged in"):
        InputDevices(tmp_path).all()


def test_without_evdev_the_weaver_is_told_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "evdev", None)
    with pytest.raises(DeviceMissing, match=r"pip install 'heddlecall\[pedal\]'"):
        open_device("/dev/input/event0")


def test_keys_have_the_kernels_names() -> None:
    """Codes from linux/input-event-codes.h; 113 has two names there, 0x2ff none."""
    assert [key_name(code) for code in (30, 48, 57, 109)] == ["KEY_A", "KEY_B", "KEY_SPACE", "KEY_PAGEDOWN"]
    assert key_name(113) in ("KEY_MUTE", "KEY_MIN_INTERESTING")
    assert key_name(0x2FF) == "KEY_767"


def test_ups_and_downs_are_read_with_the_kernels_time_and_auto_repeat_is_not(folder: Folder) -> None:
    pedal = folder.plug("event2", keys=["KEY_B"])
    for value, at in ((1, 1000.25), (2, 1000.5), (2, 1000.75), (0, 1001.5)):
        pedal.send("KEY_B", value, at)
    assert changes(pedal) == [("KEY_B", Change(1000.25, True)), ("KEY_B", Change(1001.5, False))]


def test_a_pedal_that_has_nothing_to_say_is_still_there(folder: Folder) -> None:
    assert changes(folder.plug("event2", keys=["KEY_B"])) == []


def test_a_pedal_that_is_unplugged_is_lost(folder: Folder) -> None:
    pedal = folder.plug("event2", keys=["KEY_B"])
    folder.unplug(pedal)
    with pytest.raises(DeviceLost, match="the pedal went away; plug it in again"):
        changes(pedal)
