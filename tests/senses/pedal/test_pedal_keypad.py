"""A numeric keypad: by what a terminal is sent, read from its own device, and taught."""

import asyncio
import queue
from collections.abc import Iterator
from pathlib import Path

import pytest
from plugged import Folder
from textual.events import Key

from assistant.clock import elapsed
from assistant.meaning import Tell
from assistant.senses.pedal import PedalSource, evdev_pedal, teach
from assistant.senses.pedal.evdev_pedal import KEYPAD_AWAY, KEYPAD_READY, EvdevPedal, InputDevices, TypingKeypad
from assistant.senses.pedal.gestures import Role
from assistant.senses.pedal.keys import BY_KEY
from assistant.senses.pedal.settings import Pedal, keypad_file, load_pedal, save_pedal, settings_file
from assistant.senses.pedal.teach import PedalLesson, PedalLessonScreen
from assistant.senses.screen.driver import TypedKeys
from assistant.senses.screen.terminal import key_name
from assistant.session.events import Event, Kind
from assistant.words.keypad import MEANINGS, PAD, keys_for, one_by_one
from assistant.words.language import load

PATIENCE = 30  # seconds before a test gives up waiting
LINK = "usb-SEM_USB_Keyboard-event-kbd"


def named(data: bytes) -> list[str]:
    """The keys that a terminal's bytes are taken for."""
    return [key_name(event) for event in TypedKeys().feed(data) if isinstance(event, Key)]


def test_the_table_holds_each_key_once_and_none_lies_on_another() -> None:
    names = [key.name for key in PAD]
    devices = [device for key in PAD for device in key.devices]
    assert len(names) == len(set(names))
    assert len(devices) == len(set(devices))
    lie = [(key.column + x, key.row + y) for key in PAD for x in range(key.wide) for y in range(key.high)]
    assert len(lie) == len(set(lie))
    assert {one for keys in MEANINGS for one in one_by_one(keys)} <= set(names)
    assert {keys: BY_KEY[keys] for keys in MEANINGS if keys != "0"} == {
        keys: kind for keys, kind in MEANINGS.items() if keys != "0"
    }


def test_what_is_done_most_has_the_large_keys() -> None:
    large = {key.name for key in PAD if key.wide * key.high > 1}
    assert {key: MEANINGS[key] for key in large} == {"enter": Kind.NEXT, "0": Kind.NEXT, "+": Kind.REPEAT}
    assert keys_for(Kind.NEXT)[0] == "enter"


@pytest.mark.parametrize(
    ("sequence", "key"),
    [
        *((b"\x1bOq", "1"), (b"\x1bOp", "0"), (b"\x1bOn", "."), (b"\x1bOM", "enter"), (b"\x1bOk", "+")),
        *((b"\x1bOm", "-"), (b"\x1bOj", "*"), (b"\x1bOo", "/"), (b"\x1bOX", "=")),  # xterm's ctlseqs, VT220 keypad
        *((b"\x1b[57424u", "1"), (b"\x1b[57420;129u", "2"), (b"\x1b[57427~", "5"), (b"\x1b[57425u", "0")),
        *((b"\x1b[57426u", "."), (b"\x1b[57410u", "/"), (b"\x1b[57413u", "+"), (b"\x1b[57414u", "enter")),
        *((b"\x1b[A", "up"), (b"\x1b[6~", "pagedown"), (b"\x1b[H", "home")),  # the others'
        *((b"7", "7"), (b",", ","), (b"\r", "enter")),
    ],
)
def test_what_a_terminal_sends_is_the_key_with_num_lock_or_without(
    sequence: bytes, key: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """kitty's keyboard protocol: 57399 to 57427 are the keypad's."""
    monkeypatch.setenv("TERM", "xterm-256color")
    assert named(sequence) == [key]


def test_the_console_of_linux_has_signs_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """drivers/tty/vt/keyboard.c, app_map."""
    monkeypatch.setenv("TERM", "linux")
    assert named(b"\x1bOl\x1bOS\x1bOR\x1bOQ\x1bOM\x1bOt") == ["+", "-", "*", "/", "enter", "4"]


@pytest.mark.parametrize("sequence", [b"\x1b[99999999999u", b"\x1bO", b"\x1b[u", b"\x1bOz", b"\x1b[57417;;;u"])
def test_no_sequence_is_a_fault(sequence: bytes) -> None:
    list(TypedKeys().feed(sequence * 3))


KEYPAD = Pedal(PedalSource.EVDEV, "", {}, keypad=True)


class BesideTheLoom:
    """A folder of devices, a keypad read from it, and what it told."""

    def __init__(self, root: Path):
        self.folder = Folder(root)
        self.told: queue.Queue[Event | Tell | None] = queue.Queue()
        taught = Pedal(PedalSource.EVDEV, str(root / "by-id" / LINK), {}, keypad=True)
        self.pad = EvdevPedal(taught, self.told.put, self.told.put, InputDevices(root, self.folder.open))

    def next(self) -> tuple[Kind, int | None] | Tell | None:
        told = self.told.get(timeout=PATIENCE)
        return (told.kind, told.number) if isinstance(told, Event) else told


@pytest.fixture
def beside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[BesideTheLoom]:
    monkeypatch.setattr(evdev_pedal, "LOOK_AGAIN", 0.02)
    beside = BesideTheLoom(tmp_path)
    yield beside
    beside.pad.close()


def test_it_is_read_from_its_own_device_which_is_held_alone(beside: BesideTheLoom) -> None:
    node = beside.folder.plug("event7", "SEM USB Keyboard", keys=["KEY_KP1", "KEY_KPENTER"], link=LINK)
    beside.pad.counting(False)
    beside.pad.start()
    began = elapsed() - 100
    for after, key in enumerate(
        ("KEY_KPENTER", "KEY_KP0", "KEY_KPSLASH", "KEY_KP7", "KEY_NUMLOCK", "KEY_KP5", "KEY_KPDOT")
    ):
        node.press(key, began + 2 * after)
    assert [beside.next() for _ in range(5)] == [
        *((Kind.NEXT, None), (Kind.NEXT, None), (Kind.FINISHED, None), (Kind.NUMBER, 5), (Kind.HELP, None)),
    ]
    assert node.grabbed
    beside.pad.counting(True)
    for after, key in enumerate(("KEY_END", "KEY_KP2", "KEY_ENTER")):  # one that minds Num Lock itself
        node.press(key, began + 30 + after)
    assert beside.next() == (Kind.NUMBER, 12)
    beside.pad.counting(False)
    beside.pad.reading(4)
    node.press("KEY_KP3", began + 40)
    node.press("KEY_KP3", began + 41)
    assert [beside.next(), beside.next()] == [(Kind.NUMBER, 3)] * 2


def test_it_goes_away_and_comes_back(beside: BesideTheLoom) -> None:
    beside.pad.start()
    assert beside.next() == KEYPAD_AWAY
    node = beside.folder.plug("event7", keys=["KEY_KP1"], link=LINK)
    assert beside.next() == KEYPAD_READY
    node.press("KEY_KPPLUS", elapsed())
    assert [beside.next(), beside.next()] == [None, (Kind.REPEAT, None)]


def test_where_a_threading_is_written_in_it_types(tmp_path: Path) -> None:
    folder, typed = Folder(tmp_path), queue.Queue[str]()
    taught = Pedal(PedalSource.EVDEV, str(tmp_path / "by-id" / LINK), {}, keypad=True)
    node = folder.plug("event7", keys=["KEY_KP1", "KEY_KPENTER"], link=LINK)
    presses = TypingKeypad(typed.put)
    devices = InputDevices(tmp_path, folder.open)
    pad = EvdevPedal(taught, lambda _: typed.put("leave"), lambda _: None, devices, presses=presses)
    pad.start()
    for key in ("KEY_KP1", "KEY_HOME", "KEY_KPPLUS", "KEY_NUMLOCK", "KEY_KPENTER", "KEY_ESC"):
        node.press(key, elapsed())
    assert [typed.get(timeout=PATIENCE) for _ in range(5)] == ["1", "7", "+", "enter", "leave"]
    pad.close()


def lesson(*keys: str) -> PedalLesson:
    begun = PedalLesson(100)
    for after, key in enumerate(keys):
        begun.press(key, 101 + after, "pad")
    return begun


@pytest.mark.parametrize(
    "keys",
    [
        ("KEY_KP1",),
        ("KEY_KP1", "KEY_KP2", "KEY_KP3", "KEY_KPENTER"),
        ("KEY_END", "KEY_DOWN", "KEY_PAGEDOWN", "KEY_ENTER"),
    ],
)
def test_a_keypad_is_known_by_its_keys(keys: tuple[str, ...]) -> None:
    assert lesson(*keys).pedal(PedalSource.EVDEV) == Pedal(PedalSource.EVDEV, "pad", {}, keypad=True)


@pytest.mark.parametrize("keys", [("KEY_B",), ("KEY_PAGEUP", "KEY_PAGEDOWN"), ("KEY_LEFT", "KEY_ENTER", "KEY_RIGHT")])
def test_a_pedal_that_sends_some_of_them_stays_one(keys: tuple[str, ...]) -> None:
    assert not lesson(*keys).keypad


def test_pedal_and_keypad_are_kept_beside_each_other(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    pedal = Pedal(PedalSource.TERMINAL, "", {"b": Role.ONE})
    assert save_pedal(pedal) == settings_file()
    assert save_pedal(KEYPAD) == keypad_file()
    assert (load_pedal(), load_pedal(keypad_file())) == (pedal, KEYPAD)


def test_what_it_means_is_told_when_it_was_taught(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(teach, "learn", lambda *_: KEYPAD)
    lines: list[str] = []
    file = tmp_path / "keypad.yaml"
    assert teach.teach(lines.append, load("en"), file=file) == KEYPAD == load_pedal(file)
    assert {"enter: Next", "/ 7: Finished", "/ / enter: Leave"} <= set(lines)
    assert lines[-1] == f"kept in {file}"


def test_in_a_terminal_it_needs_no_lesson(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(teach, "QUIET", 1.0)
    monkeypatch.setattr(teach, "GLANCE", 0.02)

    async def typed() -> PedalLesson | None:
        screen = PedalLessonScreen(teach.words_of(load("en")))
        async with screen.run_test(size=(80, 24)) as pilot:
            await pilot.press("1", "2", "3", "enter")
            while screen.is_running:
                await pilot.pause(0.05)
        return screen.return_value

    learnt = asyncio.run(typed())
    assert learnt is not None
    monkeypatch.setattr(teach, "learn_typed", lambda words: learnt.pedal(PedalSource.TERMINAL))
    lines: list[str] = []
    teach.teach(lines.append, load("en"), PedalSource.TERMINAL, tmp_path / "keypad.yaml")
    assert "needs no lesson" in lines[-1]
    assert not (tmp_path / "keypad.yaml").exists()
