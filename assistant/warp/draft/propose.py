"""A sequence file for a warp that is but a list of ends: blocks and groups as a weaver would have written them."""

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count, product
from string import ascii_lowercase

from assistant.warp.colour_order import NOT_GIVEN, order_text
from assistant.warp.draft.grouping import Part, Piece, Several, grouped
from assistant.warp.draft.repeats import short
from assistant.warp.draft.strands import BothEdges, DraftStrand, beams, strands, without_selvedge, words, yarns
from assistant.warp.model import End, Group, Warp
from assistant.warp.notation import period
from assistant.warp.sequence import WIDTH, dump

WORTH_A_NAME = 10  # characters of a repeat that is used more than once
NAMED, MIRRORED = 5, 13  # characters of a block, so many times, and mirrored
LONGEST_EDGE = 20  # ends of a first or last group that is called an edge
BEGINNING, MOST_ALIKE = 4, 64  # ends by which blocks are found, and how many that begin alike are tried
LONGEST_NAME = 40
EDGE = "edge"
PATTERN = "pattern"
LAST = "last"

Words = tuple[str, ...]  # ends, each as the notation has it
Blocks = Mapping[Words, str]  # their names


def propose(warp: Warp) -> str:
    """A sequence file of the same ends, divided into new groups; never longer than plain(warp)."""
    every = strands(warp.every_end())
    sleyed = warp.first_edge or warp.last_edge  # the head has a selvedge then
    selvedge, inside = (BothEdges(), every) if sleyed else without_selvedge(every)
    return min((_head(warp) + _body(selvedge, grouped(inside), warp), plain(warp)), key=len)


def plain(warp: Warp) -> str:
    """A sequence file of one group that lists every end, its yarn and beam."""
    every = strands(warp.every_end())
    lines = [_folded(f"  - thread: {', '.join(words(every))}", 6)]
    for key, of_ends in (("yarn", yarns(every)), ("beam", beams(every))):
        if any(of_ends):
            lines.append(_folded(f'    {key}: "{", ".join(one or NOT_GIVEN for one in of_ends)}"', 6))
    return _head(warp) + "\n".join(["groups:", *lines, ""])


@dataclass(frozen=True, slots=True)
class _Group:
    """A piece as it is written, and what it is called, "" where there is nothing to call it by."""

    piece: Piece
    words: Words
    unit: Words  # of which it is so many times
    repeated: bool  # by itself, or together with others
    name: str = ""

    @classmethod
    def of(cls, piece: Piece, inner: bool) -> "_Group":
        every = words(piece.ends)
        size = period(every)
        return cls(piece, every, every[:size] if len(every) % size == 0 else every, inner or piece.times > 1)


def _head(warp: Warp) -> str:
    """What stands before the blocks."""
    text = dump(replace(warp, groups=(Group(EDGE, (End((1,)),)),)))
    return text[: text.rindex("groups:")].replace("\nshaft_1: front\n", "\n")


def _body(selvedge: BothEdges, parts: Sequence[Part], warp: Warp) -> str:
    """BothEdges, blocks and groups."""
    groups = _named([_Group.of(piece, inner) for piece, inner in _pieces(parts)], warp)
    threads = _Writing(_blocks(groups))
    lines = [f"selvedge: {{{selvedge.key}}}"] if selvedge.key else []
    lines += ["blocks:"] if threads.blocks else []
    lines += [_folded(f"  {name}: {short(unit)}", 4) for unit, name in threads.blocks.items()]
    return "\n".join([*lines, "groups:", *_entries(parts, iter(groups), threads, "  "), ""])


def _pieces(parts: Iterable[Part], *, inner: bool = False) -> Iterator[tuple[Piece, bool]]:
    """All of them, in order, each once for the entry it becomes; and whether others repeat together with it."""
    for part in parts:
        if isinstance(part, Several):
            yield from _pieces(part.parts, inner=True)
        else:
            yield part, inner


def _entries(parts: Iterable[Part], groups: Iterator[_Group], threads: "_Writing", indent: str) -> Iterator[str]:
    """The lines under `groups`."""
    for part in parts:
        if isinstance(part, Several):
            yield f"{indent}- groups:"
            yield from _entries(part.parts, groups, threads, indent + "    ")
            yield f"{indent}  times: {part.times}"
        else:
            yield _entry(next(groups), threads, indent)


def _entry(group: _Group, threads: "_Writing", indent: str) -> str:
    """One group, on one line where it fits."""
    keys = {
        "name": group.name,
        "thread": threads.text(group.words),
        "yarn": _order(yarns(group.piece.ends)),
        "beam": _order(beams(group.piece.ends)),
        "times": str(group.piece.times) if group.piece.times > 1 else "",
    }
    inside = ", ".join(f"{key}: {value}" for key, value in keys.items() if value)
    return _folded(f"{indent}- {{{inside}}}", len(indent) + 3)


def _order(keys: Sequence[str]) -> str:
    """Yarns, or beams, in order, "" where none is given."""
    order = order_text(keys) if any(keys) else ""
    return f'"{order}"' if "," in order else order


class _Writing:
    """Threadings as they are written, with blocks."""

    def __init__(self, blocks: Blocks):
        self.blocks = blocks
        self._beginning: dict[Words, list[Words]] = {}
        for block in blocks:
            for way in dict.fromkeys((block, block[::-1])):
                self._beginning.setdefault(way[:BEGINNING], []).append(way)
        self._known: dict[Words, str] = {}

    def text(self, thread: Words) -> str:
        """The shortest way to write it: by itself, or by a block and what is left."""
        if thread not in self._known:
            found = [short(thread)]
            for way, times, rest in self.begun(thread):
                name = self.blocks.get(way) or f"mirror({self.blocks[way[::-1]]})"
                found.append(f"{times}({name}) {rest}".rstrip() if times > 1 else f"{name} {rest}".rstrip())
            self._known[thread] = min(found, key=len)
        return self._known[thread]

    def begun(self, thread: Words) -> Iterator[tuple[Words, int, str]]:
        """The blocks, forwards or mirrored, with which it begins, how many times, and how the rest is written."""
        for way in self._beginning.get(thread[:BEGINNING], [])[:MOST_ALIKE]:
            times = 0
            while thread[times * len(way) : (times + 1) * len(way)] == way:
                times += 1
            if times:
                yield way, times, short(thread[times * len(way) :])


def _blocks(groups: Sequence[_Group]) -> dict[Words, str]:
    """Words -> name, for the units that it is shorter to name."""
    users: dict[Words, list[_Group]] = {}
    for group in groups:
        if len(short(group.unit)) >= WORTH_A_NAME:
            users.setdefault(group.unit, []).append(group)
    every = _Writing(dict.fromkeys(users, PATTERN))
    saved: Counter[Words] = Counter()
    for group in groups:
        for way, _, rest in every.begun(group.words):
            unit = way if way in users else way[::-1]
            saved[unit] += len(short(group.words)) - len(rest) - (NAMED if way in users else MIRRORED)
    chosen: dict[Words, str] = {}
    letters = _letters()
    for unit, using in users.items():
        if saved[unit] > len(short(unit)) + NAMED and unit[::-1] not in chosen:
            called = {user.name for user in using}
            pattern = next((name for name in called if name.startswith(PATTERN)), "")
            edge = all(name.endswith(EDGE) for name in called)
            name = EDGE if edge else pattern.removeprefix(PATTERN).strip() or pattern
            chosen[unit] = name if name and name not in chosen.values() else ""
    free = (letter for letter in letters if letter not in chosen.values())
    return {unit: name or next(free) for unit, name in chosen.items()}


def _letters() -> Iterator[str]:
    """a, b … z, aa, ab …"""
    for length in count(1):
        yield from map("".join, product(ascii_lowercase, repeat=length))


def _named(groups: Sequence[_Group], warp: Warp) -> list[_Group]:
    """The groups with what to call each."""
    several = len({end.yarn for end in warp.every_end()}) > 1
    sides = ("right", "left") if warp.start == "right" else ("left", "right")
    edges = {at: f"{side} {EDGE}" for at, side in zip((0, len(groups) - 1), sides, strict=True) if len(groups) > 2}
    names = [_side_or_stripe(group, edges.get(at, ""), several) for at, group in enumerate(groups)]
    uses = Counter(group.piece.ends for group, name in zip(groups, names, strict=True) if not name)
    patterns = dict.fromkeys(
        group.piece.ends
        for group, name in zip(groups, names, strict=True)
        if not name and (group.repeated or uses[group.piece.ends] > 1)
    )
    called = {ends: f"{PATTERN} {letter}" for ends, letter in zip(patterns, _letters(), strict=False)}
    if len(called) == 1:
        called = dict.fromkeys(called, PATTERN)
    found: list[_Group] = []
    for group, name in zip(groups, names, strict=True):
        called_by = name or called.get(group.piece.ends) or _closing(group, found[-1] if found else None)
        found.append(replace(group, name=called_by))
    return found


def _closing(group: _Group, before: _Group | None) -> str:
    """What a group is called that begins like the pattern before it and then closes it; else ""."""
    closes = before and before.name.startswith(PATTERN) and group.words[: len(before.unit)] == before.unit
    return f"{LAST} {before.name}" if before and closes else ""


def _side_or_stripe(group: _Group, edge: str, several: bool) -> str:
    """What a group is called by its place, or by its one yarn of several; else ""."""
    if edge and not group.repeated and len(group.words) <= LONGEST_EDGE:
        return edge
    return _stripe(group.piece.ends[0]) if several and len({*yarns(group.piece.ends)}) == 1 else ""


def _stripe(strand: DraftStrand) -> str:
    """Stripes are called after their yarn."""
    yarn = " ".join(strand.yarns[0].replace("-", " ").replace("_", " ").split())
    return f"{yarn} stripe" if yarn and len(yarn) < LONGEST_NAME else "stripe"


def _folded(line: str, indent: int) -> str:
    """The line on several lines where it is long."""
    return "\n".join(
        textwrap.wrap(line, WIDTH, subsequent_indent=" " * indent, break_long_words=False, break_on_hyphens=False)
    )
