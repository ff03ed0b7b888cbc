"""Sequence files, lengths and yarn counts.

The second opinions: PyYAML's own loader and a plain expander of the notation say which groups a file has, and which
ends; a length is reckoned in fractions.
"""

import random
import re
from collections.abc import Mapping
from contextlib import suppress
from fractions import Fraction
from functools import cache
from math import isfinite
from typing import Any

import yaml

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp.counts import label
from assistant.warp.examples import examples
from assistant.warp.lengths import LONGEST_LENGTH, METRES, length
from assistant.warp.model import MOST_ENDS, Warp
from assistant.warp.sequence import dump, loads
from fuzzers.engine import Fuzzer, law
from fuzzers.mangled import lines, mangled, number
from fuzzers.threadings import (
    KEYED,
    MANY,
    WRITTEN,
    Told,
    cuts,
    draft,
    expanded,
    flat,
    hung,
    order,
    threading,
    used,
    woven,
)

NAMES = ("rose", "left edge", "edge", "group", "group 1", "Muster", "꽃", "a: b", "x" * 199, "", "0", "null", "- 3")


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
    told.append("beams: {ground: {name: Ground, length: 3 m, take_up: 5}, pile: {length: 4 1/2 yd}}")
    told.append(_mapped("blocks", WRITTEN))
    told.append(f"keys: {{weave: {_inside(KEYED)}, over: {_inside({**KEYED, 'joint': 'shared'})}}}")
    if chance.random() < 0.3:
        told.append(f"selvedge: {_edges(chance)}")
    if chance.random() < 0.2:
        told.append(f"call_from: {chance.choice(('left', 'right', 'centre'))}")
    chance.shuffle(told)
    shafts = chance.choice((8, 8, 8, 8, 64, 4))
    groups = [_group_of(chance, shafts) for _ in range(chance.randint(1, 4))]
    return "\n".join([f"shafts: {shafts}", *told, f"groups: [{', '.join(groups)}]", ""]).encode()


def _inside(keys: Mapping[str, object]) -> str:
    return f"{{{', '.join(f'{key}: {value}' for key, value in keys.items())}}}"


def _mapped(key: str, values: Mapping[str, object]) -> str:
    return f"{key}: {_inside(values)}"


def _edges(chance: random.Random) -> str:
    def edge() -> str:
        keys = {"floating": _or_odd(chance, "1", "2"), "doubled": _or_odd(chance, "1", "2", "4"), "sley": "[3, 2]"}
        return _inside({key: value for key, value in keys.items() if chance.random() < 0.6})

    return edge() if chance.random() < 0.5 else _inside({chance.choice(("right", "left")): edge()})


def _or_odd(chance: random.Random, *usual: str) -> str:
    return number(chance) if chance.random() < 0.06 else chance.choice(usual)


def _group_of(chance: random.Random, shafts: int, deep: int = 0) -> str:
    keys = {"times": _or_odd(chance, "2", "3", "12")} if chance.random() < 0.3 else {}
    if chance.random() < 0.2:
        keys["mirror"] = chance.choice(("true", "true", "false", _or_odd(chance, "yes")))
    if deep < 3 and chance.random() < 0.15:
        inside = [_group_of(chance, shafts, deep + 1) for _ in range(chance.randint(1, 3))]
        return _inside({"groups": f"[{', '.join(inside)}]", **keys})
    if chance.random() < 0.15:
        keys |= {"profile": repr(draft(chance)), "key": chance.choice(("weave", "over"))}
    else:
        keys["thread"] = repr(threading(chance, 3, shafts)[0].replace("\n", " "))
    usual = {
        "name": repr(chance.choice(NAMES)),
        "yarn": chance.choice(("flax", "'2 flax, 1 rust'", "'3 -, gold-8'", repr(order(chance)))),
        "beam": chance.choice(("ground", "'2 ground, pile'", "'mirror(ground, pile)'")),
        "sley": chance.choice(("[3]", "[1, 2]", f"[{_or_odd(chance, '4')}]")),
        "empty_before": _or_odd(chance, "1", "2"),
        "shares_dent": chance.choice(("true", "false")),
    }
    keys |= {key: value for key, value in usual.items() if chance.random() < 0.25}
    return _inside(dict(chance.sample(list(keys.items()), len(keys))))


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
    if warp.ends < MANY:
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
        told = yaml.load(data.decode().lstrip("\ufeff"), yaml.BaseLoader)
    if not isinstance(told, dict):
        return
    shafts = int(told["shafts"])
    parts: dict[str, str] = told.get("blocks", {})
    blocks: dict[str, list[Told]] = {}
    for _ in range(len(parts)):  # each may use any of the others
        for name, text in parts.items():
            if used(text) <= blocks.keys():
                blocks[name] = expanded(text, blocks, shafts)
    groups = _expanded(told["groups"], told.get("keys", {}), blocks, shafts)
    start = told.get("start", "right")
    sides = _sides(told.get("selvedge", {}))
    _widened(groups, sides.get(start, {}))
    groups.reverse()
    _widened(groups := [group[::-1] for group in groups], sides.get("left" if start == "right" else "right", {}))
    groups = [group[::-1] for group in reversed(groups)]
    law(len(groups) == len(warp.groups), len(groups), "groups, not", len(warp.groups))
    for ours, theirs in zip(groups, warp.groups, strict=True):
        law(flat(ours) == hung(theirs.ends), "other ends than the plain expander has")
        law(len(ours) > 500 or cuts(ours) == theirs.calls, "other calls than the plain expander has")


def _expanded(entries: Any, keys: Any, blocks: Mapping[str, list[Told]], shafts: int) -> list[list[Told]]:
    """The groups of entries, each by its ends."""
    found = []
    for entry in entries:
        if "groups" in entry:
            inside = _expanded(entry["groups"], keys, blocks, shafts)
        elif "profile" in entry:
            key = keys[entry["key"]] if "key" in entry else next(iter(keys.values()))
            told = {name: expanded(text, blocks, shafts) for name, text in key.items() if name != "joint"}
            inside = [woven(entry["profile"], told, shared=key.get("joint") == "shared")]
        else:
            inside = [expanded(entry["thread"], blocks, shafts)]
        if entry.get("mirror") == "true":
            inside = [group[::-1] for group in reversed(inside)]
        found += inside * int(entry.get("times", 1))
    return [list(group) for group in found]


def _sides(edge: Any) -> dict[str, Any]:
    return edge if {"right", "left"} & set(edge) else {"right": edge, "left": edge}


def _widened(groups: list[list[Told]], edge: Mapping[str, str]) -> None:
    """Double the first heddles, and put floating ends before them, in the call of the end beside them."""
    left = int(edge.get("doubled", 0))
    for group in groups:
        for at, one in enumerate(group):
            if left and one and one[0]:
                group[at] = (one[0], max(one[1], 2))
                left -= 1
    at = next(at for at, one in enumerate(groups[0]) if one)
    groups[0][at:at] = [((), 1)] * int(edge.get("floating", 0))


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


FUZZERS = (
    Fuzzer("sequence files", 60_000, _sequence_given, _sequence_tried),
    Fuzzer("lengths and counts", 120_000, _length_given, _length_tried),
)
