"""A sequence file and the Warp it describes, both ways. Every complaint names file, line and column."""

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from os import PathLike, fspath
from pathlib import Path
from typing import Any, TypeVar

import yaml

from assistant.errors import SequenceError, refusal
from assistant.files import open_plain
from assistant.meaning import Tell
from assistant.warp import colour_order
from assistant.warp.counts import per_kilogram
from assistant.warp.model import MOST_IN_A_DENT, MOST_SHAFTS, End, Group, Loom, Warp, Warping, Yarn
from assistant.warp.notation import MOST_NUMBER, Ends, is_name, names, notation, parse
from assistant.warp.source import MOST_BYTES, MOST_BYTES_BEGUN, MOST_CHARACTERS, MOST_FIELDS, Field, one_line, read
from assistant.warp.spelling import shown

KEYS = (
    "title", "shafts", "shaft_1", "start", "warping", "sett", "unit", "reed", "reed_width", "sley", "heddles", "yarns",
    "blocks", "groups",
)  # fmt: skip
NEEDED = {"shafts": "shafts: 4", "groups": "groups: [{thread: 1 2 3 4}]"}
UNNAMED = "group"
TIMES_IN_BLOCKS = 10  # as many ends as a warp may have, of all blocks, each written out
MOST_SHOWN = 6  # blocks of a circle worth listing
WIDTH = 110  # characters a line of a written file

_T = TypeVar("_T")


def load(path: str | PathLike[str], *, begun: bool = False) -> Warp:
    """The warp in a sequence file. Raises SequenceError where the file cannot be opened or read.

    One that was `begun`, by an older version, may be longer than one to begin.
    """
    file = fspath(path)
    try:
        with open_plain(file) as opened:
            data = opened.read(MOST_BYTES_BEGUN if begun else MOST_BYTES + 1)
    except OSError as error:
        todo = "check the name, or name one of the examples"
        raise SequenceError("cannot be opened: {why}", todo, file=file, why=refusal(error)) from None
    except ValueError:
        what = "{name} cannot be the name of a file"
        raise SequenceError(what, "check the name", name=shown(file)) from None
    return loads(data, file, ours=begun)


def loads(data: bytes, file: str, *, ours: bool = False) -> Warp:
    """The warp in the bytes of a sequence file; `file` is what to call it in complaints.

    Whatever is read can be dumped and read again. What `dump` wrote is `ours`, as is a file that was begun: it may
    be longer than what a weaver begins.
    """
    keys = read(data, file, ours=ours).entries(KEYS, NEEDED)
    shafts = keys["shafts"].whole(1, MOST_SHAFTS)
    yarns = _yarns(keys["yarns"]) if "yarns" in keys else {}
    blocks = _blocks(keys["blocks"], shafts) if "blocks" in keys else {}
    warp = Warp(
        title=_read(keys, "title", Field.text, one_line(Path(file).stem)),
        loom=Loom(
            shafts=shafts,
            heddles=_read(keys, "heddles", lambda field: _heddles(field, shafts), {}),
            reed=_read(keys, "reed", Field.measure, None),
            shaft_1=_read(keys, "shaft_1", lambda field: field.choice("front", "back"), "front"),
            reed_width=_read(keys, "reed_width", Field.measure, None),
        ),
        groups=_groups(keys["groups"], shafts, blocks, yarns),
        start=_read(keys, "start", lambda field: field.choice("right", "left"), "right"),
        sett=_read(keys, "sett", Field.measure, None),
        unit=_read(keys, "unit", lambda field: field.choice("inch", "cm"), "inch"),
        sley=_read(keys, "sley", _sley, ()),
        yarns=yarns,
        warping=_read(keys, "warping", _warping, None),
    )
    if not (ours or _can_be_dumped(warp)):
        raise keys["groups"].error("written out group by group, this is too long", "use fewer groups, or larger ones")
    return warp


def dump(warp: Warp, *, on_one_line: bool = False) -> str:
    """A sequence file that describes the warp: loads(dump(warp)) == warp. Blocks are written out."""
    loom = warp.loom
    keys = {
        "title": warp.title,
        "shafts": loom.shafts,
        "shaft_1": loom.shaft_1,
        "start": warp.start,
        "warping": warp.warping,
        "sett": _short(warp.sett),
        "unit": warp.unit,
        "reed": _short(loom.reed),
        "reed_width": _short(loom.reed_width),
        "sley": list(warp.sley),
        "heddles": dict(loom.heddles),
        "yarns": {yarn.key: _given(_yarn_keys(yarn)) for yarn in warp.yarns.values()},
        "groups": [_given(_group_keys(group)) for group in warp.groups],
    }
    how: dict[str, Any] = {"allow_unicode": True, "default_flow_style": None, "width": WIDTH}
    if on_one_line:
        how = {"default_flow_style": True, "width": 2 * MOST_BYTES_BEGUN}
    text: str = yaml.safe_dump(_given(keys), sort_keys=False, **how)
    return text.rstrip("\n") if on_one_line else text


def _read(keys: Mapping[str, Field], name: str, reader: Callable[[Field], _T], default: _T) -> _T:
    """The value of a key that may be left out."""
    return reader(keys[name]) if name in keys else default


def _heddles(field: Field, shafts: int) -> dict[int, int]:
    """Shaft -> heddles on it today."""
    found: dict[int, int] = {}
    for _, key, value in field.pairs(Tell("shaft")):
        shaft = key.whole(1, shafts)
        if shaft in found:
            raise key.error("shaft {shaft} is given twice", "keep one of them", shaft=shaft)
        name = Tell("the count of shaft {shaft}", shaft=shaft)
        found[shaft] = Field(name, value.node, value.source).whole(0, MOST_NUMBER)
    return found


def _warping(field: Field) -> Warping:
    return field.choice("back-to-front", "front-to-back", "tied-on")


def _sley(field: Field) -> tuple[int, ...]:
    """Ends in each dent, repeating."""
    dents = tuple(item.whole(0, MOST_IN_A_DENT) for item in field.items("[2] or [1, 2]"))
    if not any(dents):
        raise field.error("every dent of sley is empty", "give at least one dent an end")
    return dents


def _yarns(field: Field) -> dict[str, Yarn]:
    """Key -> yarn."""
    return {name: _yarn(name, key, value) for name, key, value in field.pairs(Tell("yarn"))}


def _yarn(name: str, key: Field, value: Field) -> Yarn:
    if not colour_order.is_key(name):
        todo = "use letters, digits, - and _, a letter first; its full name goes under name:"
        raise key.error("{name} cannot be the key of a yarn", todo, name=shown(name))
    keys = value.entries(("name", "colour", "metres_per_kg", "count"), {})
    return Yarn(
        key=name,
        name=_read(keys, "name", _name, name),
        colour=_read(keys, "colour", _colour, ""),
        metres_per_kg=_read(keys, "metres_per_kg", Field.measure, None),
        count=_read(keys, "count", _count, ""),
    )


def _colour(field: Field) -> str:
    colour = field.scalar()
    if not re.fullmatch("#[0-9A-Fa-f]{6}", colour):
        todo = 'write # and six digits in quotes, for instance "#c9b48a"'
        raise field.error("{name} is {text}", todo, text=shown(colour))
    return colour


def _count(field: Field) -> str:
    """A yarn count, as written."""
    text = field.text()
    try:
        per_kilogram(text)
    except SequenceError as error:
        raise field.error(error.what, error.todo) from None
    return text


def _name(field: Field) -> str:
    name = field.text()
    if not name.strip():
        raise field.error("{name} is blank", "write a name, or take the line out")
    return name


def _blocks(field: Field, shafts: int) -> dict[str, Ends]:
    """Name -> ends; a block may use blocks that stand before or after it."""
    fields: dict[str, Field] = {}
    for name, key, value in field.pairs(Tell("block")):
        if not is_name(name):
            todo = "use letters, digits and _, a letter first"
            raise key.error("{name} cannot be the name of a block", todo, name=shown(name))
        fields[name] = value
    blocks: dict[str, Ends] = dict.fromkeys(fields, ())
    total, most = 0, TIMES_IN_BLOCKS * field.source.most_ends
    for name in _parts_first(fields):
        blocks[name] = _ends(fields[name], blocks, shafts)
        total += len(blocks[name])
        if total > most:
            what = "with this the blocks have more than {most:,} ends"
            raise fields[name].error(what, "repeat in the groups", most=most)
    return blocks


def _parts_first(fields: Mapping[str, Field]) -> Iterable[str]:
    """The names of the blocks, each after those it uses."""
    uses = {name: names(field.scalar()) for name, field in fields.items()}
    parts = {name: used.keys() & fields.keys() for name, used in uses.items()}
    try:
        return list(TopologicalSorter(parts).static_order())
    except CycleError as error:
        circle: list[str] = error.args[1][::-1]  # each block uses the next, the last is the first
        members = set(circle)
        begin = next(name for name in fields if name in members)
        at = circle.index(begin)
        circle = [*circle[at:-1], *circle[:at]]
        way = [*circle[:MOST_SHOWN], *(["…"] if len(circle) > MOST_SHOWN else []), begin]
        what, at = "the block {name} leads back to itself: {way}", uses[begin][way[1]]
        places = {"name": shown(begin), "way": " > ".join(way)}
        raise fields[begin].error(what, "take one of them out", at, **places) from None


def _ends(field: Field, blocks: Mapping[str, Ends], shafts: int) -> Ends:
    """The ends a field writes, of which there is at least one."""
    text = field.scalar()
    try:
        ends = parse(text, blocks, shafts, field.source.most_ends)
    except SequenceError as error:
        raise field.error(error.what, error.todo, error.column - 1) from None
    if not ends:
        raise field.error("{name} has no ends", "write them, for instance 1 2 3 4")
    return ends


@dataclass(frozen=True, slots=True)
class _Entry:
    """One item under groups."""

    field: Field  # what to point at when the name is wrong
    name: str
    ends: tuple[End, ...]
    times: int


def _groups(field: Field, shafts: int, blocks: Mapping[str, Ends], yarns: Mapping[str, Yarn]) -> tuple[Group, ...]:
    """All groups, repeats unrolled and named."""
    entries, total, most = [], 0, field.source.most_ends
    for item in field.items("- thread: 1 2 3 4"):
        entry = _entry(item, shafts, blocks, yarns)
        total += len(entry.ends) * entry.times
        if total > most:
            what = "with this the warp has more than {most:,} ends"
            raise item.error(what, "look for a number too large", most=most)
        entries.append(entry)
    return _named(entries)


def _entry(item: Field, shafts: int, blocks: Mapping[str, Ends], yarns: Mapping[str, Yarn]) -> _Entry:
    group = Field(Tell("a group"), item.node, item.source)
    keys = group.entries(("name", "thread", "yarn", "times"), {"thread": "thread: 1 2 3 4"})
    threads = _ends(keys["thread"], blocks, shafts)
    colours = _colours(keys["yarn"], yarns, len(threads)) if "yarn" in keys else [""] * len(threads)
    kinds = {kind: End(*kind) for kind in set(zip(threads, colours, strict=True))}
    ends = tuple(kinds[kind] for kind in zip(threads, colours, strict=True))
    times = _read(keys, "times", lambda times: times.whole(1, MOST_NUMBER), 1)
    return _Entry(keys.get("name", group), _read(keys, "name", _name, UNNAMED), ends, times)


def _colours(field: Field, yarns: Mapping[str, Yarn], ends: int) -> list[str]:
    """The key of the yarn of each end."""
    try:
        return list(colour_order.over(colour_order.parse(field.scalar(), yarns), ends))
    except SequenceError as error:
        raise field.error(error.what, error.todo, error.column - 1) from None


def _named(entries: Iterable[_Entry]) -> tuple[Group, ...]:
    """The groups one by one; those of the same name are numbered from 1."""
    times: Counter[str] = Counter()
    for entry in entries:
        times[entry.name] += entry.times
    numbers: Counter[str] = Counter()
    groups = []
    for entry in entries:
        if times[entry.name] == 1:
            _check_unnumbered(entry, times)
            groups.append(Group(entry.name, entry.ends))
            continue
        if len(f"{entry.name} {times[entry.name]}") > MOST_CHARACTERS:
            what = "{name} is, with its number, longer than {most} characters"
            raise entry.field.error(what, "shorten it", most=MOST_CHARACTERS)
        for _ in range(entry.times):
            numbers[entry.name] += 1
            groups.append(Group(f"{entry.name} {numbers[entry.name]}", entry.ends))
    return tuple(groups)


def _check_unnumbered(entry: _Entry, times: Mapping[str, int]) -> None:
    """Raise SequenceError where the name is one that a numbered group gets."""
    name, _, number = entry.name.rpartition(" ")
    if re.fullmatch("[1-9][0-9]{0,6}", number) and 1 < times.get(name, 0) >= int(number):
        what = "the name {name} is also given to one of the groups called {groups}"
        raise entry.field.error(what, "choose another name", name=shown(entry.name), groups=shown(name))


def _yarn_keys(yarn: Yarn) -> dict[str, Any]:
    return {
        "name": yarn.name,
        "colour": yarn.colour or None,
        "metres_per_kg": _short(yarn.metres_per_kg),
        "count": yarn.count or None,
    }


def _group_keys(group: Group) -> dict[str, Any]:
    colours = [end.yarn for end in group.ends]
    order = colour_order.order_text(colours) if any(colours) else None
    return {"name": group.name, "thread": notation(end.shafts for end in group.ends), "yarn": order}


def _can_be_dumped(warp: Warp) -> bool:
    """Whether what `dump` makes of it is within the bounds of what is read."""
    alike = {id(group.ends): _given(_group_keys(group)) for group in warp.groups}  # those of an entry have one tuple
    keys = [alike[id(group.ends)] for group in warp.groups]
    numbers, yarns = len(warp.sley) + 2 * len(warp.loom.heddles), warp.yarns.values()
    if 2 * len(KEYS) + numbers + 10 * len(yarns) + sum(1 + 2 * len(each) for each in keys) > MOST_FIELDS:
        return False
    texts = [warp.title, f"{warp.loom}{warp.sley}", *(group.name for group in warp.groups)]
    texts += [f"{yarn.key}{_yarn_keys(yarn)}" for yarn in yarns]
    long = {which: len(f"{each}") for which, each in alike.items()}
    characters = sum(map(len, texts)) + sum(long[id(group.ends)] for group in warp.groups)
    longest = 3 if all(map(str.isascii, texts)) else 12  # of one character: a quote twice, or "\U0010ffff", on its line
    if longest * characters <= MOST_BYTES:
        return True
    return characters <= 2 * MOST_BYTES and len(dump(warp).encode()) <= MOST_BYTES


def _short(number: float | None) -> float | None:
    """The number, without decimals where there are none."""
    return int(number) if number is not None and number.is_integer() else number


def _given(keys: Mapping[str, Any]) -> dict[str, Any]:
    """The keys that say something."""
    return {key: value for key, value in keys.items() if value not in (None, [], {})}
