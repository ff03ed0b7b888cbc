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
from assistant.session.view import Status, Time, View


def printed(*shown: tuple[View, Status]) -> list[str]:
    out = io.StringIO()
    screen = Lines(ENGLISH, out, keys=[])
    for view, status in shown:
        screen.show(view, status)
    return out.getvalue().splitlines()


def evening(*happened: tuple[View, Status]) -> list[tuple[View, Status]]:
    """Each of these after a further event."""
    return [(replace(view, step=step), status) for step, (view, status) in enumerate(happened, 1)]


SAID = "stripe 4, ends 15 to 18 of 24: 1, 2, 3, 4"


def test_an_event_is_one_sentence_and_what_shows_it_again_is_none() -> None:
    assert printed((CALLING, WELL), (CALLING, WELL), (CALLING, WELL)) == ["hears you, speaks", SAID]


def test_a_new_call_is_one_line() -> None:
    after = called(
        figure("3/7"), figure("8"), first=219, counted=18, before=18, done=218, left=Time("thread", 11_400, own=True)
    )
    assert printed(*evening((CALLING, WELL), (after, WELL)))[2:] == ["stripe 4, ends 19 to 20 of 24: 3/7, 8"]


def test_questions_and_alerts_are_lines_and_a_notice_has_its_own() -> None:
    ready = replace(WELL, notices=(Tell("pedal ready"), Tell("no loudspeaker")))
    assert printed(*evening((CALLING, WELL), (CLOSING, WELL), (OFF, ready), (OFF, ready)))[2:] == [
        "All 24 ends of stripe 4 are called. Did they come out even?",
        "note: the pedal is ready",
        "note: the loudspeaker is gone",
        "COUNT OFF: Thread it again, say that it is right, or go on.",
        "COUNT OFF: Thread it again, say that it is right, or go on.",
    ]


def test_a_notice_comes_without_an_event_and_says_nothing_else() -> None:
    gone = replace(WELL, hears=False, notices=(Tell("pedal ready"),))
    assert printed((CALLING, WELL), (CALLING, gone))[2:] == ["does not hear, speaks", "note: the pedal is ready"]


def test_a_call_that_comes_back_is_said_again() -> None:
    assert printed(*evening((CALLING, WELL), (CLOSING, WELL), (CALLING, WELL))).count(SAID) == 2


def test_whatever_is_done_is_answered_by_one_sentence() -> None:
    """Where, repeat and volume change nothing that is shown; whoever reads with a screen reader still hears of them."""
    asked = [Event(kind, 0.0, source="key") for kind in (Kind.WHERE, Kind.REPEAT, Kind.LOUDER, Kind.LOUDER, Kind.NOTE)]
    shown = [(CALLING, replace(WELL, heard=event)) for event in asked]
    place = f"{SAID}; warp 214 of 1,000 ends, 21 %; about 3 h 10 min left, by your own pace"
    assert printed(*evening((CALLING, WELL), *shown, (CALLING, replace(WELL, heard="position"))))[2:] == [
        place,
        SAID,
        *("heard: Volume up",) * 2,
        "heard: Bookmark",
        place,
    ]


def test_the_list_of_groups_ends_the_warp() -> None:
    lines = printed(
        *evening((CALLING, WELL), (FINISHED, WELL), (FINISHED, replace(WELL, heard=Event(Kind.LEAVE, 0.0))))
    )
    assert "!    7  stripe 7         24       22  OFF, 2 short" in lines
    assert lines[2] == "The warp is threaded."
    assert lines[-2:] == ["959 of 960 ends counted in 40 groups; OFF: group 7", "heard: Leave"]


def test_no_line_holds_an_escape_code() -> None:
    lines = printed(*evening((CALLING, WELL), (CLOSING, WELL), (OFF, WELL), (FINISHED, WELL)))
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
