"""A sequence file and the Warp it describes, both ways. Every complaint names file, line and column."""

from collections.abc import Mapping
from os import PathLike, fspath
from pathlib import Path
from typing import Any

import yaml

from assistant.errors import SequenceError, refusal
from assistant.files import open_plain
from assistant.meaning import Tell
from assistant.warp import colour_order
from assistant.warp.blocks import read_blocks, read_keys
from assistant.warp.brackets import MOST_NUMBER
from assistant.warp.groups import Declared, read_groups, sley
from assistant.warp.model import MOST_SHAFTS, CallFrom, Edge, Group, Loom, Unit, Warp, Warping
from assistant.warp.notation import notation
from assistant.warp.selvedge import read_selvedges, with_selvedges
from assistant.warp.source import MOST_BYTES, MOST_BYTES_BEGUN, MOST_FIELDS, Field, given, one_line, read
from assistant.warp.spelling import shown
from assistant.warp.threads import Threaded
from assistant.warp.yarns import beam_keys, read_beams, read_yarns, short, yarn_keys

KEYS = (
    "title", "shafts", "shaft_1", "start", "call_from", "warping", "sett", "unit", "reed", "reed_width", "sley",
    "selvedge", "heddles", "yarns", "beams", "blocks", "keys", "groups",
)  # fmt: skip
NEEDED = {"shafts": "shafts: 4", "groups": "groups: [{thread: 1 2 3 4}]"}
WIDTH = 110  # characters a line of a written file
FOLDED = 1.1  # times as long a text may be in lines, which are indented
KEYS_BYTES = 1000  # of the keys of a file, at most


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
    unit: Unit = given(keys, "unit", lambda field: field.choice("inch", "cm"), "inch")
    yarns = read_yarns(keys["yarns"]) if "yarns" in keys else {}
    beams = read_beams(keys["beams"], unit) if "beams" in keys else {}
    blocks = read_blocks(keys["blocks"], shafts) if "blocks" in keys else {}
    profiles = read_keys(keys["keys"], blocks, shafts) if "keys" in keys else {}
    groups = read_groups(keys["groups"], Declared(shafts, blocks, profiles, yarns, beams))
    start: Edge = given(keys, "start", _edge, "right")
    edges = read_selvedges(keys["selvedge"]) if "selvedge" in keys else {}
    first, last = edges.get(start), edges.get("left" if start == "right" else "right")
    warp = Warp(
        title=given(keys, "title", Field.text, one_line(Path(file).stem)),
        loom=Loom(
            shafts=shafts,
            heddles=given(keys, "heddles", lambda field: _heddles(field, shafts), {}),
            reed=given(keys, "reed", Field.measure, None),
            shaft_1=given(keys, "shaft_1", lambda field: field.choice("front", "back"), "front"),
            reed_width=given(keys, "reed_width", Field.measure, None),
        ),
        groups=with_selvedges(groups, first, last),
        start=start,
        sett=given(keys, "sett", Field.measure, None),
        unit=unit,
        sley=given(keys, "sley", sley, ()),
        yarns=yarns,
        warping=given(keys, "warping", _warping, None),
        beams=beams,
        first_edge=first.sley if first else None,
        last_edge=last.sley if last else None,
        call_from=given(keys, "call_from", _from_where, None),
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
        "call_from": warp.call_from,
        "warping": warp.warping,
        "sett": short(warp.sett),
        "unit": warp.unit,
        "reed": short(loom.reed),
        "reed_width": short(loom.reed_width),
        "sley": list(warp.sley),
        "selvedge": _said(_selvedge_keys(warp)),
        "heddles": dict(loom.heddles),
        "yarns": {yarn.key: _said(yarn_keys(yarn)) for yarn in warp.yarns.values()},
        "beams": {beam.key: _said(beam_keys(beam)) for beam in warp.beams.values()},
        "groups": [_said(_group_keys(group)) for group in warp.groups],
    }
    how: dict[str, Any] = {"allow_unicode": True, "default_flow_style": None, "width": WIDTH}
    if on_one_line:
        how = {"default_flow_style": True, "width": 2 * MOST_BYTES_BEGUN}
    text: str = yaml.safe_dump(_said(keys), sort_keys=False, **how)
    return text.rstrip("\n") if on_one_line else text


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


def _edge(field: Field) -> Edge:
    return field.choice("right", "left")


def _from_where(field: Field) -> CallFrom:
    return field.choice("right", "left", "centre")


def _warping(field: Field) -> Warping:
    return field.choice("back-to-front", "front-to-back", "tied-on")


def _selvedge_keys(warp: Warp) -> dict[str, Any]:
    """The sley of either edge; what floats there and what is doubled is written with the ends."""
    edges = {warp.start: warp.first_edge, "left" if warp.start == "right" else "right": warp.last_edge}
    return {side: {"ends": edge.ends, "sley": list(edge.sley)} if edge else None for side, edge in edges.items()}


def _group_keys(group: Group) -> dict[str, Any]:
    yarns, beams = [end.yarn for end in group.ends], [end.beam for end in group.ends]
    return {
        "name": group.name,
        "thread": notation(Threaded.of(group.ends, group.calls)),
        "yarn": colour_order.order_text(yarns) if any(yarns) else None,
        "beam": colour_order.order_text(beams) if any(beams) else None,
        "sley": list(group.sley),
        "empty_before": group.empty_before or None,
        "shares_dent": group.shares_dent or None,
    }


def _can_be_dumped(warp: Warp) -> bool:
    """Whether what `dump` makes of it is within the bounds of what is read."""
    alike = {_kind(group): group for group in warp.groups}  # those of an entry are written once
    written = {kind: _said(_group_keys(group)) for kind, group in alike.items()}
    kinds = [_kind(group) for group in warp.groups]
    values = {kind: 1 + 2 * len(keys) + len(alike[kind].sley) for kind, keys in written.items()}
    edges = [edge for edge in (warp.first_edge, warp.last_edge) if edge]
    numbers = len(warp.sley) + 2 * len(warp.loom.heddles) + sum(6 + len(edge.sley) for edge in edges)
    yarns, beams = warp.yarns.values(), warp.beams.values()
    fields = 2 * len(KEYS) + numbers + 10 * len(yarns) + 8 * len(beams) + sum(values[kind] for kind in kinds)
    if fields > MOST_FIELDS:
        return False
    texts = [warp.title, f"{warp.loom}{warp.sley}{edges}", *(group.name for group in warp.groups)]
    texts += [f"{yarn.key}{yarn_keys(yarn)}" for yarn in yarns]
    texts += [f"{beam.key}{beam_keys(beam)}" for beam in beams]
    long = {kind: len(f"{keys}".encode()) for kind, keys in written.items()}
    size = sum(len(text.encode()) + text.count("'") for text in texts) + sum(long[kind] for kind in kinds)
    if all(map(str.isprintable, texts)) and KEYS_BYTES + FOLDED * size <= MOST_BYTES:  # nothing in it is escaped
        return True
    return size <= 2 * MOST_BYTES and len(dump(warp).encode()) <= MOST_BYTES


def _kind(group: Group) -> tuple[object, ...]:
    """What groups that are written alike, but for their names, have in common."""
    return id(group.ends), group.calls, group.sley, group.empty_before, group.shares_dent


def _said(keys: Mapping[str, Any]) -> dict[str, Any]:
    """The keys that say something."""
    return {key: value for key, value in keys.items() if value not in (None, [], {})}
