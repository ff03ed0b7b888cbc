"""Sequence files and the notation within them, lengths, yarn counts and orders of colour.

The second opinions: what was generated knows its own ends; a plain expander of the notation reads what was mangled;
PyYAML's own loader says which groups a file has; a length is reckoned in fractions.
"""

import random
import re
from collections.abc import Iterator, Mapping
from contextlib import suppress
from fractions import Fraction
from functools import cache
from math import isfinite

import yaml

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp import colour_order
from assistant.warp.counts import label
from assistant.warp.examples import examples
from assistant.warp.lengths import LONGEST_LENGTH, METRES, length
from assistant.warp.model import MOST_ENDS, Warp, Yarn
from assistant.warp.notation import Ends, notation, parse
from assistant.warp.sequence import dump, loads
from fuzzers.engine import Fuzzer, law
from fuzzers.mangled import lines, mangled, number

BLOCKS = {"edge": ((1,), (2,), (1,), (2,)), "rose": ((1,), (3,), (2, 4)), "Ä_9": ((4,),)}
YARNS = {key: Yarn(key, key) for key in ("flax", "rust", "gold-8")}
NAMES = ("rose", "left edge", "edge", "group", "group 1", "Muster", "꽃", "a: b", "x" * 199, "", "0", "null", "- 3")


def threading(chance: random.Random, deep: int = 0) -> tuple[str, list[tuple[int, ...]]]:
    """A piece of notation and the ends it stands for."""
    pieces, ends = [], []
    for _ in range(chance.randint(1, 4)):
        text, more = _piece(chance, deep)
        pieces.append(text)
        ends += more
    return chance.choice((" ", ", ", "  ", " , ", "\n", "-", " - ")).join(pieces), ends


def _piece(chance: random.Random, deep: int) -> tuple[str, list[tuple[int, ...]]]:
    match chance.randrange(6 if deep < 4 else 4):
        case 0 | 1:
            end = tuple(chance.sample(range(1, 9), chance.choice((1, 1, 1, 2, 3))))
            return chance.choice(("/", " / ", "/")).join(map(str, end)), [end]
        case 2:
            first, last = chance.randint(1, 8), chance.randint(1, 8)
            run = range(first, last + 1) if first <= last else range(first, last - 1, -1)
            return f"{first}{chance.choice(('..', ' .. '))}{last}", [(shaft,) for shaft in run]
        case 3:
            name = chance.choice(list(BLOCKS))
            return name, list(BLOCKS[name])
        case _:
            times = chance.choice((1, 2, 3, 12))
            text, ends = threading(chance, deep + 1)
            return f"{times}({text})", ends * times


def expanded(text: str, blocks: Mapping[str, Ends]) -> list[tuple[int, ...]]:
    """What a text in the notation stands for, read as plainly as can be. The text is one that can be read."""
    found = re.findall(
        r"[0-9]+\(|\)|[0-9]+\s*\.\.\s*[0-9]+|[0-9]+(?:\s*/\s*[0-9]+)*|[^\s,\-()./0-9][^\s,\-()./]*", text
    )
    return _group(iter(found), blocks)


def _group(pieces: Iterator[str], blocks: Mapping[str, Ends]) -> list[tuple[int, ...]]:
    ends: list[tuple[int, ...]] = []
    for piece in pieces:
        if piece == ")":
            break
        if piece.endswith("("):
            ends += _group(pieces, blocks) * int(piece[:-1])
        elif ".." in piece:
            first, last = (int(number.strip()) for number in piece.split(".."))
            ends += [(shaft,) for shaft in (range(first, last + 1) if first <= last else range(first, last - 1, -1))]
        elif piece in blocks:
            ends += blocks[piece]
        else:
            ends.append(tuple(int(shaft.strip()) for shaft in piece.split("/")))
    return ends


def _notation_given(chance: random.Random) -> bytes:
    text, _ = threading(chance)
    return text.encode() if chance.random() < 0.1 else mangled(chance, text.encode(), (b"edge, 3(1 2 3 4), 8..1",))


def _notation_tried(data: bytes) -> None:
    text = data.decode("utf-8", "surrogateescape")
    try:
        ends = parse(text, BLOCKS, 64)
    except SequenceError as error:
        law(1 <= error.column <= len(text) + 1, "column", error.column)
        raise
    law(len(ends) <= MOST_ENDS, len(ends), "ends")
    if len(ends) < 20_000:
        law(list(ends) == expanded(text, BLOCKS), "other ends than the plain expander has")
        law(parse(notation(ends), shafts=64) == ends, "written and read, other ends")


def _known_given(chance: random.Random) -> bytes:
    return chance.randbytes(8)


def _known_tried(data: bytes) -> None:
    """Notation whose ends are known, since it was made from them."""
    text, ends = threading(random.Random(data))
    law(list(parse(text, BLOCKS, 8)) == ends, "not the ends it was made of:", text)


@cache
def ready() -> tuple[bytes, ...]:
    """The examples, as they stand."""
    return tuple(file.read_bytes() for file in examples().values())


def sequence(chance: random.Random) -> bytes:
    """A sequence file, most often one that can be read."""
    keys = {
        "title": chance.choice(NAMES),
        "shaft_1": chance.choice(("front", "back")),
        "start": chance.choice(("left", "right")),
        "sett": _or_odd(chance, "20", "12.5"),
        "unit": chance.choice(("inch", "cm")),
        "reed": _or_odd(chance, "10", "12.5"),
        "reed_width": _or_odd(chance, "30"),
        "sley": chance.choice(("[2]", "[1, 2]", "[2, 0]", f"[{_or_odd(chance, '3')}]")),
        "heddles": f"{{1: 20, 2: {_or_odd(chance, '30')}}}",
    }
    told = [f"{key}: {value}" for key, value in keys.items() if chance.random() < 0.4]
    told.append("yarns: {flax: {colour: '#c9b48a', count: 16/2 Ne}, rust: {name: Rust}, gold-8: {metres_per_kg: 8000}}")
    told.append("blocks: {edge: 1 2 1 2, rose: 1 3 2/4, Ä_9: 4}")
    chance.shuffle(told)
    groups = [_group_of(chance) for _ in range(chance.randint(1, 4))]
    return "\n".join([f"shafts: {chance.choice((8, 8, 8, 8, 64, 4))}", *told, "groups:", *groups, ""]).encode()


def _or_odd(chance: random.Random, *usual: str) -> str:
    return number(chance) if chance.random() < 0.06 else chance.choice(usual)


def _group_of(chance: random.Random) -> str:
    keys = {"thread": repr(threading(chance, 3)[0].replace("\n", " "))}
    if chance.random() < 0.4:
        keys["name"] = repr(chance.choice(NAMES))
    if chance.random() < 0.4:
        keys["yarn"] = chance.choice(("flax", "'2 flax, 1 rust'", "'3 -, gold-8'"))
    if chance.random() < 0.3:
        keys["times"] = _or_odd(chance, "2", "3", "12")
    return f"  - {{{', '.join(f'{key}: {value}' for key, value in keys.items())}}}"


def _sequence_given(chance: random.Random) -> bytes:
    data = sequence(chance) if chance.random() < 0.95 else chance.choice(ready())
    if chance.random() < 0.15:
        return data
    return (lines if chance.random() < 0.2 else mangled)(chance, data, ready())


def _sequence_tried(data: bytes) -> None:
    try:
        warp = loads(data, "odd.yaml")
    except SequenceError as error:
        law(str(error).startswith("odd.yaml"), "does not name the file:", error)
        raise
    law(0 < warp.ends <= MOST_ENDS, warp.ends, "ends")
    law(len({group.name for group in warp.groups}) == len(warp.groups), "two groups of one name")
    if warp.ends < 20_000:
        check_written(warp)
        check_counted(data, warp)


def check_written(warp: Warp) -> None:
    """What is written of a warp reads back as the same."""
    again = loads(dump(warp).encode(), "odd.yaml")
    law(again == warp, "written and read, another warp")
    law(
        again.yarns == warp.yarns and again.loom.heddles == warp.loom.heddles,
        "written and read, other yarns or heddles",
    )


def check_counted(data: bytes, warp: Warp) -> None:
    """The groups and ends are those that PyYAML and the plain expander find."""
    told = None
    with suppress(UnicodeDecodeError, yaml.YAMLError):
        told = yaml.load(data.decode(), yaml.BaseLoader)
    if not isinstance(told, dict):
        return
    parts: dict[str, str] = told.get("blocks", {})
    blocks: dict[str, Ends] = {}
    for _ in range(len(parts)):  # each may use any of the others
        for name, text in parts.items():
            used = set(re.findall(r"[^\s,\-()./0-9][^\s,\-()./]*", text))
            if used <= blocks.keys():
                blocks[name] = tuple(expanded(text, blocks))
    ends, groups = [], 0
    for group in told["groups"]:
        times = int(group.get("times", 1))
        groups += times
        ends += expanded(group["thread"], blocks) * times
    law(groups == len(warp.groups), groups, "groups, not", len(warp.groups))
    law(ends == [end.shafts for end in warp.every_end()], "other ends than the plain expander has")


UNITS = {
    "in": Fraction(254, 10_000), '"': Fraction(254, 10_000), "ft": Fraction(3048, 10_000), "yd": Fraction(9144, 10_000),
    "mm": Fraction(1, 1000), "cm": Fraction(1, 100), "m": Fraction(1), "metres": Fraction(1), "": Fraction(254, 10_000),
}  # fmt: skip


def _length_given(chance: random.Random) -> bytes:
    whole, above, below = chance.randint(0, 400), chance.randint(1, 9), chance.randint(1, 16)
    told = chance.choice(
        (f"{whole}.{above}", f"{whole} {above}/{below}", f"{above}/{below}", str(whole), number(chance))
    )
    unit = chance.choice(list(UNITS)) if chance.random() < 0.9 else "ell"
    count = chance.choice(("Ne", "NeL", "NeK", "Nm", "m/kg", "yd/lb", "tex", "den", "dtex"))
    text = chance.choice(
        (
            *(f"{told}{unit}", f"{told} {unit}", f"{told}/2 {count}", f"{count} {told} x 2", f"2/{told}{count}"),
            *(
                f"{whole}/{below} {count}",
                f"R{told} {count} / 2",
                f"{above},{whole:03} {count}",
                f"{above}.{whole:03}/2{count}",
            ),
        )
    )
    return text.encode() if chance.random() < 0.3 else mangled(chance, text.encode())


def _length_tried(data: bytes) -> None:
    text = data.decode("utf-8", "surrogateescape")
    if re.search("(?i)ne|nm|kg|lb|tex|den", text):
        read = label(text)
        for meant in filter(None, (read.read, read.other)):
            law(isfinite(meant.metres_per_kg) and 10 <= meant.metres_per_kg <= 10_000_000, meant)
            again = label(meant.written)
            law(again.other is None and abs(again.read.metres_per_kg / meant.metres_per_kg - 1) < 1e-3, meant, again)
        return
    found = length(text, Tell("it"), "inch")
    law(0 < found <= LONGEST_LENGTH / METRES["inch"] * 1.000001, found)
    if plain := re.fullmatch(r"\s*(?:(\d+(?:\.\d+)?)?(?:(?:^|[ -]+)(\d+)/(\d+))?)\s*(\D*?)\s*", text, re.ASCII):
        whole, above, below, unit = plain.groups()
        if unit in UNITS and (whole or below):
            value = Fraction(whole or 0) + (Fraction(int(above), int(below)) if below else 0)
            wanted = float(value * UNITS[unit] / UNITS["in"])
            law(abs(found - wanted) <= 1e-9 * wanted, found, "inches, not", wanted)


def _colours_given(chance: random.Random) -> bytes:
    parts = [f"{chance.choice(('', '2 ', '13 '))}{chance.choice((*YARNS, '-'))}" for _ in range(chance.randint(1, 4))]
    return mangled(chance, ", ".join(parts).encode(), (b"2 flax, 1 rust",))


def _colours_tried(data: bytes) -> None:
    text = data.decode("utf-8", "surrogateescape")
    try:
        order = colour_order.parse(text, YARNS)
    except SequenceError as error:
        law(1 <= error.column <= len(text) + 1, "column", error.column)
        raise
    keys = list(colour_order.over(order, 1000))
    law(len(keys) == 1000 and set(keys) <= {*YARNS, ""}, "other yarns")
    law(
        list(colour_order.over(colour_order.parse(colour_order.order_text(keys), YARNS), 1000)) == keys,
        "written, another",
    )


FUZZERS = (
    Fuzzer("notation", 250_000, _notation_given, _notation_tried),
    Fuzzer("notation, known ends", 80_000, _known_given, _known_tried),
    Fuzzer("sequence files", 60_000, _sequence_given, _sequence_tried),
    Fuzzer("lengths and counts", 120_000, _length_given, _length_tried),
    Fuzzer("orders of colour", 80_000, _colours_given, _colours_tried),
)
