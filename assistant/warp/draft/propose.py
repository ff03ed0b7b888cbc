"""A sequence file for a warp that is but a list of ends: blocks and groups as a weaver would have written them."""

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from string import ascii_lowercase

from assistant.warp.colour_order import NOT_GIVEN, order_text
from assistant.warp.draft.grouping import Part, Piece, Together, grouped
from assistant.warp.draft.repeats import short, written
from assistant.warp.model import End, Group, Warp
from assistant.warp.notation import Ends, period
from assistant.warp.sequence import WIDTH, dump

WORTH_A_NAME = 10  # characters of a repeat that is used more than once
MOST_AT_AN_EDGE = 20  # ends of a first or last group that is called an edge
LONGEST_NAME = 40
EDGE = "edge"
PATTERN = "pattern"


def propose(warp: Warp) -> str:
    """A sequence file of the same ends, divided into new groups; never longer than plain(warp)."""
    ends = tuple(warp.every_end())
    return min((_head(warp) + _body(grouped(ends), warp), plain(warp)), key=len)


def plain(warp: Warp) -> str:
    """A sequence file of one group that lists every end and its yarn."""
    ends = tuple(warp.every_end())
    thread = ", ".join(written(tuple(end.shafts for end in ends)))
    yarns = ", ".join(end.yarn or NOT_GIVEN for end in ends)
    colours = [_folded(f'    yarn: "{yarns}"', 6)] if any(end.yarn for end in ends) else []
    return _head(warp) + "\n".join(["groups:", _folded(f"  - thread: {thread}", 6), *colours, ""])


@dataclass(frozen=True, slots=True)
class _Written:
    """A piece, its threading as a number of times a unit, and its colours."""

    piece: Piece
    whole: str
    times: int
    unit: str
    order: str

    @classmethod
    def of(cls, piece: Piece) -> "_Written":
        threads: Ends = tuple(end.shafts for end in piece.ends)
        size = period(threads)
        if len(threads) % size:
            size = len(threads)
        keys = [end.yarn for end in piece.ends]
        order = order_text(keys) if any(keys) else ""
        return cls(piece, short(threads), len(threads) // size, short(threads[:size]), order)

    def thread(self, blocks: Mapping[str, str]) -> str:
        """The threading, its unit by name where it is a block."""
        if self.unit not in blocks:
            return self.whole
        return blocks[self.unit] if self.times == 1 else f"{self.times}({blocks[self.unit]})"


def _head(warp: Warp) -> str:
    """What stands before the blocks."""
    text = dump(replace(warp, groups=(Group(EDGE, (End((1,)),)),)))
    return text[: text.rindex("groups:")]


def _body(parts: Sequence[Part], warp: Warp) -> str:
    """Blocks and groups."""
    pieces = [_Written.of(piece) for piece in _pieces(parts)]
    blocks = _blocks(pieces)
    lines = ["blocks:"] if blocks else []
    lines += [_folded(f"  {name}: {unit}", 4) for unit, name in blocks.items()]
    named = zip(_names(pieces, blocks, warp), pieces, strict=True)
    return "\n".join([*lines, "groups:", *_entries(parts, named, blocks, "  "), ""])


def _pieces(parts: Iterable[Part]) -> Iterator[Piece]:
    """All of them, in order, each once for the entry it becomes."""
    for part in parts:
        if isinstance(part, Together):
            yield from _pieces(part.parts)
        else:
            yield part


def _entries(
    parts: Iterable[Part], named: Iterator[tuple[str, "_Written"]], blocks: Mapping[str, str], indent: str
) -> Iterator[str]:
    """The lines under `groups`."""
    for part in parts:
        if isinstance(part, Together):
            yield f"{indent}- groups:"
            yield from _entries(part.parts, named, blocks, indent + "    ")
            yield f"{indent}  times: {part.times}"
        else:
            yield _entry(*next(named), blocks, indent)


def _entry(name: str, piece: "_Written", blocks: Mapping[str, str], indent: str) -> str:
    """One group, on one line where it fits."""
    keys = {
        "name": name,
        "thread": piece.thread(blocks),
        "yarn": f'"{piece.order}"' if "," in piece.order else piece.order,
        "times": str(piece.piece.times) if piece.piece.times > 1 else "",
    }
    inside = ", ".join(f"{key}: {value}" for key, value in keys.items() if value)
    return _folded(f"{indent}- {{{inside}}}", len(indent) + 3)


def _blocks(pieces: Sequence[_Written]) -> dict[str, str]:
    """Unit -> name, for the units that more than one group uses."""
    uses = Counter(piece.unit for piece in pieces)
    units = [unit for unit, times in uses.items() if times > 1 and len(unit) >= WORTH_A_NAME]
    outside = {pieces[0].unit, pieces[-1].unit}
    inside = {piece.unit for piece in pieces[1:-1]}
    edges = [unit for unit in units if unit in outside - inside]
    others = [unit for unit in units if unit not in edges]
    names = [PATTERN] if len(others) == 1 else list(_letters(len(others)))
    return dict(zip([*edges[:1], *others], [*([EDGE] * len(edges[:1])), *names], strict=True))


def _letters(count: int) -> Iterator[str]:
    """a, b … z, aa, ab …"""
    for number in range(count):
        letters, rest = "", number + 1
        while rest:
            rest, letter = divmod(rest - 1, len(ascii_lowercase))
            letters = ascii_lowercase[letter] + letters
        yield letters


def _names(pieces: Sequence[_Written], blocks: Mapping[str, str], warp: Warp) -> Iterator[str]:
    """What to call each group, "" where there is nothing to call it by."""
    several = len({end.yarn for end in warp.every_end()}) > 1
    uses = Counter(piece.piece.ends for piece in pieces)
    edges = ("right", "left") if warp.start == "right" else ("left", "right")
    for at, piece in enumerate(pieces):
        side = {0: 0, len(pieces) - 1: 1}.get(at)
        ends, times = piece.piece.ends, piece.piece.times
        if side is not None and len(pieces) > 2 and times == 1 and len(ends) <= MOST_AT_AN_EDGE:
            yield f"{edges[side]} {EDGE}"
        elif several and len({end.yarn for end in ends}) == 1:
            yield _stripe(ends[0])
        elif times > 1 or uses[ends] > 1:
            letter = blocks.get(piece.unit, PATTERN)
            yield PATTERN if letter in (PATTERN, EDGE) else f"{PATTERN} {letter}"
        else:
            yield ""


def _stripe(end: End) -> str:
    """Stripes are called after their yarn."""
    words = " ".join(end.yarn.replace("-", " ").replace("_", " ").split())
    return f"{words} stripe" if words and len(words) < LONGEST_NAME else "stripe"


def _folded(line: str, indent: int) -> str:
    """The line on several lines where it is long."""
    return "\n".join(
        textwrap.wrap(line, WIDTH, subsequent_indent=" " * indent, break_long_words=False, break_on_hyphens=False)
    )
