"""Teaching a pedal by its device; presses made long ago need no waiting for quiet."""

from pathlib import Path

import pytest
from plugged import Folder

from assistant.clock import elapsed
from assistant.errors import PedalError
from assistant.senses.pedal import PedalSource, teach
from assistant.senses.pedal.evdev_pedal import InputDevices
from assistant.senses.pedal.gestures import Role
from assistant.senses.pedal.settings import Pedal
from assistant.words.language import load

WORDS = teach.words_of(load("en"))


def test_the_device_that_sends_is_the_pedal(tmp_path: Path) -> None:
    folder = Folder(tmp_path)
    devices = InputDevices(tmp_path, folder.open)
    keyboard = folder.plug("event1", "keyboard", keys=["KEY_A"])
    mouse_of_the_pedal = folder.plug("event2", keys=["BTN_LEFT"], link="usb-Pedal-event-mouse")
    pedal = folder.plug("event3", keys=["KEY_A", "KEY_B", "KEY_C"], link="usb-Pedal-event-kbd")
    began = elapsed() - 100
    for n, key in enumerate(("KEY_A", "KEY_LEFTCTRL", "KEY_B", "KEY_C")):
        pedal.press(key, began + n)
    lines: list[str] = []
    learnt = teach.learn(lines.append, WORDS, None, devices)
    switches = {"KEY_A": Role.BACK, "KEY_B": Role.REPEAT, "KEY_C": Role.NEXT}
    assert learnt == Pedal(PedalSource.EVDEV, str(tmp_path / "by-id" / "usb-Pedal-event-kbd"), switches)
    assert lines == [WORDS.text("ask"), "switch 1: KEY_A", "switch 2: KEY_B", "switch 3: KEY_C"]
    assert keyboard.closed
    assert mouse_of_the_pedal.closed
    assert pedal.closed
    assert not pedal.grabbed


def test_a_pedal_unplugged_during_the_lesson_teaches_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(teach, "PATIENCE", 0.3)
    folder = Folder(tmp_path)
    pedal = folder.plug("event3", keys=["KEY_A"])
    devices = InputDevices(tmp_path, folder.open)
    opened = devices.all()
    folder.unplug(pedal)
    with pytest.raises(PedalError, match="no switch was pressed"):
        teach.learn_device(lambda line: None, WORDS, devices, opened)
