"""Writes WIF 1.1 (1997, from memory): the threading and the colours of a warp."""

from collections.abc import Iterator, Mapping
from typing import Any

from assistant.warp.draft.yarns import from_hex
from assistant.warp.model import Warp

_UNITS = {"inch": ("Inches", 1.0), "cm": ("Centimeters", 10.0)}  # what the sett counts in

Entries = Mapping[Any, object]  # key, or number of the end -> value


def write_draft(warp: Warp) -> str:
    """A WIF file of the warp, its ends in the order of the sequence. It has no groups, nor yarns without colour."""
    numbers = {key: number for number, key in enumerate((k for k, yarn in warp.yarns.items() if yarn.colour), 1)}
    sections: dict[str, Entries] = {
        "TEXT": {"Title": warp.title},
        "WEAVING": {"Shafts": warp.loom.shafts, "Treadles": 0},
        "WARP": {"Threads": warp.ends, **_spacing(warp)},
        "COLOR PALETTE": {"Entries": len(numbers), "Form": "RGB", "Range": "0,255"} if numbers else {},
        "COLOR TABLE": {n: ",".join(map(str, from_hex(warp.yarns[key].colour))) for key, n in numbers.items()},
        "THREADING": {n: ",".join(map(str, end.shafts)) for n, end in enumerate(warp.every_end(), 1)},
        "WARP COLORS": {n: numbers[end.yarn] for n, end in enumerate(warp.every_end(), 1) if end.yarn in numbers},
    }
    given = {name: entries for name, entries in sections.items() if entries}
    first: dict[str, Entries] = {
        "WIF": {"Version": "1.1", "Date": "April 20, 1997", "Source Program": "Heddlecall"},
        "CONTENTS": dict.fromkeys(given, "true"),
    }
    return "\n".join(_lines({**first, **given}))


def _spacing(warp: Warp) -> dict[str, str]:
    """How far apart the ends lie, where the sett is known."""
    if warp.sett is None:
        return {}
    name, size = _UNITS[warp.unit]
    return {"Units": name, "Spacing": repr(size / warp.sett)}


def _lines(sections: Mapping[str, Entries]) -> Iterator[str]:
    for name, entries in sections.items():
        yield f"[{name}]"
        yield from (f"{key}={value}" for key, value in entries.items())
        yield ""
