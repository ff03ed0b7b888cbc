"""Sittings of every job on a disk that is full or fails, and what a copy of their files is worth.

    python tests/attack/no_room.py --tries 60

By turns: a disk that fills up at any moment (a small one in memory, mounted where only this attack sees it); a file
that may not grow beyond any size; and a copy of all files, taken at any moment of a sitting as if the power had failed
then, with nothing, the last bytes or all of what was written ahead of the journal cut off.

What has to hold, by what was typed and printed alone: one line tells what is wrong, with exit code 2 and no traceback;
every step that was answered is in the journal, at most one more, in the order typed; integrity_check is clean, and the
next window opens at just that step once there is room. A copy holds every step that was answered before it was taken;
a copy cut off holds the first ones, and the next window opens there, or tells in one line that some are missing.
"""

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory

from frame.forked import Window, warm_up
from frame.kept import JOURNAL, Kept, kept
from frame.trying import Tally, Wish, run
from frame.walk import CALLS, LEFT, SAT, STEADY, mistold, printed, sequence, steps_on, stops, typed

WITHIN = "HEDDLECALL_ATTACK_WITHIN"  # set where the attack sees a disk of its own
SEE_ALONE = ("unshare", "--user", "--map-root-user", "--mount")
DISK_BYTES = 3_000_000
LONGEST_S = 60.0


def attack(wish: Wish, tally: Tally) -> None:
    """As told above."""
    warm_up()
    with TemporaryDirectory(prefix="room") as named:
        folder = Path(named)
        warp = folder / "warp.yaml"
        warp.write_text(sequence("No room"), encoding="utf-8")
        kinds = {"limit": limited, "copy": copied}
        if WITHIN in os.environ:
            kinds["full disk"] = full
        else:
            tally.told.append("a full disk was not tried: no disk of its own can be mounted here")
        for number, chance in enumerate(wish.chances(tally)):
            kind, job = [*kinds][number % len(kinds)], [*CALLS][number // len(kinds) % len(CALLS)]
            with TemporaryDirectory(dir=folder) as data:
                began = time.monotonic()
                wrong = [*kinds[kind](job, warp, Path(data), chance, tally)]
                tally.took(time.monotonic() - began)
            tally.found += [f"try {tally.tries}, {kind}, {job}: {each}" for each in wrong]
            tally.counts[kind] += 1
    tally.told.append(", ".join(f"{kind} {count}" for kind, count in sorted(tally.counts.items())))


def command(job: str, warp: Path) -> list[str]:
    """A sitting, silent and deaf; the clock moves on a check."""
    return [job, str(warp), "--plain", "--mute", "--deaf", *(["--pace", "0.005"] if job == STEADY else [])]


def keys(job: str, chance: random.Random, most: int) -> str:
    """To type."""
    return "".join(chance.choice("rmw" if job == STEADY else "nnnnnbbrmw") for _ in range(chance.randint(1, most)))


def limited(job: str, warp: Path, data: Path, chance: random.Random, tally: Tally) -> Iterator[str]:
    """No file may grow beyond a size."""
    _sat(job, warp, data, chance)
    before = kept(data)
    begun = (data / JOURNAL).stat().st_size if before.records else 0
    largest = chance.choice((1, begun + 1)) + chance.randrange(60_000)
    window = Window(command(job, warp), data, largest_file=largest)
    yield from _until_it_stops(job, warp, data, window, before, chance, tally)


def full(job: str, warp: Path, data: Path, chance: random.Random, tally: Tally) -> Iterator[str]:
    """The disk fills up."""
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={DISK_BYTES},mode=700", "room", str(data)], check=True)
    try:
        _sat(job, warp, data, chance)
        before = kept(data)
        window: Window | None = None
        if late := chance.random() < 0.6:
            window = Window(command(job, warp), data)
            window.until(lambda: bool(window and printed(window.out)), LONGEST_S)
        _fill(data / "ballast", chance.randrange(120_000) if late else chance.randrange(60_000))
        window = window or Window(command(job, warp), data)
        yield from _until_it_stops(job, warp, data, window, before, chance, tally)
    finally:
        subprocess.run(["umount", "-l", str(data)], check=True)


def _fill(ballast: Path, but: int) -> None:
    """Leave only so many bytes of the disk free."""
    with suppress(OSError), ballast.open("wb", buffering=0) as filling:
        while True:
            filling.write(b"0" * 4096)
    with suppress(OSError):
        os.truncate(ballast, max(ballast.stat().st_size - but, 0))


def _sat(job: str, warp: Path, data: Path, chance: random.Random) -> None:
    """Sometimes there was a sitting before."""
    if chance.random() < 0.7:
        window = Window(command(job, warp), data)
        window.type(typed(keys(job, chance, 8)) + "q\n")
        window.ends_within(LONGEST_S)
        window.bury()


def _until_it_stops(
    job: str, warp: Path, data: Path, window: Window, before: Kept, chance: random.Random, tally: Tally
) -> Iterator[str]:
    """Type on until it can no longer keep what is typed, or leaves; then there is room again."""
    pressed = keys(job, chance, 150)
    window.type(typed(pressed) + "q\n")
    if not window.ends_within(LONGEST_S):
        yield "it lives on"
    window.bury()
    tally.took(0, window.megabytes)
    (data / "ballast").unlink(missing_ok=True)
    if "Traceback" in window.err or window.code not in (0, 2) or len(window.err.splitlines()) != (window.code == 2):
        yield f"exit code {window.code}: {window.err[-500:]}"
    tally.counts["stopped"] += window.code == 2 and bool(printed(window.out))
    tally.counts["not begun"] += window.code == 2 and not printed(window.out)
    after = kept(data)
    if after.sound != "ok" or after.lost_of(before):
        yield f"integrity_check: {after.sound}; {after.lost_of(before)}"
    past, kinds = _events(before), _events(after)
    new = [kind for kind in kinds[len(past) :] if kind not in (SAT, LEFT)]
    if wrong := mistold(job, pressed, new, steps_on(past)[-1], printed(window.out)):
        yield wrong
    yield from _opens(job, warp, data, kinds)


def _events(held: Kept) -> list[str]:
    """What happened in the latest record."""
    return [row.kind for row in held.of(held.records[-1].id)] if held.records else []


def _opens(job: str, warp: Path, data: Path, kinds: list[str], *, may_refuse: bool = False) -> Iterator[str]:
    """The next window opens where these events lead."""
    window = Window(command(job, warp), data)
    window.type("q\n")
    window.ends_within(LONGEST_S)
    window.bury()
    at = stops(job)[steps_on(kinds)[-1]]
    if may_refuse and window.code == 2 and len(window.err.splitlines()) == 1 and "Traceback" not in window.err:
        return
    if window.code != 0 or printed(window.out)[:1] != [at]:
        yield f"the next window does not open at {at}: {printed(window.out)[:1]}, {window.code}, {window.err[-300:]}"


def copied(job: str, warp: Path, data: Path, chance: random.Random, tally: Tally) -> Iterator[str]:
    """All files are copied at one moment of a sitting, and cut."""
    _sat(job, warp, data, chance)
    window = Window(command(job, warp), data)
    window.until(lambda: bool(printed(window.out)), LONGEST_S)
    window.type(typed(keys(job, chance, 60)))
    answers = chance.randrange(20)
    window.until(lambda: len(printed(window.out)) > answers, 0.5)
    time.sleep(chance.uniform(0, 0.003))
    window.kill(signal.SIGSTOP)
    with TemporaryDirectory(dir=warp.parent) as named:
        copy = Path(named)
        while "State:\tT" not in Path(f"/proc/{window.pid}/status").read_text():
            time.sleep(0.001)
        for name in (JOURNAL, f"{JOURNAL}-wal"):
            shutil.copy(data / name, copy / name)
        window.until(lambda: False, 0)
        told = printed(window.out)
        window.bury()
        tally.took(0, window.megabytes)
        whole = kept(copy)
        kinds, all_kinds = _events(whole), _events(kept(data))
        if whole.sound != "ok" or kinds != all_kinds[: len(kinds)]:
            yield f"the copy: integrity_check {whole.sound}, {len(kinds)} events of {len(all_kinds)}"
        walked = [stops(job)[place] for place in steps_on(kinds)]
        if told[-1:] != walked[-1:] and told[-1:] != walked[-2:-1]:
            yield f"the copy stands at {walked[-2:]}, told was {told[-2:]}"
        ahead = copy / f"{JOURNAL}-wal"
        size = ahead.stat().st_size
        off = chance.choice((0, chance.randint(1, 9000), chance.randint(1, max(size, 1)), size))
        tally.counts["cut off"] += off > 0
        if off >= size:
            ahead.unlink()
        else:
            os.truncate(ahead, size - off)
        cut = kept(copy)
        first = _events(cut)
        if cut.sound != "ok" or first != kinds[: len(first)]:
            yield f"cut by {off}: integrity_check {cut.sound}, {len(first)} events"
        yield from _opens(job, warp, copy, first, may_refuse=off > 0)


def _with_a_disk_of_its_own() -> None:
    """Begin again where a disk can be mounted that nobody else sees."""
    if WITHIN not in os.environ and shutil.which(SEE_ALONE[0]):
        tried = subprocess.run([*SEE_ALONE, "true"], capture_output=True, check=False)
        if tried.returncode == 0:
            os.execvpe(SEE_ALONE[0], [*SEE_ALONE, sys.executable, *sys.argv], {**os.environ, WITHIN: "1"})


if __name__ == "__main__":
    _with_a_disk_of_its_own()
    run(__doc__, attack, tries=240, seconds=180)
