"""`heddlecall pedal`: learn which keys the switches of a pedal send, and keep it."""

import select
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from textual import events
from textual.app import App, ComposeResult
from textual.widgets import Static

from assistant.errors import DeviceLost, DeviceMissing
from assistant.senses.pedal.evdev_pedal import InputDevice, InputDevices, changes
from assistant.senses.pedal.gestures import Role
from assistant.senses.pedal.settings import Pedal, save_pedal
from assistant.senses.screen.terminal import arrival, key_name

ASK = "Press each switch of the pedal once, from left to right, then wait three seconds."
QUIET = 3.0  # seconds
PATIENCE = 60.0  # seconds to wait for the first press
GLANCE = 0.1  # seconds between looks at whether the lesson is over

ROLES = {
    1: [Role.ONE],
    2: [Role.REPEAT, Role.ONE],  # the right one alone can say everything; the left one adds what is quicker
    3: [Role.BACK, Role.REPEAT, Role.NEXT],
}

MODIFIERS = ("KEY_LEFTCTRL", "KEY_RIGHTCTRL", "KEY_LEFTSHIFT", "KEY_RIGHTSHIFT", "KEY_LEFTALT", "KEY_RIGHTALT")

MEANS = {
    Role.ONE: "press = next, two presses = repeat, three = uneven, long press = back",
    Role.BACK: "back",
    Role.REPEAT: "repeat, long press = uneven",
    Role.NEXT: "next",
}


class PedalLesson:
    """Which keys were pressed, in order. What another device sends than the first that sent anything is ignored."""

    def __init__(self, began: float) -> None:
        self.device = ""
        self.keys: list[str] = []
        self._ends = began + PATIENCE

    def press(self, key: str, at: float, device: str = "") -> bool:
        """A key was pressed; True where it is a switch not seen before."""
        if not self.keys:
            self.device = device
        if device != self.device:
            return False
        self._ends = at + QUIET
        new = key not in self.keys
        if new:
            self.keys.append(key)
        return new

    def over(self, now: float) -> bool:
        """Whether enough quiet has passed."""
        return now >= self._ends

    def switches(self) -> dict[str, Role]:
        """What each key is for. Raises DeviceMissing where the presses do not make a pedal."""
        if not self.keys:
            raise DeviceMissing("no switch was pressed, nothing is changed; plug the pedal in and try again")
        if len(self.keys) not in ROLES:
            raise DeviceMissing(f"{len(self.keys)} switches are too many, nothing is changed; press at most three")
        return dict(zip(self.keys, ROLES[len(self.keys)], strict=True))


class PedalLessonScreen(App[PedalLesson], inherit_bindings=False):
    """Shows what is asked and the keys that came; returns the lesson when it is over, nothing after Ctrl-C."""

    ENABLE_COMMAND_PALETTE = False
    CSS = "Screen { padding: 1 2; } Static { margin-bottom: 1; }"

    def __init__(self) -> None:
        super().__init__()
        self._lesson = PedalLesson(time.time())

    def compose(self) -> ComposeResult:
        yield Static(ASK)
        yield Static(id="keys", markup=False)

    def on_mount(self) -> None:
        self.set_interval(GLANCE, self._look)

    def on_key(self, event: events.Key) -> None:
        key = key_name(event)
        if key == "ctrl+c":
            self.exit()
        elif self._lesson.press(key, arrival(event)):
            lines = (f"switch {number}: {name}" for number, name in enumerate(self._lesson.keys, 1))
            self.query_one("#keys", Static).update("\n".join(lines))

    def _look(self) -> None:
        if self._lesson.over(time.time()):
            self.exit(self._lesson)


def teach(show: Callable[[str], None], source: str = "", file: Path | None = None) -> Pedal:
    """Learn a pedal, say what was learnt, and keep it in `file`.

    `source` is "evdev" (its device), "terminal" (the keys it types) or "": its device, where one can be read. Raises
    DeviceMissing where nothing can be learnt.
    """
    pedal = learn(show, source, InputDevices())
    for key, role in pedal.switches.items():
        show(f"{key}: {MEANS[role]}")
    show("while a number is asked for: press it out and wait, or long press = back")
    show(f"kept in {save_pedal(pedal, file)}")
    return pedal


def learn(show: Callable[[str], None], source: str, devices: InputDevices) -> Pedal:
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
    lesson = PedalLessonScreen().run(mouse=False)
    if lesson is None:
        raise DeviceMissing("the lesson was broken off, nothing is changed")
    return Pedal("terminal", "", lesson.switches())


def learn_device(show: Callable[[str], None], devices: InputDevices, opened: list[InputDevice]) -> Pedal:
    """A pedal from whichever of these devices sends a key first; closes them all."""
    lesson = PedalLesson(time.time())
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


def _arrived(lesson: PedalLesson, devices: InputDevices, opened: list[InputDevice]) -> Iterator[str]:
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
