"""What is kept between sittings: the journal, taught words, the pedal, languages, the catalogue of models, their zips.

A journal is given as lines of what is done to a sound one: `sql …`, `bytes PLACE HEX`, `cut LENGTH`, and `run …`, a
command that meets it.
"""

import random
import shlex
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from functools import cache
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipInfo

import numpy as np
import yaml
from zips import FILES, NAME, packed

from assistant.entries import FAST
from assistant.errors import ModelError, refusal
from assistant.meaning import Tell
from assistant.models import catalogue
from assistant.models.unpack import unpack
from assistant.senses.ear import taught
from assistant.senses.ear.clip import FRAMES as CLIPPED
from assistant.senses.ear.earlier import MARGIN
from assistant.senses.ear.embedding import BANDS
from assistant.senses.ear.features import BANDS as EARLIER_BANDS
from assistant.senses.ear.judging import Example
from assistant.senses.ear.likeness import Space
from assistant.senses.ear.words import TrainedWords
from assistant.senses.pedal.settings import load_pedal, save_pedal
from assistant.session.events import Event, Kind, Origin
from assistant.session.journal import Journal, default_path
from assistant.warp.sequence import loads
from assistant.words import language
from assistant.words.phrases import Phrases
from fuzzers.commanded import command
from fuzzers.engine import Fuzzer, law
from fuzzers.mangled import lines, mangled, text

WARP = (
    b"{title: Runner, shafts: 4, sett: 10, reed: 10, "
    b"groups: [{name: edge, thread: 6(1 2)}, {name: rose, thread: 3(1..4)}]}"
)
WARP_FILE = "runner.yaml"
RUN = (
    "log", "log --json", "log --pace", "log --report out.html", "log --csv out.csv", f"next {WARP_FILE}", "note again",
    f"plan {WARP_FILE}", f"thread {WARP_FILE} --plain --mute --deaf", f"log {WARP_FILE} --job thread",
    "log --language fi",
    f"check {WARP_FILE} --plain --mute --deaf", f"thread {WARP_FILE} --fresh --plain --mute --deaf",
)  # fmt: skip


@cache
def journal() -> bytes:
    """A sound one, with two jobs under way."""
    with TemporaryDirectory() as folder:
        place = Path(folder) / "journal.sqlite3"
        with Journal(place) as kept:
            for job in ("thread", "sley"):
                record = kept.begin(Path(folder) / WARP_FILE, job, loads(WARP, WARP_FILE), 1_764_000_000.0)
                keep = kept.keep(record)
                for at, kind in enumerate((Kind.SIT_DOWN, Kind.NEXT, Kind.NEXT, Kind.UNEVEN, Kind.OVER, Kind.LEAVE)):
                    keep(Event(kind, 1_764_000_000.0 + 20 * at, 1 if kind is Kind.OVER else None, Origin.KEY))
                kept.note(record, "a knot", 1_764_000_500.0)
        return place.read_bytes()


@cache
def _journal_here() -> bytes:
    """The sound one, of the warp that lies in this folder."""
    (place := Path("here.sqlite3")).write_bytes(journal())
    with closing(sqlite3.connect(place)) as db:
        db.execute("UPDATE warps SET file = ?", (str(Path(WARP_FILE).resolve()),))
        db.commit()
    data = place.read_bytes()
    place.unlink()
    return data


@cache
def _columns() -> dict[str, list[str]]:
    with TemporaryDirectory() as folder:
        (place := Path(folder) / "journal.sqlite3").write_bytes(journal())
        with closing(sqlite3.connect(place)) as db:
            tables = {table: db.execute(f"PRAGMA table_info({table})").fetchall() for table in ("warps", "events")}
    return {table: [row[1] for row in rows] for table, rows in tables.items()}


FRAMES = [2 * MARGIN + 9, 2 * MARGIN + 12]  # of two examples
VALUES = (
    "NULL", "''", "'x'", "0", "-1", "1e999", "-1e999", "1e18", "-1e18", "9223372036854775807", "x'00ff'", "x''",
    "char(0)",
    "char(27)||'[2J'", "'row'", "'row 1 x'", "'row 1 2'", "'1-9'", "'1-9-3'", "'a-b'", "'-'", "'thread'", "'sley'",
    "'wind'",
    "'read'", "'next'", "'done'", "'note'", "'sit down'", "'over'", "'short'", "'number'", "'find'", "'voice'",
    "'2001-99-99'", "'1764000000.0'", "char(10)", "char(55296)", "cast(x'ff' as text)", "1764000000.5", "0.5",
    "-9e15", "253402300800",
    "printf('%.100000c', 'a')", "'{shafts: 4, groups: [{thread: 1 2}]}'", "'[[[['", "'{}'",
)  # fmt: skip


def _journal_given(chance: random.Random) -> bytes:
    did = [_done(chance) for _ in range(chance.choice((1, 1, 2, 3)))]
    return "\n".join([*did, *(f"run {each}" for each in chance.sample(RUN, 2))]).encode()


def _done(chance: random.Random) -> str:
    if chance.random() < 0.25:
        place = chance.choice((chance.randrange(100), chance.randrange(len(journal()))))
        return f"bytes {place} {chance.randbytes(chance.choice((1, 1, 4, 40))).hex()}"
    if chance.random() < 0.04:
        return f"cut {chance.randrange(len(journal()))}"
    table = chance.choice(("warps", "events", "events"))
    names = _columns()[table]
    if chance.random() < 0.2:
        return f"sql {_whole(chance, table, names)}"
    where = f" WHERE {'id' if table == 'warps' else 'step'} = {chance.randrange(7)}" if chance.random() < 0.7 else ""
    return f"sql UPDATE OR REPLACE {table} SET {chance.choice(names)} = {chance.choice(VALUES)}{where}"


def _whole(chance: random.Random, table: str, names: list[str]) -> str:
    """What changes more than an entry."""
    columns = ", ".join(chance.choice((name, name, name, "step + 70")) for name in _columns()["events"])
    version = chance.choice((-1, 0, 1, 2, 3, 4, 5, 6, 7, 99))
    rows = "id = 1" if table == "warps" else f"step = {chance.randrange(7)}"
    return chance.choice(
        (
            *(f"DELETE FROM {table} WHERE {rows}", f"DROP TABLE {table}", f"ALTER TABLE {table} RENAME TO other"),
            *(f"ALTER TABLE {table} ADD COLUMN more TEXT", f"ALTER TABLE {table} DROP COLUMN {chance.choice(names)}"),
            *("PRAGMA writable_schema=1; DELETE FROM sqlite_master", f"PRAGMA user_version = {version}"),
            *("DELETE FROM events", f"INSERT INTO events SELECT {columns} FROM events", "VACUUM"),
            f"CREATE TRIGGER t BEFORE INSERT ON {table} BEGIN SELECT RAISE(ABORT, 'no'); END",
            *("PRAGMA encoding = 'UTF-16'", f"CREATE VIEW v AS SELECT * FROM {table}", "PRAGMA journal_mode = DELETE"),
        )
    )


def _journal_tried(data: bytes) -> None:
    Path(WARP_FILE).write_bytes(WARP)
    place = default_path()
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(_journal_here())
    for line in data.decode().split("\n"):
        what, _, rest = line.partition(" ")
        with suppress(sqlite3.Error, ValueError):
            match what:
                case "sql":
                    with closing(sqlite3.connect(place)) as db:
                        db.executescript(rest)
                case "bytes":
                    at, _, content = rest.partition(" ")
                    with place.open("r+b") as file:
                        file.seek(int(at))
                        file.write(bytes.fromhex(content))
                case "cut":
                    with place.open("r+b") as file:
                        file.truncate(int(rest))
                case "run":
                    command(shlex.split(rest), b"w\n")


def _pedal_given(chance: random.Random) -> bytes:
    keys = {
        chance.choice(("KEY_A", "a", "30", text(chance)[:40])): chance.choice(("next", "back", "one", "x"))
        for _ in range(3)
    }
    told = {"source": chance.choice(("evdev", "terminal", "x")), "device": text(chance)[:40], "switches": keys}
    data = (
        yaml.safe_dump(told).encode()
        if chance.random() < 0.5
        else b"source: terminal\ndevice: ''\nswitches: {a: one}\n"
    )
    return mangled(chance, data, (b"switches: {b: [1, 2], c: {d: e}}\n",)) if chance.random() < 0.9 else data


def _pedal_tried(data: bytes) -> None:
    place = Path("pedal.yaml")
    place.write_bytes(data)
    if pedal := load_pedal(place):
        law(load_pedal(save_pedal(pedal, Path("again.yaml"))) == pedal, "kept and read, another pedal")


@cache
def _space() -> Space:
    return Space(TrainedWords("en"))


@cache
def _taught() -> bytes:
    """A sound file of a few words."""
    with TemporaryDirectory() as folder:
        clips = np.random.default_rng(1).uniform(2, 9, (6, CLIPPED, BANDS)).astype(np.float32)
        words = ("next", "next", "back", "back", "3", "3")
        examples = tuple(map(Example, words, clips, _space().of([*clips])))
        into = Path(folder) / "aunt.npz"
        keeping = taught.kept_in
        taught.kept_in = lambda weaver: into
        try:
            taught.keep(taught.Taught("aunt", examples), _space())
        finally:
            taught.kept_in = keeping
        return into.read_bytes()


def _taught_given(chance: random.Random) -> bytes:
    if (way := chance.random()) < 0.6:
        return _taught() if way < 0.1 else mangled(chance, _taught(), (packed(FILES)[:4000],))
    odd = [
        np.array(each)
        for each in (1, -1, 2**62, 0.5, [], ["next"], [[1]], ["next", "back"], np.zeros((3, BANDS)), "x", None)
    ]
    now, earlier = (2, CLIPPED, BANDS), (sum(FRAMES), EARLIER_BANDS)
    shaped = [
        *odd,
        np.array(FRAMES),
        *(np.full(shape, filled, np.float16) for shape in (now, earlier) for filled in (np.nan, 0)),
    ]
    entries = {"layout": np.array(chance.choice((2, 3))), "words": np.array(["next", "back"])}
    if entries["layout"] == 2:
        entries |= {"rivals": np.array(chance.randrange(2)), "lengths": np.array(FRAMES)}
        entries |= {"decibels": np.zeros(earlier, np.float16)}
    else:
        entries |= {"clips": np.zeros(now, np.float16), "places": np.zeros((2, 128), np.float16)}
        entries |= {"space": np.array(chance.choice((_space().version, 1)))}
    entries |= {chance.choice(list(entries)): chance.choice(shaped) for _ in range(chance.choice((1, 1, 2)))}
    for name in list(entries):
        if chance.random() < 0.1:
            del entries[name]
    path = Path("made.npz")
    np.savez_compressed(path, **entries)  # type: ignore[arg-type]
    data = path.read_bytes()
    path.unlink()
    return data


def _taught_tried(data: bytes) -> None:
    place = taught.kept_in("aunt")
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(data)
    found = taught.load_taught("aunt", _space())
    law(all(each.clip.shape == (CLIPPED, BANDS) for each in found.examples), "another shape")
    law(all(np.isfinite(each.clip).all() for each in found.examples), "no numbers")


@cache
def _languages() -> tuple[bytes, ...]:
    folder = files("assistant.words") / "languages"
    return tuple(sorted(file.read_bytes() for file in folder.iterdir() if file.name.endswith(".yaml")))


@cache
def _shortened() -> bytes:
    """A language with few phrases of each section."""
    entries = yaml.load(_languages()[0], FAST)
    short = {name: dict(list(each.items())[:4]) if isinstance(each, dict) else each for name, each in entries.items()}
    whole = {"numerals": entries["numerals"], "commands": entries["commands"], "jobs": {"thread": short["phrases"]}}
    return yaml.safe_dump(short | whole, allow_unicode=True, sort_keys=False).encode()


def _language_given(chance: random.Random) -> bytes:
    return (mangled if chance.random() < 0.8 else lines)(chance, _shortened(), (_languages()[1][:3000],))


def _language_tried(data: bytes) -> None:
    if (place := Path("languages")).exists():
        place.unlink()
    place.mkdir()
    for code in ("en", "xx"):
        (place / f"{code}.yaml").write_bytes(data if code == "xx" else _languages()[2])
    whole, language._FOLDER = language._FOLDER, place.resolve()
    try:
        found = language.load.__wrapped__("xx")
    finally:
        language._FOLDER = whole
    phrases = Phrases.read(found, "phrases", "errors", "screen")
    law(all(isinstance(phrases.text(key, count=2, group="x"), str) for key in list(found.phrases)[:20]), "no text")
    phrases.told(Tell("even", group="rose", count=3))


def _catalogue_given(chance: random.Random) -> bytes:
    whole = next(place for place in catalogue._PLACES if place.is_file()).read_bytes()
    entry = b"models:\n- {name: m, language: ko, engine: vosk, source: 'pypi:m', licence: L, size: 3, tried: true}\n"
    return mangled(chance, entry if chance.random() < 0.95 else whole, (whole[:2000],))


def _catalogue_tried(data: bytes) -> None:
    Path("catalogue.yaml").write_bytes(data)
    whole, catalogue._PLACES = catalogue._PLACES, (Path("catalogue.yaml").resolve(),) * 2
    try:
        command(["models", "--json"][: 1 + len(data) % 2])
    finally:
        catalogue._PLACES = whole


def _zip_given(chance: random.Random) -> bytes:
    names = [
        *FILES,
        "a/b",
        "../x",
        "/x",
        "C:/x",
        "a\\b",
        ".",
        "",
        "a/../../b",
        "x" * 300,
        "a\x1b[2Jb",
        "a\nb",
        f"{NAME}/am",
        "한/글",
    ]
    members = list(_members(chance, names))
    files = {name: content[:400] for name, content in FILES.items() if chance.random() < 0.8}
    data = packed(files, *members)
    return mangled(chance, data, (packed(files),)) if chance.random() < 0.6 else data


def _members(chance: random.Random, names: list[str]) -> Iterator[tuple[ZipInfo, bytes]]:
    for name in chance.sample(names, chance.randint(0, 3)):
        member = ZipInfo(name, (1980 + chance.randrange(127), 1, 1, 0, 0, 0))
        member.external_attr = chance.choice((0, 0o120777, 0o100644, 0o040755, 0o010644, 0o60644)) << 16
        member.compress_type = chance.choice((ZIP_STORED, ZIP_DEFLATED))
        yield member, chance.choice((b"", b"x" * 50, b"../..", bytes(100_000)))


def _zip_tried(data: bytes) -> None:
    Path("in").mkdir()
    place = Path("in/fetched.zip").resolve()
    place.write_bytes(data)
    (target := Path("models").resolve()).mkdir()
    try:
        unpack(place, target / NAME)
    except OSError as error:  # which whoever adds a model tells
        raise ModelError("{why}", why=refusal(error)) from error
    finally:
        law(sorted(p.name for p in target.iterdir()) in ([], [NAME]), "left behind:", list(target.iterdir()))
        law(
            sorted(p.name for p in Path().iterdir() if p.name != "kept") == ["in", "models"],
            "outside:",
            list(Path().iterdir()),
        )
    law(not any(path.is_symlink() for path in target.rglob("*")), "a link")


FUZZERS = (
    Fuzzer("journals", 3_000, _journal_given, _journal_tried),
    Fuzzer("pedals", 25_000, _pedal_given, _pedal_tried),
    Fuzzer("taught words", 15_000, _taught_given, _taught_tried),
    Fuzzer("languages", 8_000, _language_given, _language_tried),
    Fuzzer("catalogues", 4_000, _catalogue_given, _catalogue_tried),
    Fuzzer("zips of models", 25_000, _zip_given, _zip_tried),
)
