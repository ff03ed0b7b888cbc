"""`heddlecall pedal`: learn which keys the switches of a pedal send, and keep it."""

import select
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from assistant.errors import DeviceLost, DeviceMissing
from assistant.senses.pedal.devices import Device, Devices, changes
from assistant.senses.pedal.gestures import Role
from assistant.senses.pedal.lesson import ASK, Lesson
from assistant.senses.pedal.settings import Pedal, save_pedal

GLANCE = 0.1  # seconds between looks at whether the lesson is over
MODIFIERS = ("KEY_LEFTCTRL", "KEY_RIGHTCTRL", "KEY_LEFTSHIFT", "KEY_RIGHTSHIFT", "KEY_LEFTALT", "KEY_RIGHTALT")

MEANS = {
    Role.ONE: "press = next, two presses = repeat, three = uneven, long press = back",
    Role.BACK: "back",
    Role.REPEAT: "repeat, long press = uneven",
    Role.NEXT: "next",
}


def teach(show: Callable[[str], None], source: str = "", file: Path | None = None) -> Pedal:
    """Learn a pedal, say what was learnt, and keep it in `file`.

    `source` is "evdev" (its device), "terminal" (the keys it types) or "": its device, where one can be read. Raises
    DeviceMissing where nothing can be learnt.
    """
    pedal = learn(show, source, Devices())
    for key, role in pedal.switches.items():
        show(f"{key}: {MEANS[role]}")
    show("while a number is asked for: press it out and wait, or long press = back")
    show(f"kept in {save_pedal(pedal, file)}")
    return pedal


def learn(show: Callable[[str], None], source: str, devices: Devices) -> Pedal:
    """A pedal, from its device or from the keys it types."""
    if source == "terminal" or (not source and sys.platform != "linux"):
        return learn_typed()
    try:
        opened = devices.all()
    except DeviceMissing as missing:
        if source:
            raise
        show(f"{missing}; until then it can serve by the keys it types")
        return learn_typed()
    return learn_device(show, devices, opened)


def learn_typed() -> Pedal:
    """A pedal from the keys that arrive in this terminal."""
    from assistant.senses.pedal.lesson_screen import LessonScreen

    lesson = LessonScreen().run(mouse=False)
    if lesson is None:
        raise DeviceMissing("the lesson was broken off, nothing is changed")
    return Pedal("terminal", "", lesson.switches())


def learn_device(show: Callable[[str], None], devices: Devices, opened: list[Device]) -> Pedal:
    """A pedal from whichever of these devices sends a key first; closes them all."""
    lesson = Lesson(time.time())
    show(ASK)
    try:
        with unechoed():
            while not lesson.over(time.time()):
                for key in _arrived(lesson, devices, opened):
                    show(f"switch {len(lesson.keys)}: {key}")
    finally:
        for device in opened:
            device.close()
    return Pedal("evdev", lesson.device, lesson.switches())


def _arrived(lesson: Lesson, devices: Devices, opened: list[Device]) -> Iterator[str]:
    """The keys of switches not seen before that arrive within GLANCE seconds."""
    ready, _, _ = select.select(opened, [], [], GLANCE)
    for device in ready:
        try:
            arrived = changes(device)
        except DeviceLost:
            opened.remove(device)
            device.close()
            continue
        for key, change in arrived:
            if change.down and key not in MODIFIERS and lesson.press(key, change.at, devices.identity(device)):
                yield key


@contextmanager
def unechoed() -> Iterator[None]:
    """What the pedal types meanwhile is not shown, nor left for the shell to run."""
    if not sys.stdin.isatty():
        yield
        return
    import termios

    before = termios.tcgetattr(sys.stdin)
    silent = [*before]
    silent[3] &= ~termios.ECHO
    termios.tcsetattr(sys.stdin, termios.TCSADRAIN, silent)
    try:
        yield
    finally:
        termios.tcsetattr(sys.stdin, termios.TCSAFLUSH, before)
