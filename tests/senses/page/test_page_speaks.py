"""A page speaks, in a real browser whose sound goes through a cable of its own, beside that of the computer.

What is heard is added up on both: nothing of a sentence is said twice, or not at all, whatever becomes of the page.
"""

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from at_the_page import SHORT_WARP, Sitting
from cable import MISSING, MONITOR_RATE, Ears, listening, sound_server
from waiting import wait

from assistant.senses.mouth.player import MOUTH_RATE
from assistant.senses.page.outlet import AHEAD

pytestmark = [
    pytest.mark.skipif(bool(MISSING), reason=f"no cable without {', '.join(MISSING)}: apt install pulseaudio"),
    pytest.mark.skipif(sys.platform != "linux", reason="processes are found by /proc"),
    pytest.mark.timeout(240),
]

WARP = SHORT_WARP.replace("name: edge", "name: edge of the right hand side")
TABLET = f"module-null-sink sink_name=tablet rate={MONITOR_RATE} channels=1"
NEAR = 0.25  # seconds: the words have edges, and a page may have gone on for a moment unheard
SOCKETS = """() => {
  window.sockets = [];
  window.WebSocket = class extends WebSocket {
    constructor(...wished) { super(...wished); window.sockets.push(this); }
  };
}"""


@dataclass
class Room:
    """A sitting, a page of it in a browser, and ears at the computer and at the page."""

    sitting: Sitting
    browser: Any
    window: Any
    computer: Ears
    page: Ears
    env: dict[str, str]

    def types(self, key: str) -> None:
        assert self.sitting.process.stdin
        self.sitting.process.stdin.write(f"{key}\n")
        self.sitting.process.stdin.flush()

    def speaks_here(self) -> None:
        self.window.locator("#ask-sound").click()
        self.window.locator("#speak-here").click()
        self.window.get_by_text("speaks on a page").first.wait_for()
        self.window.locator("#close-sound").click()
        self.quiet()

    def quiet(self) -> None:
        assert wait(lambda: self.computer.quiet() and self.page.quiet())

    def whole(self, key: str = "w") -> float:
        """How long what a key has said is heard, where nothing happens; wherever."""
        before = self.heard()
        self.types(key)
        assert wait(lambda: self.heard() > before + 0.1)
        self.quiet()
        return self.heard() - before

    def heard(self) -> float:
        return self.computer.loud_s + self.page.loud_s

    def begins(self) -> tuple[float, float]:
        """What was heard at either before; a sentence is under way at the page."""
        before = self.computer.loud_s, self.page.loud_s
        self.types("w")
        assert wait(lambda: self.page.loud_s > before[1] + 1)
        return before


@pytest.fixture(params=["loudspeaker", "mute"])
def senses(request: pytest.FixtureRequest) -> tuple[str, ...]:
    return ("--deaf",) if request.param == "loudspeaker" else ("--deaf", "--mute")


@pytest.fixture
def room(tmp_path: Path, senses: tuple[str, ...]) -> Iterator[Room]:
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        pytest.skip("chromium is not installed; apt install chromium")
    file = tmp_path / "short.yaml"
    file.write_text(WARP, encoding="utf-8")
    with sound_server(tmp_path) as env, api.sync_playwright() as playwright:
        subprocess.run(["pactl", "load-module", *TABLET.split()], env=env, check=True, capture_output=True)
        sitting = Sitting(file, tmp_path / "data", bounce=0, senses=senses, env=env)
        try:
            with listening(env) as computer, listening(env, "tablet") as page:
                browser = playwright.chromium.launch(
                    executable_path=program, args=["--no-sandbox"],
                    ignore_default_args=["--mute-audio"], env={**env, "PULSE_SINK": "tablet"},
                )  # fmt: skip
                window = browser.new_page(viewport={"width": 1024, "height": 768})
                window.add_init_script(f"({SOCKETS})()")
                window.goto(sitting.address)
                window.locator(".lines").first.wait_for()
                yield Room(sitting, browser, window, computer, page, env)
        finally:
            sitting.kill()


def children(process: int) -> Iterator[int]:
    """All processes that it started, and that these did."""
    for task in Path(f"/proc/{process}/task").iterdir():
        for child in (task / "children").read_text().split():
            yield int(child)
            yield from children(int(child))


def browsers() -> list[int]:
    """The processes of the browser."""
    return [each for each in children(os.getpid()) if "chrom" in Path(f"/proc/{each}/cmdline").read_text()]


def test_after_one_touch_a_page_speaks_in_place_of_the_computer(room: Room, senses: tuple[str, ...]) -> None:
    room.speaks_here()
    before = room.computer.loud_s
    first, second = room.whole(), room.whole("r")
    _, page = room.begins()
    said = room.page.loud_s - page
    room.types("r")
    room.quiet()
    assert 1 < said < first - 1
    assert room.page.loud_s - page == pytest.approx(said + second, abs=NEAR)
    assert room.computer.loud_s == before
    room.window.locator("#ask-sound").click()
    room.window.locator("#speak-there").click()
    told = "does not hear, is silent" if "--mute" in senses else "does not hear, speaks"
    room.window.locator("#senses").get_by_text(told, exact=True).wait_for()


@pytest.mark.parametrize("senses", [("--deaf",)], ids=["loudspeaker"])
@pytest.mark.parametrize("how", ["window closed", "device asleep", "connection dropped"])
def test_a_page_that_is_lost_in_a_sentence_loses_nothing_and_nothing_is_said_twice(room: Room, how: str) -> None:
    room.speaks_here()
    whole = room.whole()
    computer, page = room.begins()
    asleep = browsers() if how == "device asleep" else []
    if how == "window closed":
        room.window.close()
    elif how == "connection dropped":
        room.window.evaluate("sockets.forEach((socket) => socket.close())")
    for each in asleep:
        os.kill(each, signal.SIGSTOP)
    if how != "connection dropped":
        assert wait(lambda: room.computer.loud_s > computer + 0.5), "the computer takes over"
    room.quiet()
    for each in asleep:
        os.kill(each, signal.SIGCONT)
    if asleep:
        room.window.get_by_text("the page that spoke is lost").wait_for()
        room.quiet()
    heard = (room.computer.loud_s - computer) + (room.page.loud_s - page)
    given_ahead = AHEAD / MOUTH_RATE if asleep else 0
    assert whole - given_ahead - NEAR < heard < whole + NEAR
    if how == "connection dropped":
        room.window.get_by_text("speaks on a page").first.wait_for()
