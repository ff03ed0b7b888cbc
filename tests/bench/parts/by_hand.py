"""Drafts beside the sequence files that a weaver wrote for them by hand: what is made of one, held against the other.

A hand-written file is read by the program; where its units begin is read here, from its text, by another way.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import accumulate
from pathlib import Path
from typing import Any

import yaml

from assistant.warp.draft import read_draft, to_warp, write_draft
from assistant.warp.draft.propose import propose
from assistant.warp.model import Warp
from assistant.warp.sequence import load, loads

_PIECE = re.compile(r"(?P<times>[0-9]*)(?P<mirror>mirror)?\(|(?P<close>\))|(?P<mark>,)|(?P<word>[^\s,()]+)")


@dataclass(frozen=True, slots=True)
class Made:
    """What was made of one draft."""

    name: str
    exact: bool  # the same ends, in the file and in a draft written from it
    length: float  # of its lines, to those of the hand-written file
    groups_alone: float  # the same, of blocks and groups alone
    same: bool  # its groups begin where the hand-written ones begin
    at_units: bool  # they begin where a hand-written one does, or one of its repeats, blocks or parts between commas


def made(file: Path, propose_it: Callable[[Warp], str] = propose) -> Made:
    """The file that is made of the draft of a hand-written one, and how it compares."""
    by_hand = load(file)
    draft = to_warp(read_draft(write_draft(by_hand).encode(), str(file)), by_hand.start)
    text = propose_it(draft)
    warp = loads(text.encode(), "made.yaml")
    ends = tuple(replace(end, yarn="") for end in by_hand.every_end())
    exact = (
        tuple(warp.every_end()) == tuple(draft.every_end())
        and tuple(replace(end, yarn="") for end in warp.every_end()) == ends
        and _looks(warp) == _looks(by_hand)
    )
    hand, theirs, ours = file.read_text(encoding="utf-8"), _starts(by_hand), _starts(warp)
    return Made(
        file.stem,
        exact,
        _size(text) / _size(hand),
        _size(text, "selvedge", "blocks", "groups") / _size(hand, "selvedge", "blocks", "groups"),
        ours == theirs,
        len(ours) > 1 and set(ours) <= _units(yaml.safe_load(hand), by_hand),
    )


def _looks(warp: Warp) -> list[tuple[tuple[int, ...], str]]:
    """Shafts and colour of every end, as a draft written from the warp has them."""
    draft = read_draft(write_draft(warp).encode(), "looks.wif")
    return [(end.shafts, draft.yarns[end.yarn].colour if end.yarn else "") for end in draft.ends]


def _starts(warp: Warp) -> list[int]:
    """Before which end each group begins."""
    return [0, *accumulate(len(group.ends) for group in warp.groups)][:-1]


def _size(text: str, *keys: str) -> int:
    """Characters of the lines that are no remark, spaces that only set apart left out; of some keys alone."""
    found, counted = 0, not keys
    for line in text.splitlines():
        said = re.sub(r"(^|\s+)#.*", "", line)
        if keys and re.match(r"\S", said):
            counted = said.partition(":")[0] in keys
        found += counted * len(" ".join(said.split()))
    return found


def _units(said: dict[str, Any], warp: Warp) -> set[int]:
    """Where a group of the file begins, and where what it is written of begins."""
    blocks = {name: str(text) for name, text in said.get("blocks", {}).items()}
    found: set[int] = set()
    at = 0
    for group, units in zip(warp.groups, _of_groups(said["groups"], blocks), strict=True):
        added = len(group.ends) - units[-1]  # what the selvedge adds, at either edge of the warp
        shift = added if at == 0 else 0
        found |= {at, *(at + shift + unit for unit in units[:-1] if unit)}
        at += len(group.ends)
    return found


def _of_groups(entries: list[dict[str, Any]], blocks: dict[str, str]) -> Iterator[list[int]]:
    """Of each group, where its units begin, and how many ends it has."""
    for entry in entries:
        inner = list(_of_groups(entry["groups"], blocks)) if "groups" in entry else [_in(str(entry["thread"]), blocks)]
        if entry.get("mirror"):
            inner = [_mirrored(units) for units in reversed(inner)]
        for _ in range(entry.get("times", 1)):
            yield from inner


def _mirrored(units: list[int]) -> list[int]:
    return sorted({units[-1] - unit for unit in units} | {0, units[-1]})


def _in(text: str, blocks: dict[str, str]) -> list[int]:
    """Where the units of a threading begin, and how many ends it has."""
    opened: list[tuple[list[int], int, bool]] = [([0], 1, False)]
    for piece in _PIECE.finditer(text):
        units = opened[-1][0]
        if piece["close"]:
            inner, times, mirror = opened.pop()
            inner = _mirrored(inner) if mirror else inner
            for _ in range(times):
                _follow(opened[-1][0], inner)
        elif piece["mark"]:
            units.insert(-1, units[-1])
        elif piece["word"] in blocks:
            _follow(units, _in(blocks[piece["word"]], blocks))
        elif piece["word"]:
            first, _, last = piece["word"].partition("..")
            units[-1] += abs(int(last) - int(first)) + 1 if last else 1
        else:
            opened.append(([0], int(piece["times"] or 1), bool(piece["mirror"])))
    return opened[0][0]


def _follow(units: list[int], inner: list[int]) -> None:
    """Put what is in brackets, or a block, behind; it is a unit, and so is what comes after it."""
    at = units[-1]
    units[-1:] = [at, *(at + unit for unit in inner)]
