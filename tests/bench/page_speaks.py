"""A page as the mouth: from a touch to the sound, and from a page that is gone to the computer's voice.

    python tests/bench/page_speaks.py 10

One sitting, deaf, with a page in headless Chromium; a sound server with two null sinks, for the computer's loudspeaker
and for the browser. Their monitors are recorded, and dated by the block that came earliest: what recording takes is in
every figure, for both alike. Medians of so many each, in milliseconds:
- "touched": from the event of the click ("Next", on the page) until the new call is heard, at the page, and by turns at
  the computer's loudspeaker, its rival;
- "by the browser": from the same event until the sound is given to the audio clock, by the browser's own clocks, with
  the latency it tells of its output;
- "lost": from the window being closed, or all of the browser being stopped (a device asleep), in the middle of a
  sentence until the computer is heard. A stopped browser is told by nothing but its silence.
"""

import os
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import IO, Any

sys.path.insert(0, str(Path(__file__).parent.parent))

import numpy as np
from cable import MISSING, MONITOR_RATE, running, sound_server
from parts.options import asking, count
from playwright.sync_api import Page as Window
from playwright.sync_api import sync_playwright

LONG = "a group with a good many words in its name, so that it takes a while to say where one is"
WARP = f"{{title: Bench, shafts: 8, groups: [{{name: {LONG!r}, thread: 200(1 2 3 4 8 7 6 5)}}]}}"
TABLET = f"module-null-sink sink_name=tablet rate={MONITOR_RATE} channels=1"
LOUD = 300  # of 32,768
SILENCE_S = 1.0
WATCH = """() => {
  document.addEventListener("click", (event) => {
    window.touched = performance.timeOrigin + event.timeStamp;
    window.given = 0;
  }, true);
  const start = AudioBufferSourceNode.prototype.start;
  AudioBufferSourceNode.prototype.start = function (when) {
    const { currentTime, outputLatency, baseLatency } = this.context;
    const waits = Math.max(0, when - currentTime) + (outputLatency || baseLatency);
    window.given ||= performance.timeOrigin + performance.now() + 1000 * waits;
    start.call(this, when);
  };
}"""


class Recorder:
    """What a cable carries, and when."""

    def __init__(self, stream: IO[bytes]) -> None:
        self._blocks: list[np.ndarray[Any, np.dtype[np.int16]]] = []
        self._begun = float("inf")
        self._lock = threading.Lock()
        threading.Thread(target=self._read, args=(stream,), daemon=True).start()

    def _read(self, stream: IO[bytes]) -> None:
        came = 0
        while data := os.read(stream.fileno(), 4096):
            now = time.time()
            with self._lock:
                self._blocks.append(np.frombuffer(data, np.int16))
                came += len(data) // 2
                self._begun = min(self._begun, now - came / MONITOR_RATE)

    def onset(self, after: float) -> float | None:
        """Seconds from this moment until something is heard."""
        with self._lock:
            sound, begun = np.concatenate(self._blocks), self._begun
        at = max(0, round((after - begun) * MONITOR_RATE))
        loud = np.flatnonzero(np.abs(sound[at:].astype(np.int32)) > LOUD)
        return None if not len(loud) else (at + int(loud[0])) / MONITOR_RATE + begun - after

    def quiet(self) -> bool:
        return self.onset(time.time() - SILENCE_S) is None


@contextmanager
def recorded(env: dict[str, str], cable: str) -> Iterator[Recorder]:
    flags = ("-d", f"{cable}.monitor", "--raw", "--format=s16le", f"--rate={MONITOR_RATE}", "--channels=1")
    with running("parec", *flags, "--latency-msec=5", env=env, stdout=subprocess.PIPE) as parec:
        yield Recorder(parec.stdout)  # type: ignore[arg-type]


def until(seen: Callable[[], bool]) -> None:
    end = time.monotonic() + 30
    while not seen():
        assert time.monotonic() < end, "nothing was heard"
        time.sleep(0.02)


class Bench:
    """The sitting, its page, and the two recorders."""

    def __init__(self, folder: Path, stack: ExitStack) -> None:
        (folder / "sound").mkdir()
        self.env = stack.enter_context(sound_server(folder / "sound"))
        subprocess.run(["pactl", "load-module", *TABLET.split()], env=self.env, check=True, capture_output=True)
        file = folder / "bench.yaml"
        file.write_text(WARP, encoding="utf-8")
        command = (sys.executable, "-m", "assistant", "thread", str(file))
        options = ("--page", "--plain", "--deaf", "--bounce", "0")
        self._sitting = stack.enter_context(
            running(*command, *options, env=self.env, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        )
        assert self._sitting.stdout
        lines = (line.decode() for line in self._sitting.stdout)
        self._address = next(line for line in lines if line.startswith("page: ")).split()[1]
        threading.Thread(target=lambda: list(lines), daemon=True).start()
        self.computer = stack.enter_context(recorded(self.env, "cable"))
        self.page = stack.enter_context(recorded(self.env, "tablet"))
        self._playwright = stack.enter_context(sync_playwright())
        self.open()
        time.sleep(15)  # until all that is called is rendered

    def open(self) -> None:
        """A browser, with the page."""
        self.browser = self._playwright.chromium.launch(
            executable_path=shutil.which("chromium"),
            args=["--no-sandbox"],
            ignore_default_args=["--mute-audio"],
            env={**self.env, "PULSE_SINK": "tablet"},
        )
        self.window: Window = self.browser.new_page(viewport={"width": 1024, "height": 768})
        self.window.goto(self._address)
        self.window.locator(".lines").first.wait_for()
        self.window.evaluate(WATCH)

    def sounds_at(self, button: str) -> Recorder:
        """Where it sounds from now on."""
        self.window.click("#ask-sound")
        self.window.click(button)
        self.window.click("#close-sound")
        time.sleep(SILENCE_S)
        self.rest()
        return self.page if button == "#speak-here" else self.computer

    def rest(self) -> None:
        time.sleep(SILENCE_S)
        until(lambda: self.page.quiet() and self.computer.quiet())

    def touch(self, recorder: Recorder) -> tuple[float, float]:
        """Seconds until the call is heard, and until it was given to the audio clock."""
        self.rest()
        self.window.click("#large [data-do=next]")
        time.sleep(1.5)
        touched, given = self.window.evaluate("[touched / 1000, (given || NaN) / 1000]")
        heard = recorder.onset(touched)
        assert heard is not None, "nothing was heard"
        return heard, given - touched

    def begin(self) -> None:
        """A sentence is under way at the page."""
        self.rest()
        assert self._sitting.stdin
        began = time.time()
        self._sitting.stdin.write(b"w\n")
        self._sitting.stdin.flush()
        until(lambda: self.page.onset(began) is not None)
        time.sleep(1)

    def taken_over(self, lost: float) -> float:
        """Seconds until the computer is heard."""
        until(lambda: self.computer.onset(lost) is not None)
        return self.computer.onset(lost) or 0.0


def children(process: int) -> Iterator[int]:
    for task in Path(f"/proc/{process}/task").iterdir():
        for child in (task / "children").read_text().split():
            yield int(child)
            yield from children(int(child))


def lost(bench: Bench, asleep: bool) -> float:
    """Seconds from a page that is gone, or asleep, until the computer is heard."""
    bench.sounds_at("#speak-here")
    bench.begin()
    processes = [each for each in children(os.getpid()) if "chrom" in Path(f"/proc/{each}/cmdline").read_text()]
    moment = time.time()
    if asleep:
        for each in processes:
            os.kill(each, signal.SIGSTOP)
    else:
        bench.window.close()
    seconds = bench.taken_over(moment)
    if asleep:
        for each in processes:
            os.kill(each, signal.SIGCONT)
    bench.rest()
    bench.browser.close()
    bench.open()
    return seconds


def ms(seconds: list[float]) -> str:
    return f"{1000 * statistics.median(seconds):.0f} ms (at the latest {1000 * max(seconds):.0f})"


def main() -> None:
    parser = asking(__doc__)
    parser.add_argument("presses", nargs="?", type=count, default=20, help="of each kind (%(default)s)")
    presses = parser.parse_args().presses
    if MISSING or shutil.which("chromium") is None:
        parser.error(f"not installed: {', '.join([*MISSING, 'chromium'])}")
    at_page: list[tuple[float, float]] = []
    at_desk: list[tuple[float, float]] = []
    with tempfile.TemporaryDirectory() as folder, ExitStack() as stack:
        bench = Bench(Path(folder), stack)
        for turn in range(4):
            at, kept = ("#speak-there", at_desk) if turn % 2 else ("#speak-here", at_page)
            recorder = bench.sounds_at(at)
            kept += [bench.touch(recorder) for _ in range(-(-presses // 2))]
        gone, slept = ([lost(bench, asleep) for _ in range(-(-presses // 4))] for asleep in (False, True))
    heard, given = (list(times) for times in zip(*at_page, strict=True))
    desk = [seconds for seconds, _ in at_desk]
    ratio = statistics.median(heard) / statistics.median(desk)
    print(f"touched: heard at the page after {ms(heard)}, at the computer after {ms(desk)}; ratio {ratio:.2f}")
    print(f"by the browser: heard at the page after {ms(given)}")
    print(f"lost: the computer is heard after {ms(gone)} where it was closed, after {ms(slept)} where it sleeps")


if __name__ == "__main__":
    main()
