"""What is typed, from bytes as they come."""

import io
import os
import subprocess
import sys
from collections.abc import Callable

import pytest
from terminals import in_terminal

from assistant.senses.screen.lines import KeyLines

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="a pseudo-terminal is needed")
KEYS = """
import queue
from assistant.senses.screen.lines import KeyLines
keys = queue.SimpleQueue()
def main():
    while (key := keys.get()) != "ctrl+c":
        print(ascii(key))
KeyLines().run(main, lambda key, at: keys.put(key))
"""


def run(typed: bytes, *command: str, env: dict[str, str] | None = None) -> tuple[int, str, str]:
    done = subprocess.run(
        [sys.executable, *command], input=typed, capture_output=True, timeout=60, env=env, check=False
    )
    return done.returncode, done.stdout.decode(), done.stderr.decode()


@pytest.mark.parametrize("locale", [{}, {"LC_ALL": "C", "PYTHONIOENCODING": "ascii"}], ids=["as it is", "ascii"])
def test_a_line_that_is_no_text_is_a_key_that_nothing_means(locale: dict[str, str]) -> None:
    code, out, err = run(b"n\n\xff\n\xe9n\n\0\n3", "-c", KEYS, env=os.environ | locale)
    assert (code, err) == (0, "")
    assert out.splitlines() == ["'n'", r"'\ufffd'", r"'\ufffdn'", r"'\x00'", "'3'"]


def test_a_line_without_an_end_is_read_in_pieces() -> None:
    code, out, err = run(b"x" * 2500, "-c", KEYS)
    assert (code, err) == (0, "")
    assert [len(line) - 2 for line in out.splitlines()] == [1000, 1000, 500]


@pytest.mark.parametrize("given", [None, io.StringIO("q\n")], ids=["none", "no file"])
def test_where_nothing_can_be_read_nothing_is_typed(given: io.StringIO | None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", given)
    typed: list[str] = []
    KeyLines().run(lambda: None, lambda key, at: typed.append(key))
    assert typed == []


FIND = ("-m", "assistant", "find", "first-evening", "--group", "right edge", "--over", "1")


def test_find_takes_an_answer_that_is_no_text_for_none() -> None:
    code, out, err = run(b"\xff\n\xe9\xe8\n\x1b[A\n\0\nq\n", *FIND)
    assert (code, err) == (0, "")
    assert out.count("answer with a number from 0") == 4


def unreadable() -> "subprocess.Popen[bytes]":
    only_to_write = os.open(os.devnull, os.O_WRONLY)
    try:
        return subprocess.Popen(
            [sys.executable, *FIND], stdin=only_to_write, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
    finally:
        os.close(only_to_write)


def closed() -> "subprocess.Popen[bytes]":
    command = f"{sys.executable} {' '.join(FIND[:-4])} --group 'right edge' --over 1 <&-"
    return subprocess.Popen(["sh", "-c", command], stdout=subprocess.PIPE, stderr=subprocess.PIPE)


@POSIX
@pytest.mark.parametrize("begun", [unreadable, closed])
def test_find_ends_where_nothing_can_be_typed(begun: Callable[[], "subprocess.Popen[bytes]"]) -> None:
    with begun() as process:
        _, err = process.communicate(timeout=60)
    assert (process.returncode, err) == (0, b"")


PEDAL = """
from assistant.senses.pedal import teach
from assistant.words.language import load
teach.QUIET = 1.0
print("learnt", *teach.learn_typed(teach.words_of(load("en"))).switches)
"""
LESSON = """
import queue
from assistant.senses.lesson.lesson import LessonView
from assistant.senses.lesson.screen import LessonBoard
keys, typed, board = queue.SimpleQueue(), [], LessonBoard()
def main():
    board.show(LessonView(1, 1, "next", 0, "", "place", "", "keys"), "ready to be typed at")
    while (key := keys.get()) != "q":
        typed.append(key)
board.run(main, lambda key, at: keys.put(key))
print("typed", *typed)
"""


@POSIX
@pytest.mark.parametrize(
    ("code", "begun", "told"),
    [(PEDAL, b"press", b"learnt k\r\n"), (LESSON, b"ready to be typed at", b"typed k\r\n")],
    ids=["pedal", "lesson"],
)
def test_a_lesson_passes_over_bytes_that_are_no_key(code: str, begun: bytes, told: bytes) -> None:
    process, end = in_terminal([sys.executable, "-c", code])
    with process:
        seen = b""
        while begun not in seen.lower():
            seen += os.read(end, 65536)
        os.write(end, b"\xff\xe9\xc3k\xa0" + b"q" * (code is LESSON))
        try:
            while told not in seen:
                seen += os.read(end, 65536)
        except OSError:  # it has ended
            pass
    os.close(end)
    assert (told in seen, process.returncode) == (True, 0)
