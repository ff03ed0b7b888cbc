"""Teaching the pedal: each switch once, from left to right, then quiet."""

import asyncio
import os
import select
import sys
from io import StringIO
from pathlib import Path

import pytest

from assistant.errors import DeviceMissing, PedalError
from assistant.senses.pedal import PedalSource, teach
from assistant.senses.pedal.evdev_pedal import InputDevices
from assistant.senses.pedal.gestures import Role
from assistant.senses.pedal.settings import Pedal, load_pedal
from assistant.senses.pedal.teach import PATIENCE, QUIET, PedalLesson, PedalLessonScreen
from assistant.words.language import codes, load
from assistant.words.phrases import Phrases


def taught(*keys: str) -> PedalLesson:
    lesson = PedalLesson(100)
    for n, key in enumerate(keys):
        lesson.press(key, 101 + n)
    return lesson


@pytest.mark.parametrize(
    ("keys", "switches"),
    [
        (["b"], {"b": Role.ONE}),
        (["a", "b"], {"a": Role.REPEAT, "b": Role.ONE}),
        (["left", "up", "right"], {"left": Role.BACK, "up": Role.REPEAT, "right": Role.NEXT}),
        (["b", "b", "b"], {"b": Role.ONE}),
    ],
)
def test_the_number_of_switches_says_what_each_is_for(keys: list[str], switches: dict[str, Role]) -> None:
    assert taught(*keys).switches() == switches


def test_no_switch_or_too_many_teach_nothing() -> None:
    with pytest.raises(PedalError, match="no switch was pressed"):
        taught().switches()
    with pytest.raises(PedalError, match="4 switches are too many"):
        taught("a", "b", "c", "d").switches()


def test_three_seconds_of_quiet_end_the_lesson_but_the_first_press_is_waited_for() -> None:
    lesson = PedalLesson(100)
    assert not lesson.over(100 + PATIENCE - 1)
    assert lesson.over(100 + PATIENCE)
    lesson.press("b", 150)
    assert not lesson.over(150 + QUIET - 0.1)
    assert lesson.over(150 + QUIET)


def test_only_the_device_that_sent_first_is_listened_to() -> None:
    lesson = PedalLesson(100)
    assert lesson.press("KEY_B", 101, "pedal")
    assert not lesson.press("KEY_X", 102, "keyboard")
    assert lesson.press("KEY_C", 103, "pedal")
    assert (lesson.device, lesson.keys) == ("pedal", ["KEY_B", "KEY_C"])


async def typed(*keys: str) -> PedalLessonScreen:
    """The lesson in a terminal in which these keys are pressed."""
    screen = PedalLessonScreen(teach.words_of(load("en")))
    async with screen.run_test(size=(80, 24)) as pilot:
        await pilot.press(*keys)
        while screen.is_running and "ctrl+c" not in keys:
            await pilot.pause(0.05)
    return screen


def test_a_pedal_that_types_is_learnt_in_the_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(teach, "QUIET", 1.0)
    monkeypatch.setattr(teach, "GLANCE", 0.02)
    lesson = asyncio.run(typed("left", "left", "pagedown", "B")).return_value
    assert lesson is not None
    assert lesson.keys == ["left", "pagedown", "b"]


def test_the_lesson_can_be_broken_off() -> None:
    assert asyncio.run(typed("left", "ctrl+c")).return_value is None


def test_where_only_the_device_will_do_its_absence_is_said(tmp_path: Path) -> None:
    with pytest.raises(DeviceMissing, match="no pedal is plugged in"):
        teach.learn(lambda line: None, teach.words_of(load("en")), PedalSource.EVDEV, InputDevices(tmp_path))


def test_what_was_learnt_is_said_and_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    learnt = Pedal(PedalSource.TERMINAL, "", {"pagedown": Role.ONE})
    monkeypatch.setattr(teach, "learn_typed", lambda words: learnt)
    lines: list[str] = []
    file = tmp_path / "pedal.yaml"
    assert teach.teach(lines.append, load("en"), PedalSource.TERMINAL, file) == learnt == load_pedal(file)
    assert lines == [
        "pagedown: press = next, two presses = repeat, three = uneven, long press = back",
        "while a number is asked for: press it out and wait, or long press = back",
        f"kept in {file}",
    ]


def test_what_the_pedal_types_meanwhile_is_neither_shown_nor_left(monkeypatch: pytest.MonkeyPatch) -> None:
    termios = pytest.importorskip("termios", reason="Windows has no terminals of this kind")
    terminal, inside = os.openpty()
    with os.fdopen(inside) as stdin:
        monkeypatch.setattr(sys, "stdin", stdin)
        before = termios.tcgetattr(stdin)
        with teach.unechoed():
            os.write(terminal, b"rm\n")
            assert not termios.tcgetattr(stdin)[3] & termios.ECHO
            assert select.select([inside], [], [], 30)[0]  # it has passed through the terminal
        assert termios.tcgetattr(stdin) == before
        os.write(terminal, b"ls\n")
        assert os.read(inside, 100) == b"ls\n"
    os.close(terminal)


@pytest.mark.parametrize("code", codes())
def test_the_lesson_is_told_in_the_language_chosen(code: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(teach, "learn_typed", lambda words: Pedal(PedalSource.TERMINAL, "", taught().switches()))
    with pytest.raises(PedalError) as error:
        teach.teach(print, load(code), PedalSource.TERMINAL, tmp_path / "pedal.yaml")
    assert str(error.value) == "no switch was pressed, nothing is changed; plug the pedal in and try again"
    assert (Phrases.read(load(code), "errors").told(error.value.tell) == str(error.value)) == (code == "en")
    lines: list[str] = []
    learnt = Pedal(PedalSource.TERMINAL, "", taught("a", "b", "c").switches())
    monkeypatch.setattr(teach, "learn_typed", lambda words: learnt)
    teach.teach(lines.append, load(code), PedalSource.TERMINAL, tmp_path / "pedal.yaml")
    assert [line.partition(" ")[0].rstrip(":") for line in lines[:3]] == ["a", "b", "c"]
    assert lines[3] == load(code).pedal["counting"]


def test_its_keys_are_learnt_in_a_terminal_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else the screen would be drawn into whatever stands in for one."""
    monkeypatch.setattr("sys.stdin", StringIO("\n"))
    with pytest.raises(PedalError, match="in a terminal"):
        teach.learn_typed(teach.words_of(load("en")))
