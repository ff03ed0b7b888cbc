"""A sitting of many hours, lived through at a hundred times the speed: memory and open files stay as they are.

    python tests/attack/long_sitting.py --tries 12
    python tests/attack/long_sitting.py --tries 2 --seconds 80

Each try is one more hour of the same sitting, in a process of its own: the real journal, board, page with a browser
that follows and presses, and the real mouth and ear at a sound server that is killed and started again every hour. A
hundred times as fast goes the clock by which all that happens at the loom is dated: keys, gestures, pauses, the
reminder to stand up; sound takes the time it takes, and is cut off by the next call. Without a sound server it is
muted.

What has to hold, from the end of the first hour to the end of the last: less than 5 MB more, less than 3 files and no
threads more; and that the sitting then leaves in order, with every step that was pressed in its record.
"""

import json
import os
import re
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import frame  # noqa: F401 - lets the rest be imported
from cable import MISSING, environment, serving
from frame.child import ENVIRONMENT
from frame.kept import kept
from frame.trying import Tally, Wish, run
from terminals import in_terminal
from websockets.exceptions import WebSocketException
from websockets.sync.client import connect
from websockets.typing import Origin

SPEED = 100
HOUR_S = 3600 / SPEED
STEP_S = 0.08  # between two keys: eight seconds at the loom
SETTLES_S = 2.0  # without a key, before it is measured
MOST_MB, MOST_FILES, MOST_THREADS = 5.0, 2, 0
WARP = "{title: Long, shafts: 4, groups: [{name: rose, thread: 60(1 2 3 4), times: 100}]}"
LIVES = f"""
import sys, time
from pathlib import Path
from assistant.clock import Clock
from assistant.session.resume import Resumption
from assistant.sitting.gear import Gear
from assistant.sitting.run import sit
from assistant.warp.passes import THREAD
from assistant.words.language import load

def steady():
    return time.monotonic() * {SPEED}

zero = time.time() - steady()
clock = Clock(lambda: zero + steady(), steady, steady, {SPEED})
gear = Gear(mute={bool(MISSING)}, deaf={bool(MISSING)}, page=True, stand_up=30, bounce=0)
sit(Path(sys.argv[1]), THREAD, load("en"), Resumption(), 4, gear, print, clock)
"""
KEYS = "rnwn+n-nbnmnpgn<n>n" + "n" * 40  # gone through whole: another speed has other clips


@dataclass(frozen=True)
class Held:
    """What a process holds."""

    megabytes: float
    files: int
    threads: int

    @classmethod
    def by(cls, pid: int) -> "Held":
        """Just now."""
        pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
        files, threads = (len(os.listdir(f"/proc/{pid}/{what}")) for what in ("fd", "task"))
        return cls(pages * os.sysconf("SC_PAGE_SIZE") / 1e6, files, threads)


class Loom:
    """The sitting, its terminal, and a browser that follows it."""

    def __init__(self, folder: Path, env: dict[str, str]) -> None:
        self.data = Path(env["HEDDLECALL_DATA"])
        file = folder / "long.yaml"
        file.write_text(WARP)
        self.seen = b""
        self.process, self._ours = in_terminal([sys.executable, "-c", LIVES, str(file)], env, (40, 120))
        threading.Thread(target=self._drain, daemon=True).start()
        self.step, self.told = -1, 0

    def _drain(self) -> None:
        with suppress(OSError):
            while drawn := os.read(self._ours, 65536):
                self.seen = (self.seen + drawn)[-20_000:]

    def type(self, keys: str) -> None:
        with suppress(OSError):
            os.write(self._ours, keys.encode())

    def address(self) -> str:
        """Of the page, once it is printed."""
        for _ in range(600):
            if found := re.search(rb"http://127\.0\.0\.1:\d+/[^\s\x1b]+", self.seen):
                return found[0].decode()
            time.sleep(0.1)
        raise RuntimeError(f"no page was told of: {self.seen[-500:]!r}")

    def sits(self) -> None:
        """Once it has begun, and takes keys."""
        for _ in range(600):
            if kept(self.data).events:
                return time.sleep(1)
            time.sleep(0.1)
        raise RuntimeError(f"nobody sat down: {self.seen[-500:]!r}")

    def follow(self, address: str) -> None:
        """A browser that gets all that is shown, and presses "repeat" now and then."""
        origin = address.split("/")[2]
        live = f"{address.rstrip('/').replace('http', 'ws', 1)}/live"
        while self.process.poll() is None:
            with suppress(OSError, WebSocketException):
                self._follow(live, Origin(f"http://{origin}"))
            time.sleep(0.2)  # it opens once the address was read

    def _follow(self, live: str, origin: Origin) -> None:
        with connect(live, origin=origin, max_size=None, ping_interval=None) as browser:
            for message in browser:
                self.told += 1
                now = json.loads(message).get("now")
                self.step = now.get("step", self.step) if now else self.step
                if self.told % 50 == 0:
                    browser.send(json.dumps({"step": self.step, "at": 2**53 - 1, "do": "repeat", "finger": True}))

    def close(self) -> None:
        self.process.kill()
        self.process.wait()
        os.close(self._ours)


@contextmanager
def sitting() -> Iterator[tuple[Loom, ExitStack, dict[str, str]]]:
    with TemporaryDirectory() as folder, ExitStack() as server:
        env = environment(Path(folder)) if not MISSING else {**ENVIRONMENT, "HEDDLECALL_DATA": f"{folder}/data"}
        env |= {"PYTHONPATH": ENVIRONMENT["PYTHONPATH"], "TERM": "xterm-256color"}
        if not MISSING:
            server.enter_context(serving(env))
        loom = Loom(Path(folder), env)
        try:
            yield loom, server, env
        finally:
            loom.close()


def live(loom: Loom, server: ExitStack, env: dict[str, str], seconds: float) -> int:
    """One hour, in about so many seconds, in which it loses its devices; returns how many keys were pressed."""
    rounds = max(round((seconds - SETTLES_S) / (len(KEYS) * STEP_S)), 1)
    for number in range(rounds):
        if number == rounds // 2 and not MISSING:
            server.close()
            server.enter_context(serving(env))
        for key in KEYS:
            loom.type(key)
            time.sleep(STEP_S)
    time.sleep(SETTLES_S)
    return rounds * len(KEYS)


def attack(wish: Wish, tally: Tally) -> None:
    with sitting() as (loom, server, env):
        address = loom.address()
        loom.type("\n")
        loom.sits()
        threading.Thread(target=loom.follow, args=(address,), daemon=True).start()
        held, pressed, hour = [], 0, min(HOUR_S, wish.seconds)
        for _ in wish.chances(tally):
            pressed += live(loom, server, env, hour)
            if loom.process.poll() is not None:
                tally.found.append(f"it ended with {loom.process.returncode}: {loom.seen[-300:]!r}")
                return
            held.append(Held.by(loom.process.pid))
            tally.took(hour, held[-1].megabytes)
        loom.type("q")
        with suppress(subprocess.TimeoutExpired):
            loom.process.wait(30)
        if loom.process.returncode != 0:
            tally.found.append(f"asked to leave, it ended with {loom.process.returncode}")
        kinds = [row.kind for row in kept(loom.data).events.values()]
        first, last = held[0], held[-1]
        tally.told.append(
            f"{len(held)} hours, {pressed} keys, {len(kinds)} events kept, {loom.told} messages to the page: "
            f"{last.megabytes - first.megabytes:+.1f} MB, {last.files - first.files:+d} files, "
            f"{last.threads - first.threads:+d} threads from {first}"
        )
        tally.told.append("by the hour: " + ", ".join(f"{each.megabytes:.1f} MB" for each in held))
        if last.megabytes - first.megabytes >= MOST_MB:
            tally.found.append(f"memory drifts: {[each.megabytes for each in held]}")
        if last.files - first.files > MOST_FILES or last.threads - first.threads > MOST_THREADS:
            tally.found.append(f"files or threads stay: {held}")
        if kinds[:2] != ["heddles counted", "sit down"] or kinds[-1:] != ["leave"] or kinds.count("next") < pressed / 3:
            tally.found.append(f"not all was kept: {len(kinds)} events, {kinds[-3:]} of {pressed} keys")
        if not loom.told and hour == HOUR_S:
            tally.found.append("the browser was told nothing")


if __name__ == "__main__":
    run(__doc__, attack, tries=12, seconds=500)
