"""Commands that are asked to end at any moment, from their first import on: by Ctrl-C, the system or a closed terminal.

    python tests/attack/interrupted.py --tries 200

Each try is one command, asked once or twice in quick succession. What has to hold: exit code 0, 1, 2 or 130, or the end
by that signal where nothing of ours was imported yet; no traceback; it does end; what it writes is there whole, or not
at all, and nothing else is left.
"""

import random
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

from frame.child import ENVIRONMENT
from frame.trying import Tally, Wish, run

ENDS_S = 30.0
LATEST_S = 1.5  # after it was begun
SIGNALS = (signal.SIGINT, signal.SIGINT, signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
BEGINS = "import sys, assistant.__main__ as our; print(flush=True); sys.exit(our.main())"
WARP = "{title: Asked, shafts: 4, groups: [{name: edge, thread: 50(1 2 1 2), times: 40}]}"
COMMANDS = (
    ("export", "warp.yaml", "-o", "out.wif"),
    ("import", "draft.wif", "--start", "right", "-o", "in.yaml"),
    ("plan", "warp.yaml"),
    ("plan", "warp.yaml", "--card", "card.html"),
    ("rehearse", "warp.yaml"),
    ("rehearse", "warp.yaml", "--mistakes-per-1000", "5"),
    ("calls", "warp.yaml"),
    ("log",),
    ("next", "warp.yaml"),
    ("models",),
    ("find", "warp.yaml", "--group", "edge 1"),
    ("speak",),
    ("speak", "one two", "--out", "said.wav"),
    ("teach", "--weaver", "Any", "--from", "recordings"),
)


def attack(wish: Wish, tally: Tally) -> None:
    codes: Counter[int] = Counter()
    with TemporaryDirectory() as folder:
        at = Path(folder)
        (at / "warp.yaml").write_text(WARP)
        (at / "recordings").mkdir()
        environment = {**ENVIRONMENT, "HEDDLECALL_DATA": str(at / "data")}
        made = [sys.executable, "-m", "assistant", "export", "warp.yaml", "-o", "draft.wif"]
        subprocess.run(made, cwd=at, env=environment, check=True, capture_output=True)
        whole = at / "draft.wif"
        for chance in wish.chances(tally):
            command, asked = chance.choice(COMMANDS), chance.choice(SIGNALS)
            tried, came = asked_to_end(command, asked, chance, at, environment)
            codes[came.returncode] += 1
            tally.took(tried)
            told = came.stdout + came.stderr
            if b"Traceback" in told or b"Exception ignored" in told or came.returncode not in (0, 1, 2, 130, -asked):
                tally.found.append(f"{command}, {asked.name}: {came.returncode} {told[-300:]!r}")
            if tried > ENDS_S:
                tally.found.append(f"{command}, {asked.name}: it lives on")
            if (written := at / "out.wif").exists() and written.read_bytes() != whole.read_bytes():
                tally.found.append(f"{command}, {asked.name}: half of a file is left")
            if left := [each.name for each in at.iterdir() if each.name.startswith(".")]:
                tally.found.append(f"{command}, {asked.name}: {left} are left")
            for name in ("out.wif", "in.yaml", "card.html", "said.wav"):
                (at / name).unlink(missing_ok=True)
    tally.told.append("exit codes: " + ", ".join(f"{code}: {count}" for code, count in sorted(codes.items())))


def asked_to_end(
    command: tuple[str, ...], asked: signal.Signals, chance: random.Random, folder: Path, environment: dict[str, str]
) -> tuple[float, subprocess.CompletedProcess[bytes]]:
    """Run it, ask it to end, and say how long that took, and what came of it."""
    pipe = subprocess.PIPE
    process = subprocess.Popen(
        [sys.executable, "-c", BEGINS, *command], cwd=folder, env=environment, stdin=pipe, stdout=pipe, stderr=pipe
    )
    assert process.stdout
    process.stdout.readline()
    time.sleep(chance.uniform(0, LATEST_S))
    process.send_signal(asked)
    if chance.random() < 0.4:
        time.sleep(chance.uniform(0, 0.02))
        process.send_signal(asked)
    began = time.monotonic()
    try:
        out, err = process.communicate(timeout=ENDS_S)
    except subprocess.TimeoutExpired:
        process.kill()
        out, err = process.communicate()
    return time.monotonic() - began, subprocess.CompletedProcess(command, process.returncode, out, err)


if __name__ == "__main__":
    run(__doc__, attack, tries=200, seconds=240)
