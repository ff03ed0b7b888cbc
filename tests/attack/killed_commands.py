"""Commands that write, killed at any moment: what they write is there as it was, or whole and new.

    python tests/attack/killed_commands.py --tries 60

Drafts imported and exported with --replace, the report and the table of a warp, words taught from recordings, notes;
a journal of each older version as it is copied and brought up to date; and three windows that begin the same first
sitting at once, of which the one that has it is killed. Half of them are killed as soon as something changes beside the
file.

What has to hold: no part of a file is ever in its place; a note that was acknowledged is kept once; a journal brought
up to date after a kill is as it would be without one, and lies beside it as it was before, whole and once; one window
of three has the warp, and the next one has it after the kill; integrity_check is clean; no traceback.
"""

import os
import random
import shutil
import signal
import sqlite3
import time
import zipfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, field
from fnmatch import fnmatch
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import soundfile
from frame import TESTS
from frame.forked import Window, warm_up
from frame.kept import JOURNAL, copied, kept
from frame.trying import Tally, Wish, run
from frame.walk import CALLS, printed, sequence

OLD = sorted((TESTS / "session" / "journals").glob("*.sqlite3"))
SIGNALS = (signal.SIGKILL, signal.SIGKILL, signal.SIGKILL, signal.SIGTERM, signal.SIGHUP, signal.SIGINT)
LONGEST_S = 60.0
SLOW_S = 0.02
RATE = 16_000  # samples a second of the recordings
PITCHES = {"next": (300, 900), "back": (1400, 500), "repeat": (700, 700)}  # Hz, of a tone at first and at last


@dataclass(frozen=True)
class Written:
    """What a command can write into one file: two contents, by which command."""

    file: Path
    commands: tuple[list[str], list[str]]
    read: Callable[[Path], object]
    wholes: list[object] = field(default_factory=list)  # what each of the commands comes to where nobody kills it


def attack(wish: Wish, tally: Tally) -> None:
    """As told above."""
    warm_up()
    with TemporaryDirectory(prefix="killed") as named:
        folder = Path(named)
        writings = {writing.file.suffix: writing for writing in written(folder)}
        kinds = (*writings, "note", "upgrade", "first")
        for chance in wish.chances(tally):
            kind = kinds[tally.tries % len(kinds)]
            began = time.monotonic()
            if kind in writings:
                wrong = [*while_writing(writings[kind], folder, chance, tally)]
            else:
                wrong = [
                    *{"note": while_noting, "upgrade": while_upgrading, "first": first}[kind](folder, chance, tally)
                ]
            tally.took(time.monotonic() - began)
            tally.found += [f"try {tally.tries}, {kind}: {each}" for each in wrong]
            tally.counts[kind] += 1
        half = sum(path.suffix == ".new" for path in folder.rglob("*"))
        tally.told.append(
            ", ".join(f"{kind} {tally.counts[kind]}" for kind in kinds)
            + f"; {half} killed inside a write, {tally.counts['copied']} journals copied and {tally.counts['changed']} "
            "changed by one that was killed"
        )


def written(folder: Path) -> Iterator[Written]:
    """Every command that writes a file, with what it comes to."""
    warps = [folder / "one.yaml", folder / "other.yaml"]
    for number, warp in enumerate(warps):
        warp.write_text(sequence(f"Warp {number}"), encoding="utf-8")
        (folder / f"draft {number}.txt").write_text(" ".join(str(1 + (at * (number + 1)) % 4) for at in range(400)))
        _sit(folder, warp, 3 + number)
        _record(folder / f"recordings {number}", number)
    noted = folder / "noted.yaml"
    noted.write_text(sequence("Notes"), encoding="utf-8")
    _sit(folder, noted, 1)
    out = folder / "out"
    (out / "weavers").mkdir(parents=True)

    def both(command: Callable[[int], list[str]]) -> tuple[list[str], list[str]]:
        return command(0), command(1)

    yaml, wif, html, csv = (out / f"out.{kind}" for kind in ("yaml", "wif", "html", "csv"))
    taught = folder / "weavers" / "anna.npz"
    lesson = both(lambda n: ["teach", "--weaver", "anna", "--from", str(folder / f"recordings {n}")])
    for writing in (
        Written(
            yaml, both(lambda n: ["import", str(folder / f"draft {n}.txt"), "-o", str(yaml), *IMPORT]), Path.read_bytes
        ),
        Written(wif, both(lambda n: ["export", str(warps[n]), "-o", str(wif), "--replace"]), Path.read_bytes),
        Written(html, both(lambda n: ["log", str(warps[n]), "--report", str(html), "--replace"]), Path.read_bytes),
        Written(csv, both(lambda n: ["log", str(warps[n]), "--csv", str(csv), "--replace"]), Path.read_bytes),
        Written(taught, lesson, _arrays),
    ):
        for command in writing.commands:
            window = Window(command, folder)
            window.ends_within(LONGEST_S)
            window.bury()
            if window.code != 0:
                raise RuntimeError(f"{command}: {window.err}")
            writing.wholes.append(writing.read(writing.file))
        yield writing


IMPORT = ("--start", "right", "--replace")


def _arrays(file: Path) -> dict[str, bytes]:
    """What a file of taught words holds, without when it was packed; nothing where it is not whole."""
    with suppress(zipfile.BadZipFile), zipfile.ZipFile(file) as packed:
        return {name: packed.read(name) for name in packed.namelist()}
    return {}


def _sit(folder: Path, warp: Path, steps: int) -> None:
    window = Window(["thread", str(warp), "--plain", "--mute", "--deaf"], folder)
    window.type("n\n" * steps + "q\n")
    window.ends_within(LONGEST_S)
    window.bury()


def _record(folder: Path, seed: int) -> None:
    """Three recordings of each word: a tone that rises, one that falls and one that stays, in a quiet room."""
    folder.mkdir()
    noise = np.random.default_rng(seed)
    for word, (first, last) in PITCHES.items():
        for take in range(3):
            pitch = np.linspace(first, last, RATE // 2) * (1 + 0.01 * take)
            tone = 0.3 * np.sin(2 * np.pi * np.cumsum(pitch) / RATE) * np.hanning(RATE // 2)
            sound = np.concatenate([np.zeros(RATE), tone, np.zeros(RATE)]) + noise.normal(0, 0.001, 5 * RATE // 2)
            soundfile.write(folder / f"{word}-{take + 1}.wav", sound, RATE)


def killed(window: Window, chance: random.Random, beside: Path, tally: Tally, names: str = "*") -> None:
    """Kill it at a random moment, or as soon as it writes beside a file, by one of these names."""
    if chance.random() < 0.5:
        window.until(lambda: False, chance.uniform(0, 0.4))
    else:
        end = time.monotonic() + LONGEST_S
        there = _beside(beside, names)
        while _beside(beside, names) == there and time.monotonic() < end and not window.ends_within(0):
            pass
        time.sleep(chance.choice((0.0, 0.0, chance.uniform(0, 0.003))))
    if chance.random() < 0.1:
        window.close_all()
    else:
        window.kill(chance.choice(SIGNALS))
    if not window.ends_within(LONGEST_S):
        tally.found.append(f"{window.command} lives on")
    window.bury()
    tally.took(0, window.megabytes)


def _beside(file: Path, names: str) -> set[tuple[str, int, int]]:
    """The files of a folder by these names, with their sizes and times."""
    found = set()
    with suppress(OSError), os.scandir(file.parent) as entries:
        for entry in entries:
            if not fnmatch(entry.name, names):
                continue
            with suppress(OSError):
                found.add((entry.name, entry.stat().st_size, entry.stat().st_mtime_ns))
    return found


def _told(window: Window, *, beside: bool = False) -> Iterator[str]:
    """What it should not have told; beside another that writes the same, it may be sent there."""
    if "Traceback" in window.err or b"Traceback" in window.out:
        yield f"a traceback: {window.err.strip().splitlines()[-1:]}"
    elif window.code == 2 and not (beside and "another window" in window.err):
        yield f"refused: {window.err.strip()}"


def while_writing(writing: Written, folder: Path, chance: random.Random, tally: Tally) -> Iterator[str]:
    """One writes a file and is killed, sometimes with another that writes the same one."""
    which = chance.randrange(2)
    before = writing.read(writing.file)
    windows = [Window(writing.commands[which], folder)]
    if beside := chance.random() < 0.3:
        windows.append(Window(writing.commands[1 - which], folder))
    killed(windows[0], chance, writing.file, tally)
    for window in windows[1:]:
        window.ends_within(LONGEST_S)
        window.bury()
    for window in windows:
        yield from _told(window, beside=beside)
    after = writing.read(writing.file)
    if after not in (before, *writing.wholes):
        yield f"{writing.file.name} is neither as it was nor as it should be"
    elif windows[0].code == 0 and not beside and after != writing.wholes[which]:
        yield f"{writing.file.name} was not written"


def while_noting(folder: Path, chance: random.Random, tally: Tally) -> Iterator[str]:
    """A note is kept once where it was acknowledged."""
    before = kept(folder)
    note = f"noted at {time.monotonic()}"
    window = Window(["note", note, "--file", str(folder / "noted.yaml")], folder)
    killed(window, chance, folder / JOURNAL, tally)
    yield from _told(window)
    after = kept(folder)
    if after.sound != "ok" or after.lost_of(before):
        yield f"integrity_check: {after.sound}; {after.lost_of(before)}"
    if not bool(window.lines) <= after.notes().count(note) <= 1:
        yield f"{note} is kept {after.notes().count(note)} times, acknowledged: {window.lines}"


def while_upgrading(folder: Path, chance: random.Random, tally: Tally) -> Iterator[str]:
    """A journal of an older version is copied beside itself and brought up to date, by the first note that is kept."""
    sample = chance.choice(OLD)
    contents, version = [], 0
    for kill in (False, True):
        with TemporaryDirectory(dir=folder) as named:
            data = Path(named)
            shutil.copy(sample, data / JOURNAL)
            beside = chance.choice((1, 1, 3)) if kill else 1
            windows = [Window(["note", NOTE], data, runs=on_a_slow_disk if kill else None) for _ in range(beside)]
            if kill:
                for window in windows:
                    killed(window, chance, data / JOURNAL, tally, chance.choice(("*", ".*.new", "journal-before-*")))
                yield from _before(sample, data, version)
                tally.counts["copied"] += any(data.glob("journal-before-*"))
                tally.counts["changed"] += _dumped(data / JOURNAL)[0] == version
                windows.append(Window(["note", NOTE], data))
            for window in windows:
                window.ends_within(LONGEST_S)
                window.bury()
                yield from _told(window)
            if (sound := kept(data).sound) != "ok":
                yield f"{sample.name}: integrity_check: {sound}"
            version, *content = _dumped(data / JOURNAL)
            contents.append([line for line in content if NOTE not in line])
            yield from _before(sample, data, version)
            if kept(data).notes().count(NOTE) < 1:
                yield f"{sample.name}: no note was kept"
    if contents[0] != contents[1]:
        yield f"{sample.name}: not as it is without a kill"


NOTE = "the note that changes it"


def on_a_slow_disk(command: Sequence[str]) -> int:
    """The program where a file takes a while to be safe, so that a kill comes before, between and after."""
    from assistant.cli import main
    from assistant.ending import run as ends

    sync = os.fsync

    def slowly(file: int) -> None:
        time.sleep(SLOW_S)
        sync(file)
        time.sleep(SLOW_S)

    os.fsync = slowly  # type: ignore[assignment]
    return ends(lambda: lambda: main(command))


def _dumped(journal: Path) -> tuple[int, *tuple[str, ...]]:
    """Its version, and all that it holds."""
    with closing(sqlite3.connect(journal)) as db:
        return (db.execute("PRAGMA user_version").fetchone()[0], *db.iterdump())


def _before(sample: Path, data: Path, newest: int) -> Iterator[str]:
    """What is wrong with the copies beside a journal: each is as it was, and one is there where it was changed."""
    copies = sorted(data.glob("journal-before-*"))
    for copy in copies:
        with suppress(sqlite3.DatabaseError):
            if _dumped(copy) == _dumped(sample):
                continue
        yield f"{sample.name}: {copy.name} is not what was there"
    with copied(data) as journal:
        changed = _dumped(journal)[0] == newest
    if [copy.name for copy in copies] not in ([f"journal-before-{newest}.sqlite3"], *([] if changed else [[]])):
        yield f"{sample.name}: {'changed' if changed else 'as it was'}, and copies of it: {copies}"


def first(folder: Path, chance: random.Random, tally: Tally) -> Iterator[str]:
    """Three windows begin the same warp at once, in a folder without a journal."""
    job = chance.choice([*CALLS])
    warp = folder / "one.yaml"
    command = [job, str(warp), "--plain", "--mute", "--deaf", *(["--pace", "99"] if job == "check" else [])]
    with TemporaryDirectory(dir=folder) as data:
        windows = [Window(command, Path(data)) for _ in range(3)]
        end = time.monotonic() + LONGEST_S
        while time.monotonic() < end and sum(each.ends_within(0) or bool(printed(each.out)) for each in windows) < 3:
            time.sleep(0.005)
        sat = [each for each in windows if each.code is None and printed(each.out)]
        if len(sat) != 1:
            yield f"{job}: {len(sat)} of three sit: {[each.err for each in windows]}"
        for each in windows:
            each.kill(chance.choice(SIGNALS[:3]))
            each.ends_within(LONGEST_S)
            each.bury()
        if any(each.code not in (2, None) and each not in sat for each in windows):
            yield f"{job}: exit codes {[each.code for each in windows]}"
        window = Window(command, Path(data))
        window.type("q\n")
        if not window.ends_within(LONGEST_S) or not printed(window.out):
            yield f"{job}: the next window does not open: {window.err}"
        window.bury()
        after = kept(Path(data))
        if after.sound != "ok" or len(after.records) != 1:
            yield f"{job}: integrity_check: {after.sound}; {len(after.records)} records"


if __name__ == "__main__":
    run(__doc__, attack, tries=300, seconds=180)
