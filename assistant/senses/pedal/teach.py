"""`heddlecall pedal`: learn which keys the switches of a pedal send, or that it is a numeric keypad, and keep it."""

import select
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from textual import events
from textual.app import ComposeResult
from textual.widgets import Static

from assistant.clock import elapsed
from assistant.errors import DeviceLost, DeviceMissing, PedalError
from assistant.senses.pedal import PedalSource
from assistant.senses.pedal.evdev_pedal import InputDevice, InputDevices, changes
from assistant.senses.pedal.gestures import Role
from assistant.senses.pedal.settings import Pedal, save_pedal
from assistant.senses.screen import LEAVE, at_a_terminal
from assistant.senses.screen.terminal import TypingApp, key_name, waited
from assistant.words.glossary import Glossary
from assistant.words.keypad import MEANINGS, PAD, one_by_one
from assistant.words.language import Language
from assistant.words.phrases import Phrases

QUIET = 3.0  # seconds
PATIENCE = 60.0  # seconds to wait for the first press
GLANCE = 0.1  # seconds between looks at whether the lesson is over

ROLES = {
    1: [Role.ONE],
    2: [Role.REPEAT, Role.ONE],  # the right one alone can say everything; the left one adds what is quicker
    3: [Role.BACK, Role.REPEAT, Role.NEXT],
}

KEYPADS_OWN = "KEY_KP"  # begins the kernel's names of keys that only a keypad has
OF_KEYPADS = {name for key in PAD for name in (key.name, key.unlocked, *key.devices)}

MODIFIERS = ("KEY_LEFTCTRL", "KEY_RIGHTCTRL", "KEY_LEFTSHIFT", "KEY_RIGHTSHIFT", "KEY_LEFTALT", "KEY_RIGHTALT")


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

    @property
    def keypad(self) -> bool:
        """It is one: a key came that only a keypad has, or more keys than a pedal has, all of them of one."""
        several = len(self.keys) > max(ROLES) and all(key in OF_KEYPADS for key in self.keys)
        return several or any(key.startswith(KEYPADS_OWN) for key in self.keys)

    def pedal(self, source: PedalSource) -> Pedal:
        """What was taught. Raises PedalError where the presses do not make a pedal."""
        return Pedal(source, self.device, {} if self.keypad else self.switches(), self.keypad)

    def switches(self) -> dict[str, Role]:
        """What each key is for. Raises PedalError where the presses do not make a pedal."""
        if not self.keys:
            raise PedalError("no switch was pressed, nothing is changed; plug the pedal in and try again")
        if len(self.keys) not in ROLES:
            raise PedalError(
                "{count} switches are too many, nothing is changed; press at most three", count=len(self.keys)
            )
        return dict(zip(self.keys, ROLES[len(self.keys)], strict=True))


class PedalLessonScreen(TypingApp[PedalLesson]):
    """Shows what is asked and the keys that came; returns the lesson when it is over, nothing after Ctrl-C."""

    CSS = "Screen { padding: 1 2; } Static { margin-bottom: 1; }"

    def __init__(self, words: Phrases) -> None:
        super().__init__()
        self._words = words
        self._lesson = PedalLesson(elapsed())

    def compose(self) -> ComposeResult:
        yield Static(self._words.text("ask"), markup=False)
        yield Static(id="keys", markup=False)

    def on_mount(self) -> None:
        self.set_interval(GLANCE, self._look)

    def on_key(self, event: events.Key) -> None:
        key = key_name(event)
        if key == LEAVE:
            self.exit()
        elif self._lesson.press(key, elapsed() - waited(event)):
            lines = (self._words.text("switch", number=n, name=name) for n, name in enumerate(self._lesson.keys, 1))
            self.query_one("#keys", Static).update("\n".join(lines))

    def _look(self) -> None:
        if self._lesson.over(elapsed()):
            self.exit(self._lesson)


def teach(
    show: Callable[[str], None], language: Language, source: PedalSource | None = None, file: Path | None = None
) -> Pedal:
    """Learn a pedal, say what was learnt, and keep it in `file`, by default the user's own.

    Without a source it is its device, where one can be read, else the keys it types. Raises PedalError where nothing is
    learnt, DeviceMissing where its device was asked for and cannot be read, SettingsError where it cannot be kept.
    """
    words = words_of(language)
    pedal = learn(show, words, source, InputDevices())
    for key, role in pedal.switches.items():
        show(words.text(f"role {role}", name=key))
    if pedal.keypad:
        labels = Glossary(language)
        for keys, kind in MEANINGS.items():
            show(words.text("key means", keys=" ".join(one_by_one(keys)), label=labels.label(kind)))
    if pedal.keypad and pedal.source is PedalSource.TERMINAL:
        show(words.text("keypad needs no lesson"))
        return pedal
    show(words.text("keypad" if pedal.keypad else "counting"))
    show(words.text("kept", file=save_pedal(pedal, file)))
    return pedal


def words_of(language: Language) -> Phrases:
    """What is told in the lesson."""
    return Phrases.read(language, "pedal", "phrases", "errors")


def learn(show: Callable[[str], None], words: Phrases, source: PedalSource | None, devices: InputDevices) -> Pedal:
    """A pedal, from its device or from the keys it types."""
    if source is PedalSource.TERMINAL or (source is None and sys.platform != "linux"):
        return learn_typed(words)
    try:
        opened = devices.all()
    except DeviceMissing as missing:
        if source:
            raise
        show(words.text("by its keys", why=missing.tell))
        return learn_typed(words)
    return learn_device(show, words, devices, opened)


def learn_typed(words: Phrases) -> Pedal:
    """A pedal from the keys that arrive in this terminal. Raises PedalError where there is none."""
    if not at_a_terminal():
        raise PedalError("a pedal's keys are learnt in a terminal, and this is none; give the command in one")
    lesson = PedalLessonScreen(words).run(mouse=False)
    if lesson is None:
        raise PedalError("the lesson was broken off, nothing is changed")
    return lesson.pedal(PedalSource.TERMINAL)


def learn_device(
    show: Callable[[str], None], words: Phrases, devices: InputDevices, opened: list[InputDevice]
) -> Pedal:
    """A pedal from whichever of these devices sends a key first; closes them all."""
    lesson = PedalLesson(elapsed())
    show(words.text("ask"))
    try:
        with unechoed():
            while not lesson.over(elapsed()):
                for key in _arrived(lesson, devices, opened):
                    show(words.text("switch", number=len(lesson.keys), name=key))
    finally:
        for device in opened:
            device.close()
    return lesson.pedal(PedalSource.EVDEV)


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
    if sys.platform == "win32" or not sys.stdin.isatty():
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
