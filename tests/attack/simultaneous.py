"""Windows that are opened at one warp at the same moment, by whatever name of its file, also to begin anew.

    python tests/attack/simultaneous.py --tries 40

In each try four windows open the same job within a few milliseconds, each by one of the names that the file has: its
own, a symbolic link, a link to a link, a path through a linked folder. Some are to begin anew; some are begun as a
weaver does, Python and all. The first try of a job finds no record, the others what the tries before have left.

What has to hold: one window sits, and the others end with exit code 2 and one line that names it; what is kept besides
is this one sitting, in the record that was under way or, where there was none or the window was to begin anew, in a new
one; what was kept before is unchanged; the window leaves when it is asked to.
"""

import random
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from frame.forked import Window, begun_anew, warm_up
from frame.kept import Kept, kept
from frame.trying import Tally, Wish, run
from frame.walk import CALLS, LEFT, SAT, printed, sequence

JOBS = tuple(CALLS)
TOGETHER = 4
APART_S, READY_S = 0.005, 0.03  # between the first and the last, at most; for all to be there
ASKED_S = 30.0  # to sit, or to end, at most
FRESH = "--fresh"


@dataclass
class Opened:
    """One of the windows."""

    window: Window
    fresh: bool


def names(folder: Path) -> list[Path]:
    """All that one file is called."""
    lies = folder / "lies"
    lies.mkdir()
    (lies / "warp.yaml").write_text(sequence("Together"), encoding="utf-8")
    (folder / "linked.yaml").symlink_to(lies / "warp.yaml")
    (folder / "twice.yaml").symlink_to("linked.yaml")
    (folder / "linked").symlink_to(lies)
    return [lies / "warp.yaml", folder / "linked.yaml", folder / "twice.yaml", folder / "linked" / "warp.yaml"]


def begun_at(moment: float, anew: bool) -> Callable[[Sequence[str]], int]:
    """Begins a command at a moment by the clock that all processes share."""

    def begun(command: Sequence[str]) -> int:
        from assistant.cli import main

        time.sleep(max(moment - time.monotonic(), 0))
        return begun_anew(command) if anew else main(command)

    return begun


def opened(files: list[Path], data: Path, job: str, chance: random.Random) -> list[Opened]:
    """The windows, opened together."""
    together, anew = time.monotonic() + READY_S, chance.random() < 0.2
    windows = []
    for _ in range(TOGETHER):
        fresh = chance.random() < 0.4
        command = [job, str(chance.choice(files)), "--plain", "--mute", "--deaf", *([FRESH] if fresh else [])]
        moment = together + chance.uniform(0, APART_S)
        windows.append(Opened(Window(command, data, runs=begun_at(moment, anew)), fresh))
    return windows


def wrongs(windows: list[Opened], job: str, before: Kept, data: Path) -> Iterator[str]:
    """Whatever does not hold of windows that were just opened."""
    ended = time.monotonic() + ASKED_S
    while sum(each.window.code is None for each in windows) > 1 and time.monotonic() < ended:
        for each in windows:
            each.window.until(lambda: False, 0.02)
    sitting = [each for each in windows if each.window.code is None]
    if len(sitting) != 1:
        yield f"{len(sitting)} windows sit: {[each.window.code for each in windows]}"
        return
    (one,) = sitting
    if not one.window.until(lambda: bool(printed(one.window.out)), ASKED_S):
        yield f"who has the warp tells nothing: {one.window.err}"
    for each in windows:
        if each is not one:
            yield from _of_a_refused(each.window, one.window.pid)
    one.window.type("q\n")
    if not one.window.ends_within(ASKED_S) or one.window.code:
        yield f"asked to leave, it ended with {one.window.code}: {one.window.err}"
    yield from _of_what_is_kept(one, job, before, kept(data))


def _of_a_refused(window: Window, sits: int) -> Iterator[str]:
    if window.code != 2 or window.out or window.err.count("\n") != 1:
        yield f"refused, it ended with {window.code}: {window.out!r}, {window.err!r}"
    elif f"another window has this warp (process {sits}, since " not in window.err:
        yield f"it does not name process {sits}: {window.err.strip()}"


def _of_what_is_kept(one: Opened, job: str, before: Kept, after: Kept) -> Iterator[str]:
    if after.sound != "ok":
        yield f"integrity_check: {after.sound}"
    if lost := after.lost_of(before):
        yield lost
    ids = {record.id for record in before.records}
    began = [record for record in after.records if record.id not in ids]
    awaited = one.fresh or all(record.job != job for record in before.records)
    if [record.job for record in began] != [job] * awaited:
        yield f"{len(began)} records are begun, {awaited:d} awaited"
    new = [row.kind for place, row in after.events.items() if place not in before.events]
    if new != [SAT, LEFT]:
        yield f"kept besides: {new}"


def attack(wish: Wish, tally: Tally) -> None:
    warm_up()
    with TemporaryDirectory() as folder:
        files, data = names(Path(folder)), Path(folder, "data")
        for chance in wish.chances(tally):
            job, before, began = chance.choice(JOBS), kept(data), time.monotonic()
            windows = opened(files, data, job, chance)
            typed = [" ".join(each.window.command) for each in windows]
            tally.found += [f"try {tally.tries}, {typed}: {wrong}" for wrong in wrongs(windows, job, before, data)]
            for each in windows:
                each.window.bury()
            tally.took(time.monotonic() - began, max(each.window.megabytes for each in windows))


if __name__ == "__main__":
    run(__doc__, attack, tries=150, seconds=240)
