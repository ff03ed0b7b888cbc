"""Warps under way whose files are moved, renamed, copied, edited and deleted, and packed for another computer and back.

    python tests/attack/travels.py --tries 1000

Each try is one such thing, or a sitting, on either of two computers; these last for two hundred tries. What a weaver is
asked is answered at random, also how an edited warp hangs.

What has to hold: every event of every record stays, in its order, on each computer that has had it; a record goes on
only with the warp that it was begun with, by the title that stands in its file, unless the weaver says it was edited;
what is refused, in one line, changes nothing at all; what was packed is taken up with all it held, or refused.
"""

import random
import shutil
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

from frame.trying import Tally, Wish, run

from assistant.errors import HeddlecallError, SequenceError
from assistant.packing import gathered, pack, take_up
from assistant.session.elsewhere import known_as
from assistant.session.events import Event, Kind
from assistant.session.history import history
from assistant.session.journal import Journal, Record
from assistant.session.resume import Resumption
from assistant.session.rows import COLUMNS, to_row
from assistant.sitting.prepare import prepared
from assistant.warp.model import Hangs
from assistant.warp.passes import SLEY, THREAD, WIND
from assistant.warp.sequence import load

LAST = 200  # tries that the same computers last
DEEDS = ("move", "copy", "edit", "write", "delete", "pack", "pack", "unpack", "unpack", *["sit"] * 5)
LATEST = 4  # of the parcels, one of which is unpacked
FILES, WARPS = 8, 6
JOBS = (THREAD, THREAD, SLEY, WIND)
PIECES = ("1 2 1 2", "1 2 3 4", "4 3 2 1", "1 1 2 2 3 3", "9(1 2 3 4)")
WARP = "{title: %s, shafts: 4, sley: [2], sett: 20, reed: 10, start: %s, groups: [%s]}"

Key = tuple[str, float]  # a record: its job, and when it was begun
Held = dict[Key, list[Sequence[object]]]  # the rows of its events


class Lost(Exception):
    """What does not hold."""


@dataclass
class Computer:
    """Its journal and its files, and beside them what should be kept."""

    journal: Journal
    folder: Path
    held: Held = field(default_factory=dict)
    titles: dict[Key, str] = field(default_factory=dict)  # of the warp that each record was begun with

    def file(self, chance: random.Random) -> Path:
        """Any name, taken or not."""
        return self.folder / f"{chance.randrange(FILES)}.yaml"

    def there(self, chance: random.Random) -> Path | None:
        """A file that is there."""
        files = sorted(self.folder.glob("*.yaml"))
        return chance.choice(files) if files else None

    def kept(self) -> Held:
        """What the journal holds."""
        return {(each.job, each.began): self.rows(each) for each in self.journal.records()}

    def rows(self, record: Record) -> list[Sequence[object]]:
        """Its events, as they are kept."""
        query = f"SELECT {COLUMNS} FROM events WHERE warp = ? ORDER BY step"
        return self.journal._db.execute(query, (record.id,)).fetchall()


@dataclass
class Parcel:
    """A warp that was packed, and what it held."""

    file: Path
    held: Held
    titles: dict[Key, str]


@dataclass
class World:
    """Two computers, and what goes between them."""

    computers: tuple[Computer, Computer]
    parcels: list[Parcel] = field(default_factory=list)
    now: float = 1e9

    def moment(self) -> float:
        """Later than any before."""
        self.now += 1.0
        return self.now


def sequence(chance: random.Random, title: str) -> str:
    groups = ", ".join(
        f'{{name: g{number}, thread: "{chance.choice(PIECES)}"}}' for number in range(chance.randint(1, 4))
    )
    return WARP % (title, chance.choice(("right", "right", "right", "left")), groups)


def attack(wish: Wish, tally: Tally) -> None:
    world, until = None, 0
    with TemporaryDirectory() as folder:
        for chance in wish.chances(tally):
            if world is None or tally.tries > until:
                if world:
                    close(world)
                world, until = begun(Path(folder) / str(tally.tries)), tally.tries + LAST
            began = time.monotonic()
            deed = chance.choice(DEEDS)
            try:
                tally.counts[f"{deed}, {done(world, deed, chance)}"] += 1
                check(world)
            except Lost as lost:
                tally.found.append(f"try {tally.tries}, {deed}: {lost}")
                close(world)
                world = None
            tally.took(time.monotonic() - began)
        if world:
            close(world)
    tally.told.append(", ".join(f"{deed}: {count}" for deed, count in sorted(tally.counts.items())))


def begun(folder: Path) -> World:
    """New computers, and a warp on the first."""
    computers = []
    for name in ("one", "other"):
        (folder / name / "files").mkdir(parents=True)
        computers.append(Computer(Journal(folder / name / "journal.sqlite3"), folder / name / "files"))
    (folder / "parcels").mkdir()
    (computers[0].folder / "0.yaml").write_text(sequence(random.Random(0), "warp 0"))
    return World((computers[0], computers[1]))


def close(world: World) -> None:
    for computer in world.computers:
        computer.journal.__exit__()


def check(world: World) -> None:
    """All that was kept is kept, and nothing else."""
    for computer in world.computers:
        if computer.kept() != computer.held:
            raise Lost(f"{computer.folder.parent.name} does not hold what it should")


def done(world: World, deed: str, chance: random.Random) -> str:
    """What came of something done on one of the computers."""
    computer = chance.choice(world.computers)
    file, other = computer.there(chance), computer.file(chance)
    match deed:
        case "write":
            other.write_text(sequence(chance, f"warp {chance.randrange(WARPS)}"))
        case "unpack" if world.parcels:
            return unpacked(computer, chance.choice(world.parcels[-LATEST:]))
        case _ if file is None:
            return "nothing there"
        case "move":
            file.replace(other)
        case "copy" if file != other:
            shutil.copy(file, other)
        case "edit":
            file.write_text(sequence(chance, load(file).title))
        case "delete":
            file.unlink()
        case "pack":
            return packed(world, computer, file)
        case "sit":
            return sat(world, computer, file, chance)
    return "done"


@contextmanager
def refused_in_one_line() -> Iterator[None]:
    """A refusal is one line."""
    try:
        yield
    except HeddlecallError as error:
        if "\n" in str(error):
            raise Lost(f"several lines: {error}") from error
        raise


def sat(world: World, computer: Computer, file: Path, chance: random.Random) -> str:
    """A sitting, from its beginning to leaving; asked whatever, the weaver says yes or no."""
    job, title = chance.choice(JOBS), load(file).title
    hangs = chance.choice((None, None, *Hangs))
    how = Resumption(chance.random() < 0.1, chance.random() < 0.5, hangs=hangs, same_warp=chance.random() < 0.3)
    asks = chance.choice((None, lambda *_: chance.random() < 0.6))
    before = set(computer.held)
    try:
        with refused_in_one_line(), prepared(computer.journal, file, job, how, agrees=asks) as (record, session):
            key = record.job, record.began
            fresh = key not in before
            if fresh:
                computer.held[key], computer.titles[key] = [], title
            if computer.titles[key] != title and not (how.edited or how.hangs or asks):
                raise Lost(f"{title} goes on with the record of {computer.titles[key]}")
            computer.titles[key] = title  # by the weaver's word
            if record.warp != load(file) or session.warp != load(file):
                raise Lost(f"{title} is led by another sequence than its file's")
            kept = computer.rows(record)
            if kept[: len(computer.held[key])] != computer.held[key] or len(kept) > len(computer.held[key]) + 1:
                raise Lost(f"the record of {title} has other events than were given")
            keep, events = computer.journal.keep(record), [Event(Kind.SIT_DOWN, world.moment(), text="Anna")]
            kinds = [chance.choice((Kind.NEXT, Kind.NEXT, Kind.NEXT, Kind.BACK)) for _ in range(chance.randrange(6))]
            events += [Event(kind, world.moment(), source="key") for kind in (*kinds, Kind.LEAVE)]
            for event in events:
                session.handle(event)
                keep(event)
            computer.held[key] = [*kept, *map(to_row, events)]
            again = history(computer.journal, computer.journal.under_way(file, job.name) or record)
            if again.counted != session.place.done:
                raise Lost(f"{title} is not found where it was left")
    except SequenceError as error:
        raise Lost(f"cannot be read: {error}") from error
    except HeddlecallError:
        return "refused"
    return "anew" if fresh else "went on"


def packed(world: World, computer: Computer, file: Path) -> str:
    try:
        with refused_in_one_line():
            found, records = gathered(computer.journal, known_as(computer.journal, file), file, ())
    except HeddlecallError:
        return "refused"
    held = {(each.job, each.began): computer.rows(each) for each in records}
    parcel = Parcel(computer.folder.parent.parent / "parcels" / f"{len(world.parcels)}.zip", held, {})
    parcel.titles.update({key: computer.titles[key] for key in held})
    parcel.file.write_bytes(pack(found, load(file).title))
    world.parcels.append(parcel)
    return f"{min(len(records), 2)} records or more" if len(records) > 1 else f"{len(records)} records"


def unpacked(computer: Computer, parcel: Parcel) -> str:
    """What it holds is there then; refused, all is as it was."""
    before = contents(computer)
    try:
        with refused_in_one_line():
            taken = take_up(computer.journal, parcel.file, computer.folder)
    except HeddlecallError:
        if contents(computer) != before:
            raise Lost("what was refused left something") from None
        return "refused"
    if any(content != contents(computer)[name] for name, content in before.items()):
        raise Lost("a file was written over")
    for key, events in parcel.held.items():
        if computer.held.get(key, []) != events[: len(computer.held.get(key, []))]:
            raise Lost("what was further on here was put back")
        computer.held[key], computer.titles[key] = events, parcel.titles[key]
    for record in taken.records:
        if (record.job, record.began) not in parcel.held:
            raise Lost("a record came that was not packed")
    return "done" if parcel.held else "without records"


def contents(computer: Computer) -> dict[str, bytes]:
    return {file.name: file.read_bytes() for file in computer.folder.iterdir()}


if __name__ == "__main__":
    run(__doc__, attack, tries=1000, seconds=600)
