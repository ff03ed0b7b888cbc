"""The page: from an event to changed digits, beside the terminal's board; and what a browser that stalls costs the ear.

    python tests/bench/page.py 20

Digits: one sitting in a pseudo-terminal, with its board and a page in headless Chromium, silent and deaf; every event
is durable before anything is shown. Medians of so many presses each:
- "touched": from the click on the page until its digits have changed, and until the frame after, by the browser's
  clock;
- "typed": from the key written to the terminal until the digits on the page have changed (two clocks of one machine),
  and until the board has sent its next big figures to the terminal. Ratio: page to board.

Sound: from a press handed to the loop, with a journal, until the first sample of the new call is taken from the mouth
by a thread that stands for the sound device, as in pedal_to_sound.py. By turns without any browser, and with one that
joined and reads nothing, while more is to be shown than its buffers hold. Ratio: stalled to none.
"""

import contextlib
import os
import pty
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from memory import Memory
from parts.options import asking, count
from parts.paced import FADE, Paced
from playwright.sync_api import Page as Window
from playwright.sync_api import sync_playwright

from assistant.senses.page.page import Page
from assistant.senses.screen import Together
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal
from assistant.session.machine import Session
from assistant.session.resume import Resumption
from assistant.session.view import Status
from assistant.sitting.loop import Loop
from assistant.sitting.prepare import open_record
from assistant.warp.passes import THREAD
from assistant.warp.sequence import loads
from assistant.words.language import load
from assistant.words.speech import Part, Say
from assistant.words.wording import Wording

WARP = "{title: Bench, shafts: 8, groups: [{name: all, thread: 200(1 2 3 4 8 7 6 5)}]}"
BLOCKS = ("█".encode(), "▀".encode(), "▄".encode())
WATCH = """() => {
  window.touched = window.changed = window.painted = 0;
  const now = () => performance.timeOrigin + performance.now();
  document.addEventListener("click", () => (window.touched = now()), true);
  new MutationObserver(() => {
    window.changed = now();
    requestAnimationFrame(() => setTimeout(() => (window.painted = now())));
  }).observe(document.getElementById("figures"), { childList: true, characterData: true, subtree: true });
}"""


class Terminal:
    """A pseudo-terminal with a sitting in it; notes when big figures came last."""

    def __init__(self, folder: Path) -> None:
        file = folder / "bench.yaml"
        file.write_text(WARP, encoding="utf-8")
        command = [
            sys.executable,
            "-m",
            "assistant",
            "thread",
            str(file),
            "--page",
            "--mute",
            "--deaf",
            "--bounce",
            "0",
        ]
        self._master, slave = pty.openpty()
        os.system(f"stty rows 40 cols 120 < {os.ttyname(slave)}")
        environment = {**os.environ, "HEDDLECALL_DATA": str(folder), "TERM": "xterm-256color"}
        self._process = subprocess.Popen(command, stdin=slave, stdout=slave, stderr=slave, env=environment)
        os.close(slave)
        self.figures_at = 0.0
        self._out = b""
        threading.Thread(target=self._read, daemon=True).start()

    def address(self) -> str:
        while b"press enter" not in self._out:
            time.sleep(0.05)
        return self._out.decode().split("page: ")[1].split()[0]

    def type(self, key: str) -> float:
        """When it was typed."""
        self.figures_at = 0.0
        typed = time.time()
        os.write(self._master, key.encode())
        return typed

    def close(self) -> None:
        self.type("q")
        self._process.wait(20)

    def _read(self) -> None:
        with contextlib.suppress(OSError):
            while piece := os.read(self._master, 65536):
                self._out = (self._out + piece)[-100_000:]
                if not self.figures_at and any(block in piece for block in BLOCKS):
                    self.figures_at = time.time()


def until(seen: Callable[[], bool]) -> None:
    end = time.monotonic() + 20
    while not seen():
        assert time.monotonic() < end, "nothing changed"
        time.sleep(0.01)


def ms(seconds: Sequence[float]) -> float:
    return 1000 * statistics.median(seconds)


def digits(presses: int) -> None:
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        terminal = Terminal(Path(folder))
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        window = browser.new_page(viewport={"width": 1024, "height": 768})
        window.goto(terminal.address())
        terminal.type("\r")
        window.wait_for_selector(".lines")
        window.evaluate(WATCH)
        time.sleep(3)
        touched = [touch(window) for _ in range(presses)]
        typed = [key(window, terminal) for _ in range(presses)]
        browser.close()
        terminal.close()
    changed, painted = (ms(times) for times in zip(*touched, strict=True))
    page, board = (ms(times) for times in zip(*typed, strict=True))
    print(f"touched: digits changed after {changed:.1f} ms, in the frame after {painted:.1f} ms")
    print(f"typed: on the page after {page:.1f} ms, on the board after {board:.1f} ms; ratio {page / board:.2f}")


def touch(window: Window) -> tuple[float, float]:
    """Seconds from a click until the digits have changed, and until they were painted."""
    window.evaluate("window.changed = window.painted = 0")
    window.click("#large [data-do=next]")
    until(lambda: bool(window.evaluate("painted")))
    time.sleep(0.2)
    changed, painted = window.evaluate("[(changed - touched) / 1000, (painted - touched) / 1000]")
    return changed, painted


def key(window: Window, terminal: Terminal) -> tuple[float, float]:
    """Seconds from a key until the digits on the page have changed, and until the board has drawn."""
    window.evaluate("window.changed = window.painted = 0")
    typed = terminal.type("n")
    until(lambda: bool(terminal.figures_at) and bool(window.evaluate("changed")))
    time.sleep(1)  # a key that comes sooner may be the repeat of a held one
    return float(window.evaluate("changed")) / 1000 - typed, terminal.figures_at - typed


def sound(presses: int) -> None:
    with tempfile.TemporaryDirectory() as folder, Journal(Path(folder, "journal")) as journal:
        os.environ["HEDDLECALL_DATA"] = folder
        language = load("en")
        mouth, page, warp = Paced(Path(folder, "clips")), Page(language), loads(WARP.encode(), "bench")
        record, session = open_record(journal, Path("bench.yaml"), THREAD, warp, Resumption(), time.time())
        loop = Loop(session, Wording(language, THREAD.name), journal.keep(record), mouth, Together(Memory(), page))
        page.start(loop, {})
        mouth.utter([Say(tuple(Part(str(shaft), beat=True) for shaft in range(1, 9)))])
        running = threading.Thread(target=loop.run)
        running.start()
        time.sleep(15)  # until all has been said
        none, stalled = [], []
        for _ in range(presses):
            lay_down(page, session)
            none.append(press(loop, mouth))
            with stall(page):
                lay_down(page, session)
                stalled.append(press(loop, mouth))
            time.sleep(1)
        loop.post(Event(Kind.LEAVE, time.time()))
        running.join()
        page.close()
        mouth.close()
    print(
        f"sound: without a browser after {ms(none):.1f} ms, with one that stalls after {ms(stalled):.1f} ms;", end=" "
    )
    print(f"ratio {ms(stalled) / ms(none):.2f}; at the latest {1000 * max(none):.0f} and {1000 * max(stalled):.0f} ms")


def press(loop: Loop, mouth: Paced) -> float:
    """Seconds from a press until the first sample of the call is taken."""
    mouth.utter([])
    time.sleep(0.3)
    mouth.taken.clear()
    pressed = time.perf_counter()
    loop.post(Event(Kind.NEXT, time.time(), source="pedal"))
    while True:
        for when, block in list(mouth.taken):
            if block[FADE:].any():
                return when - pressed
        time.sleep(0.001)


def lay_down(page: Page, session: Session) -> None:
    """More to be shown than the buffers of a connection hold."""
    for number in range(5):
        page.show(replace(session.view(), title=f"{number} " + "x" * 2_000_000), Status(True, True))
        time.sleep(0.1)


def stall(page: Page) -> socket.socket:
    """A browser that joins and reads no more."""
    door = page.door
    joined = socket.socket()
    joined.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
    joined.connect(("127.0.0.1", door.port))
    host = f"127.0.0.1:{door.port}"
    joined.sendall(
        f"GET /{door.keys[0].hand.word}/live HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n"
        "Connection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\n"
        "Sec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n".encode()
    )
    assert b"101" in joined.recv(64)
    return joined


def main() -> None:
    parser = asking(__doc__)
    parser.add_argument("presses", nargs="?", type=count, default=50, help="of each kind (%(default)s)")
    presses = parser.parse_args().presses
    if shutil.which("chromium") is None:
        parser.error("chromium is not installed; apt install chromium")
    digits(presses)
    sound(presses)


if __name__ == "__main__":
    main()
