"""The screen of plain lines, and the one that remembers."""

import gc
import io
import subprocess
import sys
import threading
import weakref
from collections.abc import Iterator
from dataclasses import replace

import pytest
from at_the_loom import CALLING, CLOSING, ENGLISH, FINISHED, OFF, WELL, called, figure
from memory import Memory

from assistant.meaning import Tell
from assistant.senses.screen import Screen
from assistant.senses.screen.lines import Lines
from assistant.session.events import Event, Kind
from assistant.session.view import Status, View


def printed(*shown: tuple[View, Status]) -> list[str]:
    out = io.StringIO()
    screen = Lines(ENGLISH, out, keys=[])
    for view, status in shown:
        screen.show(view, status)
    return out.getvalue().splitlines()


def test_everything_is_said_once() -> None:
    assert printed((CALLING, WELL), (CALLING, WELL), (CALLING, WELL)) == [
        "hears you, speaks",
        "heard: next",
        "stripe 4: group 5 of 12",
        "about 3 h 10 min left, by your own pace",
        "ends 15 to 18: 1, 2, 3, 4; 14 of 24 ends, warp 214 of 1,000 ends, 21 %",
    ]


def test_a_new_call_is_one_line() -> None:
    after = called(figure("3/7"), figure("8"), first=219, counted=18, done=218, seconds_left=11_400)
    assert printed((CALLING, WELL), (after, WELL))[5:] == [
        "ends 19 to 20: 3/7, 8; 18 of 24 ends, warp 218 of 1,000 ends, 21 %"
    ]


def test_questions_alerts_and_notes_are_lines() -> None:
    assert printed((CALLING, WELL), (CLOSING, WELL), (OFF, replace(WELL, notices=(Tell("pedal ready"),))))[5:] == [
        "All 24 ends of stripe 4 are called. Did they come out even?",
        "note: the pedal is ready",
        "COUNT OFF: Thread it again, say that it is right, or go on.",
    ]


def test_a_call_that_comes_back_is_said_again() -> None:
    lines = printed((CALLING, WELL), (CLOSING, WELL), (CALLING, WELL))
    assert lines.count("ends 15 to 18: 1, 2, 3, 4; 14 of 24 ends, warp 214 of 1,000 ends, 21 %") == 2


def test_what_is_asked_for_is_told_each_time_in_one_sentence() -> None:
    """Where, repeat and volume change nothing that is shown; whoever reads with a screen reader still hears of them."""
    asked = [Event(kind, 0.0, source="key") for kind in (Kind.WHERE, Kind.WHERE, Kind.REPEAT, Kind.LOUDER, Kind.LOUDER)]
    shown = [(replace(CALLING, step=step), replace(WELL, heard=event)) for step, event in enumerate(asked, 1)]
    sentence = "stripe 4, ends 15 to 18 of 24: 1, 2, 3, 4"
    assert printed((CALLING, WELL), *shown, (replace(CALLING, step=6), replace(WELL, heard="position")))[5:] == [
        *("heard: Position", sentence) * 2,
        *("heard: Repeat", sentence),
        *("heard: Volume up",) * 2,
        *("heard: position", sentence),
    ]


def test_the_list_of_groups_ends_the_warp() -> None:
    lines = printed((FINISHED, WELL))
    assert "!    7  stripe 7         24       22  OFF, 2 short" in lines
    assert lines[-1] == "959 of 960 ends counted in 40 groups; OFF: group 7"


def test_no_line_holds_an_escape_code() -> None:
    lines = printed((CALLING, WELL), (CLOSING, WELL), (OFF, WELL), (FINISHED, WELL))
    assert all(line.isprintable() for line in lines)


def test_keys_are_read_a_line_each_and_it_leaves_when_they_end() -> None:
    typed: list[str] = []
    all_typed = threading.Event()

    def on_key(key: str, at: float) -> None:
        typed.append(key)
        if key == "ctrl+c":
            all_typed.set()

    screen = Lines(ENGLISH, io.StringIO(), keys=["n\n", "\n", " Space \n", "14\n"])
    screen.run(lambda: None if all_typed.wait(30) else pytest.fail("a key is missing"), on_key)
    assert typed == ["n", "enter", "space", "14", "ctrl+c"]


SESSION = """
import queue, sys
from assistant.senses.screen.lines import KeyLines
keys = queue.SimpleQueue()
def main():
    print("ready", flush=True)
    while (key := keys.get()) not in ("q", "ctrl+c"):
        print(key, flush=True)
    print("left by", key, flush=True)
KeyLines().run(main, lambda key, at: keys.put(key))
"""


def session() -> subprocess.Popen[str]:
    pipe = subprocess.PIPE
    return subprocess.Popen([sys.executable, "-c", SESSION], text=True, stdin=pipe, stdout=pipe, stderr=pipe)


def test_keys_come_from_a_pipe() -> None:
    out, err = session().communicate("n\n3\n\nq\n", timeout=60)
    assert (out.splitlines(), err) == (["ready", "n", "3", "enter", "left by q"], "")


def test_the_end_of_the_pipe_ends_nothing_and_a_reader_that_waits_does_not_hold_up_the_end() -> None:
    process = session()
    assert process.stdout is not None
    assert process.stdin is not None
    assert process.stdout.readline() == "ready\n"
    process.stdin.write("q\n")
    process.stdin.flush()
    assert process.wait(60) == 0
    assert process.stderr is not None
    assert process.stderr.read() == ""
    for pipe in (process.stdin, process.stdout, process.stderr):
        pipe.close()


def test_a_reader_that_waits_keeps_nothing_that_keys_led_to() -> None:
    """Else the libraries of the ear, which are still in use as the program ends, tell the weaver what was left over."""

    class Gear:
        def press(self, key: str, at: float) -> None:
            pressed.set()

    def keys() -> Iterator[str]:
        yield "n"
        over.wait(30)

    pressed, over, gear = threading.Event(), threading.Event(), Gear()
    screen, led_to = Lines(ENGLISH, io.StringIO(), keys=keys()), weakref.ref(gear)
    screen.run(lambda: None if pressed.wait(30) else pytest.fail("no key came"), gear.press)
    del gear
    gc.collect()
    assert led_to() is None
    over.set()


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has other interrupts")
@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM"])
def test_an_interrupt_leaves_in_good_order(name: str) -> None:
    import signal

    process = session()
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    process.send_signal(signal.Signals[name])
    out, err = process.communicate(timeout=60)
    assert (out, err, process.returncode) == ("left by ctrl+c\n", "", 0)


def test_what_main_raises_is_raised() -> None:
    def main() -> None:
        raise ValueError("broken")

    with pytest.raises(ValueError, match="broken"):
        Lines(ENGLISH, io.StringIO(), keys=[]).run(main, lambda key, at: None)


def test_a_memory_keeps_all_it_was_shown() -> None:
    screen = Memory()
    typed = []

    def main() -> None:
        screen.show(CALLING, WELL)
        screen.on_key("n", 1.0)
        screen.show(OFF, WELL)

    screen.run(main, lambda key, at: typed.append((key, at)))
    assert screen.shown == [(CALLING, WELL), (OFF, WELL)]
    assert typed == [("n", 1.0)]


def test_all_of_them_are_screens() -> None:
    from assistant.senses.screen.terminal import Board

    screens: list[Screen] = [Board(ENGLISH), Lines(ENGLISH, io.StringIO(), keys=[]), Memory()]
    assert all(callable(screen.run) and callable(screen.show) for screen in screens)
