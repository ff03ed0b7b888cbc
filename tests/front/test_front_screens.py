"""The front door in a terminal, in lines, and in headless Chromium; axe-core judges how accessible it is.

axe-core of Deque Systems, all its rules but those that are experimental, as axe-playwright-python brings it.
"""

import os
import re
import select
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest
from in_a_browser import SMALLEST, opened, shows
from terminals import in_terminal

from assistant.front import page as front_page
from assistant.front.page import parse
from assistant.front.running import address_in

PROGRAM = (sys.executable, "-P", "-m", "assistant")
PATIENCE_S = 60.0
MOST_PRESSES = 8  # from the program's name to the first call
LEAVING_OUT = (("Language", "8"), ("Your name", "Enter"), ("Sound", "9"), ("Ear", "5"), ("Pedal and keypad", "2"))
TITLED = "title => document.title === title && document.getElementById('title').textContent === title"

Pressed = tuple[tuple[str, str], ...]


@pytest.fixture
def home(tmp_path: Path) -> dict[str, str]:
    """A home folder with nothing in it, as an environment."""
    return {
        **{name: value for name, value in os.environ.items() if not name.startswith(("XDG_", "HEDDLECALL", "LC_"))},
        **{"HOME": str(tmp_path), "HEDDLECALL_DATA": str(tmp_path / "data"), "XDG_CONFIG_HOME": str(tmp_path / "c")},
        **{"XDG_CACHE_HOME": str(tmp_path / "cache"), "LANG": "C.UTF-8", "TERM": "xterm-256color"},
        "PYTHONPATH": str(Path(front_page.__file__).parents[2]),
    }


class Typist:
    """Reads what a terminal shows, and counts the keys that are pressed at it."""

    def __init__(self, terminal: int) -> None:
        self._terminal, self._seen, self.presses = terminal, "", 0

    def sees(self, text: str) -> None:
        """Wait until it is drawn, after the last key."""
        until = time.monotonic() + PATIENCE_S
        while text not in self._seen:
            assert time.monotonic() < until, f"{text!r} is not shown: {self._seen[-2000:]}"
            if select.select([self._terminal], [], [], 0.5)[0]:
                drawn = os.read(self._terminal, 65536).decode(errors="replace")
                self._seen += re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]|\x1b[^\[]", "", drawn)

    def press(self, key: str) -> None:
        self._seen, self.presses = "", self.presses + 1
        os.write(self._terminal, key.encode())


def test_from_a_fresh_home_to_the_first_call_in_a_terminal(home: dict[str, str], tmp_path: Path) -> None:
    process, terminal = in_terminal(PROGRAM, home, (24, 80))
    try:
        typist = Typist(terminal)
        for title, key in LEAVING_OUT:
            typist.sees(title)
            typist.press("\r" if key == "Enter" else key)
        typist.sees("heddlecall thread first-evening")
        typist.press("1")
        typist.sees("First evening, thread")
        typist.sees("right edge")
        assert typist.presses <= MOST_PRESSES
        typist.press("q")
        typist.sees("thread: 0 of 24 ends")
        typist.press("0")
        typist.sees("1 First evening")
        typist.press("q")
        assert process.wait(PATIENCE_S) == 0
    finally:
        process.kill()
        process.wait()
        os.close(terminal)


def test_in_plain_lines_a_number_chooses(home: dict[str, str], tmp_path: Path) -> None:
    done = subprocess.run(
        [*PROGRAM, "--plain"],
        input="2\nAnna\n9\n5\n2\n7\n4\n\n3\n7\nfoo\n0\n0\n0\n0\n",
        env=home,
        cwd=tmp_path,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=PATIENCE_S,
        check=False,
    )
    assert (done.stderr, done.returncode) == ("", 0)
    assert "2 Deutsch [heddlecall settings language de]" in done.stdout
    assert "$ heddlecall settings weaver Anna" in done.stdout
    assert "Heddlecall: Was möchtest du tun?" in done.stdout
    settings = (tmp_path / "c" / "heddlecall" / "settings.yaml").read_text(encoding="utf-8")
    assert settings == "language: de\nweaver: Anna\n"


def test_without_a_terminal_the_help_is_shown(home: dict[str, str]) -> None:
    done = subprocess.run(PROGRAM, env=home, capture_output=True, text=True, stdin=subprocess.DEVNULL, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("usage: heddlecall")


@contextmanager
def served(home: Mapping[str, str], folder: Path) -> Iterator[str]:
    """The front door's address; it ends as it is asked to."""
    process = subprocess.Popen(
        [*PROGRAM, "--page"], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, env=home, cwd=folder, text=True
    )
    assert process.stdout
    try:
        address = next(found for line in process.stdout if (found := address_in(line)))
        yield address
        process.send_signal(signal.SIGINT)
        assert process.wait(PATIENCE_S) == 0
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


def test_from_a_fresh_home_to_the_first_call_in_a_browser(chromium: Any, home: dict[str, str], tmp_path: Path) -> None:
    refused = pytest.importorskip("playwright.sync_api").TimeoutError
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
    with served(home, tmp_path) as address, opened(chromium, address, SMALLEST) as window:
        for title, key in LEAVING_OUT:
            window.wait_for_function(TITLED, arg=title)
            assert axe.Axe().run(window).violations_count == 0, title
            window.keyboard.press(key)
        window.wait_for_function(TITLED, arg="Begin a warp")
        assert window.inner_text("#line").strip() == "heddlecall thread first-evening --page"
        assert axe.Axe().run(window).violations_count == 0
        window.keyboard.press("1")
        shows(window, "1", "2", "3", "4")
        assert len(LEAVING_OUT) + 1 <= MOST_PRESSES
        for _ in range(3):  # what answers a moment that is over is not counted
            window.keyboard.press("q")
            window.wait_for_selector("#leave[open]")
            window.keyboard.press("Tab")
            window.keyboard.press("Enter")
            window.wait_for_selector("#leave", state="hidden")
            with suppress(refused):
                window.wait_for_selector("#picks", timeout=15_000)
                break
        window.wait_for_function(TITLED, arg="First evening")
        assert "thread: 0 of 24 ends" in window.inner_text("#told")
        window.keyboard.press("3")
        window.wait_for_selector("#reading:not([hidden])")
        assert axe.Axe().run(window).violations_count == 0
        window.keyboard.press("Escape")
        window.wait_for_selector("#reading", state="hidden")
        window.keyboard.press("0")
        window.wait_for_function(TITLED, arg="Heddlecall: what would you like to do?")
        window.keyboard.press("Escape")  # from here one leaves in the terminal alone
        window.keyboard.press("ArrowDown")
        window.keyboard.press("Enter")
        window.wait_for_function(TITLED, arg="Begin a warp")


@pytest.mark.parametrize(
    "text",
    [
        *("", "[]", "{", "9" * 5000, '{"step": "1", "key": "1"}', '{"step": 1}', '{"step": 1, "key": "1", "more": 1}'),
        *(f'{{"step": 1, "key": "{"k" * 21}"}}', f'{{"step": 1, "text": "{"t" * 501}"}}', '{"step": 1, "line": "rm"}'),
    ],
)
def test_what_no_page_of_ours_sends_says_nothing(text: str) -> None:
    assert parse(text) is None


def test_what_is_done_on_a_page_answers_a_step() -> None:
    assert parse('{"step": 3, "key": "1"}') == (3, "key", "1")
    assert parse('{"step": 3, "text": "a b"}') == (3, "text", "a b")
    assert parse('{"step": 3, "typed": ""}') == (3, "typed", "")
