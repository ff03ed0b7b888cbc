"""Sittings of every job that are killed at any moment, with and without a second window that wants the same warp.

    python tests/attack/kills.py --tries 60

At three desks at once, each try goes on with a record where the last kill at its desk left it. A sitting, with plain
lines in pipes or a terminal, with a page beside them, or with the board, is killed by a signal, or by closing what it
reads and prints to: as it begins (also with --fresh, or with --edited after an edit), between presses, inside a run of
them, or as it leaves. In every second try another window meanwhile opens the same job, also with --fresh and --edited,
moves and edits the file, and writes notes.

What has to hold, by what was typed and printed alone: every step that was answered is in the journal, at most one more
is, in the order typed, and none twice; what was kept before is unchanged; integrity_check is clean; the next window
opens at just that step; no window sits beside another; a request to end is followed; no traceback; no file stays.
"""

import json
import os
import random
import re
import signal
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from itertools import groupby
from pathlib import Path
from tempfile import TemporaryDirectory

from frame.forked import Window, begun_anew, warm_up
from frame.kept import Kept, kept
from frame.trying import Tally, Wish, at_once, run
from frame.walk import (
    CALLS,
    COUNTED,
    LEFT,
    SAT,
    STEADY,
    Stop,
    drawn,
    misdrawn,
    mistold,
    mistyped,
    printed,
    sequence,
    steps_on,
    stops,
    typed,
)

JOBS = tuple(CALLS)
SIGNALS = {name: getattr(signal, name) for name in ("SIGKILL", "SIGTERM", "SIGHUP", "SIGINT")}
CLOSED, UNHEARD, TWICE = "closed", "closed while SIGHUP is ignored", "SIGTERM twice"
WAYS = (*SIGNALS, "SIGKILL", "SIGKILL", CLOSED, UNHEARD, TWICE)
LEAVE_BY = ("SIGTERM", "SIGHUP", "SIGINT")  # after which leaving is kept too
MOMENTS = ("beginning", "between", "writing", "writing", "leaving")
LINES, PAGE, TERMINAL, BOARD = "lines", "page", "terminal", "board"
SCREENS = (LINES, LINES, LINES, PAGE, TERMINAL, BOARD)
SHOWN_BY = {LINES: ["--plain"], PAGE: ["--plain", "--page"], TERMINAL: ["--plain"], BOARD: []}
OPENING = ("open", "--fresh", "--edited")  # what the other window does, beside moving and so on
ASKED_S = 30.0  # to begin, or to end once it was asked to, at most
DESKS = 3  # at once: a try mostly waits
LEFT_BEHIND = ("records", "events", "half written")
OURS = re.compile(r"journal\.sqlite3(-wal|-shm)?|sitting-\w+\.(lock|window)|warp\.yaml|report\.html")


@dataclass
class Desk:
    """What lasts from try to try."""

    folder: Path
    edits: int = 0

    @property
    def data(self) -> Path:
        """Where the journal lies."""
        return self.folder / "data"

    @property
    def file(self) -> Path:
        """The sequence file."""
        return self.folder / "warp.yaml"

    def write(self) -> None:
        """The file, after so many edits."""
        self.file.write_text(sequence(f"Edited {self.edits} times"), encoding="utf-8")

    def strays(self) -> list[Path]:
        """Files that are no part of what is kept, or was asked for."""
        return [path for path in self.folder.rglob("*") if path.is_file() and not OURS.fullmatch(path.name)]

    def sitting(self, job: str, *options: str) -> list[str]:
        """The command, silent and deaf; keys come faster than hands are."""
        return [job, str(self.file), *options, "--mute", "--deaf", "--bounce", "0"]


@dataclass(frozen=True)
class Did:
    """What the other window did once."""

    what: str
    began: float  # by the clock that all processes share
    ended: float
    code: int = 0
    err: str = ""
    sat: bool = False
    note: str = ""


@dataclass
class Try:
    """One sitting: how it is to be killed, and what came of it."""

    job: str
    options: list[str]
    screen: str
    way: str
    moment: str
    beside: bool  # another window
    anew: bool  # Python and all, instead of a process forked from one that has begun
    keys: str
    seen: float = 0.0  # when its first step was; 0 where none ever was
    killed: float = 0.0
    ended: bool = True
    code: int | None = None
    out: bytes = b""
    err: str = ""
    did: list[Did] = field(default_factory=list)
    strange: list[str] = field(default_factory=list)  # of the other window as a whole

    def __str__(self) -> str:
        beside = " beside another window" if self.beside else ""
        return f"{' '.join([self.job, *self.options])}, {self.screen}, {self.way} {self.moment}{beside}"

    @property
    def told(self) -> list[Stop]:
        """Where it told that it stood."""
        return (drawn if self.screen == BOARD else printed)(self.out)


def attack(wish: Wish, tally: Tally) -> None:
    """As told above."""
    warm_up()
    at_once(DESKS, at_a_desk, wish, tally)
    for names in (WAYS, JOBS, MOMENTS, SCREENS, ("alone", "beside another", "begun as a weaver does"), LEFT_BEHIND):
        tally.told.append(", ".join(f"{name} {tally.counts[name]}" for name in dict.fromkeys(names)))


def at_a_desk(wish: Wish, tally: Tally) -> None:
    """One try after the other with the same folder."""
    with TemporaryDirectory(prefix="kills") as folder:
        desk = Desk(Path(folder))
        desk.data.mkdir()
        desk.write()
        before = kept(desk.data)
        for chance in wish.chances(tally):
            one = chosen(chance, JOBS[tally.tries % len(JOBS)], desk, before)
            kill(one, desk, chance, tally)
            after = kept(desk.data)
            tally.found += [
                f"desk {wish.first}, try {tally.tries}: {one}: {wrong}" for wrong in wrongs(one, before, after)
            ]
            before = after
            tally.counts.update((one.way, one.job, one.moment, one.screen, "beside another" if one.beside else "alone"))
            tally.counts["begun as a weaver does"] += one.anew
        counted = (len(before.records), len(before.events), len(desk.strays()))
        tally.counts.update(dict(zip(LEFT_BEHIND, counted, strict=True)))
        tally.found += [f"desk {wish.first}: {path.name} is left behind, and stays" for path in stay(desk)]


def chosen(chance: random.Random, job: str, desk: Desk, before: Kept) -> Try:
    """How the sitting is to be killed; it begins anew where the warp would come to its end."""
    records = [record.id for record in before.records if record.job == job]
    far = records and steps_on([row.kind for row in before.of(records[-1])])[-1] > len(stops(job)) / 3
    option = "--fresh" if far or chance.random() < 0.15 else "--edited"
    if chance.random() < 0.2:
        desk.edits += 1
        desk.write()
    keys = "".join(chance.choice("nnnnnbbrmw") for _ in range(chance.randint(3, 30)))
    if job == STEADY:
        keys = re.sub("[nb]", "", keys)
    keys = re.sub(r"([rmw])\1+", r"\1", keys)  # a terminal takes the second for a held key
    how = (chance.choice(SCREENS), chance.choice(WAYS), chance.choice(MOMENTS), chance.random() < 0.5)
    return Try(job, [option], *how, chance.random() < 0.1, keys)


def kill(one: Try, desk: Desk, chance: random.Random, tally: Tally) -> None:
    """Make the sitting, and kill it."""
    others: list[Window] = []

    def beside() -> None:
        if one.beside:
            others.append(Window((), desk.data, runs=lambda _: rival(desk, one.job, chance)))

    command = desk.sitting(one.job, *one.options, *(["--pace", "0.005"] if one.job == STEADY else []))
    if one.moment == "beginning":
        beside()
    window = Window(
        [*command, *SHOWN_BY[one.screen]],
        desk.data,
        terminal=one.screen in (TERMINAL, BOARD),
        ignores=signal.SIGHUP if one.way == UNHEARD else None,
        runs=begun_anew if one.anew else None,
    )

    def told() -> int:
        one.out = window.out
        return len(one.told)

    if one.moment == "beginning":
        window.type("" if one.screen == BOARD else typed(one.keys))
        window.until(lambda: False, chance.uniform(0, 1.5 if one.anew else 0.4))
    elif window.until(lambda: told() > 0, ASKED_S):
        one.seen = time.monotonic()
        beside()
        for other in others:
            other.until(lambda: bool(other.lines), ASKED_S)  # noqa: B023 - there is one
        (press if one.screen == BOARD else type_lines)(one, window, chance, told)
    one.killed = time.monotonic()
    _end(one.way, window, chance)
    one.ended = window.ends_within(ASKED_S)
    tally.took(time.monotonic() - one.killed, window.megabytes)
    for other in others:
        _stop(one, other, chance)
    one.out, one.err, one.code = window.out, window.err, window.code
    window.bury()


def _end(way: str, window: Window, chance: random.Random) -> None:
    if way in (CLOSED, UNHEARD):
        window.close_all()
        return
    window.kill(SIGNALS[way.partition(" ")[0]])
    if way == TWICE:
        time.sleep(chance.uniform(0, 0.02))
        window.kill(signal.SIGTERM)


def press(one: Try, window: Window, chance: random.Random, _: Callable[[], int]) -> None:
    """Press keys at the board, by turns, since one that comes again is a held one."""
    meant, keys = ("wm", "wm") if one.job == STEADY else ("nn", "n ")
    one.keys = "".join(meant[number % 2] for number in range(chance.randint(1, 5)))
    for number in range(len(one.keys)):
        window.type(keys[number % 2])
        window.until(lambda: False, chance.choice((0.0, 0.02, 0.1)))
    if one.moment == "leaving":
        window.type("q")
    window.until(lambda: False, chance.uniform(0, 0.1))


def type_lines(one: Try, window: Window, chance: random.Random, told: Callable[[], int]) -> None:
    """Type lines, and wait for as many answers as the moment has it."""
    if one.moment == "between":
        one.keys = one.keys[: chance.randint(1, 4)]
    steps = told() + sum(key in "nb" for key in one.keys)
    window.type(typed(one.keys))
    if one.moment == "between":
        window.until(lambda: told() >= steps, 0.5)
        window.until(lambda: False, chance.uniform(0, 0.05))
    elif one.moment == "writing":
        answers = chance.randint(told(), steps)
        window.until(lambda: told() >= answers, 0.6)
        time.sleep(chance.uniform(0, 0.006))
    else:
        if chance.random() < 0.5:
            window.type("q\n")
        else:
            window.close_input()
        window.until(lambda: b"Leave" in window.out, chance.uniform(0, 0.6))
        time.sleep(chance.uniform(0, 0.02))


def rival(desk: Desk, job: str, chance: random.Random) -> int:
    """The other window, in a process of its own, until something is typed; prints what it did as lines of JSON."""
    os.set_blocking(0, False)
    while True:
        with suppress(BlockingIOError):
            os.read(0, 100)
            return 0
        what = chance.choice(("open", *OPENING, "move", "edit", "note", "log", "report"))
        print(json.dumps(asdict(_rival_does(desk, job, what))), flush=True)


def _rival_does(desk: Desk, job: str, what: str) -> Did:
    began, file, note = time.monotonic(), str(desk.file), ""
    if what == "move":
        away = desk.file.with_suffix(".away")
        desk.file.rename(away)
        time.sleep(0.01)
        away.rename(desk.file)
        return Did(what, began, time.monotonic())
    if what == "edit":
        desk.file.write_text(sequence("Edited by another"), encoding="utf-8")
        time.sleep(0.01)
        desk.write()
        return Did(what, began, time.monotonic())
    if what in OPENING:
        options = [what] if what.startswith("--") else []
        command = desk.sitting(job, "--plain", *options, *(["--pace", "99"] if job == STEADY else []))
    elif what == "note":
        note = f"noted at {began}"
        command = ["note", note, "--file", file, "--job", job]
    else:
        command = [
            "log",
            file,
            *(["--report", str(desk.folder / "report.html"), "--replace"] if what == "report" else []),
        ]
    window = Window(command, desk.data)
    window.type("q\n")
    window.ends_within(ASKED_S)
    window.bury()
    return Did(what, began, time.monotonic(), window.code or 0, window.err, bool(printed(window.out)), note)


def _stop(one: Try, other: Window, chance: random.Random) -> None:
    other.until(lambda: False, chance.uniform(0, 0.3))  # it may have the warp now
    other.type("stop\n")
    if not other.ends_within(3 * ASKED_S):
        one.strange.append("it does not end")
    one.did = [Did(**json.loads(line)) for line in other.lines]
    one.strange += other.err.strip().splitlines()[-1:]
    other.bury()


def wrongs(one: Try, before: Kept, after: Kept) -> Iterator[str]:
    """Whatever does not hold."""
    if not one.ended:
        yield f"it lives on {ASKED_S:g} s after it was asked to end"
    if after.sound != "ok":
        yield f"integrity_check: {after.sound}"
    if lost := after.lost_of(before):
        yield lost
    if "Traceback" in (said := one.out.decode(errors="replace") + one.err):
        yield f"a traceback: {said.strip().splitlines()[-1]}"
    if one.code == 2 and not one.told and not one.beside and one.way not in (CLOSED, UNHEARD):
        yield f"it is refused: {said.strip()[-200:]}"
    yield from (f"the other window: {wrong}" for wrong in [*one.strange, *_of_the_other(one, after)])
    yield from _of_the_sitting(one, before, after)


def _of_the_sitting(one: Try, before: Kept, after: Kept) -> Iterator[str]:
    """What was typed and told, against what is kept."""
    new: list[tuple[int, list[str]]] = []  # sittings, each with the steps that its record was on, and what happened
    for record in after.records:
        past, kinds = [row.kind for row in before.of(record.id)], [row.kind for row in after.of(record.id)]
        for sitting in sittings(kinds[len(past) :]):
            new.append((steps_on(past)[-1], sitting))
            past += sitting
            if record.job != one.job:
                yield f"{record.job} has events"
    opened = [each for each in one.did if each.what in OPENING]
    fewest, most = bool(one.told) + sum(each.sat for each in opened), 1 + len(opened)
    if not fewest <= len(new) <= most:
        yield f"{len(new)} sittings are kept, of {most} tried and {fewest} seen"
    if any(sitting[0] != SAT for _, sitting in new):
        yield "events are kept before a sitting"
    mine = [each for each in new if {*each[1]} > {SAT} and {*each[1]} != {SAT, LEFT}]
    if len(mine) > 1:
        yield f"{len(mine)} sittings took steps"
    for began, sitting in mine or new[: bool(one.told)]:
        kinds = [kind for kind in sitting if kind not in (SAT, LEFT)]
        if one.screen == BOARD or one.way in (CLOSED, UNHEARD):  # not all was drawn, or nobody has read the last lines
            wrong = mistyped(one.job, one.keys, kinds) or misdrawn(one.job, kinds, began, one.told)
        else:
            wrong = mistold(one.job, one.keys, kinds, began, one.told)
        if wrong:
            yield wrong
        if one.seen and one.way in LEAVE_BY and sitting[-1] != LEFT:
            yield f"{one.way} did not have it leave"


def sittings(kinds: list[str]) -> list[list[str]]:
    """Events of a record, sitting by sitting."""
    kinds = [kind for kind in kinds if kind != COUNTED]
    numbers = [kinds[: place + 1].count(SAT) for place in range(len(kinds))]
    return [
        [kind for _, kind in together]
        for _, together in groupby(zip(numbers, kinds, strict=True), lambda each: each[0])
    ]


def _of_the_other(one: Try, after: Kept) -> Iterator[str]:
    notes = Counter(after.notes())
    for each in one.did:
        if "Traceback" in each.err or each.code not in (0, 2):
            yield f"{each.what} ends with {each.code}: {each.err}"
        beside = one.seen and one.seen <= each.began and each.ended <= one.killed
        if beside and each.what in OPENING and (each.sat or each.code != 2):
            yield f"{each.what} opened beside it"
        if each.note and not (each.code == 0) <= notes[each.note] <= 1:
            yield f"its note is kept {notes[each.note]} times, with exit code {each.code}"


def stay(desk: Desk) -> list[Path]:
    """What is left half written, and is not cleared away by those who write there later."""
    for path in desk.strays():
        os.utime(path, (0, 0))
    report = ["log", str(desk.file), "--report", str(desk.folder / "report.html"), "--replace"]
    for command in (desk.sitting("thread", "--plain", "--edited"), report):
        window = Window(command, desk.data)
        window.type("q\n")
        window.ends_within(ASKED_S)
        window.bury()
    return desk.strays()


if __name__ == "__main__":
    run(__doc__, attack, tries=1000, seconds=900)
