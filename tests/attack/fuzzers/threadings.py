"""The notation of threadings, profiles and orders of colour.

The second opinions: what was generated knows its own ends; plain expanders read what was mangled.
"""

import random
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TypeVar

from assistant.errors import SequenceError
from assistant.warp import colour_order, profile
from assistant.warp.model import MOST_ENDS, End, Yarn
from assistant.warp.notation import notation, parse
from assistant.warp.profile import ProfileKey
from assistant.warp.threads import Threaded
from fuzzers.engine import Fuzzer, law
from fuzzers.mangled import mangled

Told = tuple[tuple[int, ...], int] | None  # shafts, and how many ends hang there together; None where a call ends
Hung = tuple[tuple[int, ...], bool]  # the shafts of an end, and whether it joins the one before it

WRITTEN = {"edge": "1 2 1 2", "rose": "1 3; 2/4", "Ä_9": "4*2", "mirror": "~ 1"}
KEYED = {"A": "1 3 2 3", "B": "1 4 2 4;", "C1": "2*2"}
YARNS = {key: Yarn(key, key) for key in ("flax", "rust", "gold-8")}
COMPACT = 9  # shafts of a loom on which ends need no space between
MANY = 20_000  # ends; with more, nothing is expanded a second time

_T = TypeVar("_T")


def threading(chance: random.Random, deep: int = 0, shafts: int = 8) -> tuple[str, list[Told]]:
    """A piece of notation for so many shafts, and what it stands for."""
    pieces, told = [], []
    for _ in range(chance.randint(1, 4)):
        text, more = _piece(chance, deep, shafts)
        pieces.append(text)
        told += more
    if chance.random() < 0.2:
        at = chance.randrange(len(pieces))
        text, more = _piece(chance, deep, shafts)
        joined = " ".join(pieces[: at + 1]) + "; " + " ".join([text, *pieces[at + 1 :]])
        return joined, expanded(joined, BLOCKS, shafts)
    return chance.choice((" ", ", ", "  ", " , ", "\n", "-", " - ")).join(pieces), told


def _piece(chance: random.Random, deep: int, shafts: int) -> tuple[str, list[Told]]:
    together = chance.choice((1, 1, 1, 1, 2, 3))
    star = f"{chance.choice(('*', ' * ', '*'))}{together}" if together > 1 else ""
    match chance.randrange(9 if deep < 4 else 6):
        case 0 | 1:
            end = tuple(chance.sample(range(1, 9), chance.choice((1, 1, 1, 2, 3))))
            return chance.choice(("/", " / ", "/")).join(map(str, end)) + star, [(end, together)]
        case 2:
            first, last = chance.randint(1, 8), chance.randint(1, 8)
            run = range(first, last + 1) if first <= last else range(first, last - 1, -1)
            return f"{first}{chance.choice(('..', ' .. '))}{last}{star}", [((shaft,), together) for shaft in run]
        case 3:
            name = chance.choice(list(WRITTEN))
            return name, list(BLOCKS[name])
        case 4:
            return f"~{star}", [((), 1)] * together
        case 5:
            row = [chance.randint(1, 8) for _ in range(chance.randint(2, 6))]
            return ("" if shafts <= COMPACT else " ").join(map(str, row)), [((shaft,), 1) for shaft in row]
        case 6:
            text, told = threading(chance, deep + 1, shafts)
            return f"mirror({text})", told[::-1]
        case _:
            times = chance.choice((1, 2, 3, 12))
            text, told = threading(chance, deep + 1, shafts)
            return f"{times}({text})", told * times


_NAME = r"[^\s,;\-()./*~0-9][^\s,;\-()./*~]*"
_PIECES = re.compile(
    r"[0-9]+\(|mirror\(|[);]|[0-9]+\s*\.\.\s*[0-9]+(?:\s*\*\s*[0-9]+)?"
    rf"|(?:~|[0-9]+(?:\s*/\s*[0-9]+)*)(?:\s*\*\s*[0-9]+)?|{_NAME}"
)


def used(text: str) -> set[str]:
    """The names of blocks in a text in the notation."""
    return {piece for piece in _PIECES.findall(text) if re.fullmatch(_NAME, piece)}


def expanded(text: str, blocks: Mapping[str, Sequence[Told]], shafts: int) -> list[Told]:
    """What a text in the notation stands for, read as plainly as can be. The text is one that can be read."""

    def stands_for(piece: str) -> Sequence[Told]:
        if piece == ";":
            return [None]
        end, _, number = piece.partition("*")
        end, together = end.strip(), int(number or 1)
        if end == "~":
            return [((), 1)] * together
        if ".." in end:
            first, last = (int(number.strip()) for number in end.split(".."))
            run = range(first, last + 1) if first <= last else range(first, last - 1, -1)
            return [((shaft,), together) for shaft in run]
        if end in blocks:
            return blocks[end]
        if shafts <= COMPACT and "/" not in end and len(end.lstrip("0")) > 1:
            return [((int(digit),), 1) for digit in end]
        return [(tuple(int(shaft.strip()) for shaft in end.split("/")), together)]

    return bracketed(iter(_PIECES.findall(text)), stands_for)


def bracketed(
    pieces: Iterator[str], stands_for: Callable[[str], Sequence[_T]], turned: Callable[[_T], _T] = lambda one: one
) -> list[_T]:
    """What the pieces up to the bracket that closes stand for."""
    told: list[_T] = []
    for piece in pieces:
        if piece == ")":
            break
        if piece == "mirror(":
            told += [turned(one) for one in reversed(bracketed(pieces, stands_for, turned))]
        elif piece.endswith("("):
            told += bracketed(pieces, stands_for, turned) * int(piece[:-1])
        else:
            told += stands_for(piece)
    return told


def flat(told: Sequence[Told]) -> list[Hung]:
    """Each end by itself."""
    return [(one[0], number > 0) for one in told if one for number in range(one[1])]


def hung(ends: Sequence[End]) -> list[Hung]:
    """The ends of a warp, without yarn and beam."""
    return [(end.shafts, end.joins) for end in ends]


def cuts(told: Sequence[Told]) -> tuple[int, ...]:
    """After how many ends calls end."""
    if None not in told:
        return ()
    at = {len(flat(told[:place])) for place, one in enumerate(told) if one is None}
    return tuple(sorted({*at, len(flat(told))} - {0}))


PARSED = {name: parse(text) for name, text in WRITTEN.items()}
BLOCKS: Mapping[str, Sequence[Told]] = {name: expanded(text, {}, 64) for name, text in WRITTEN.items()}
KEY = {name: expanded(text, {}, 64) for name, text in KEYED.items()}


def _notation_given(chance: random.Random) -> bytes:
    text, _ = threading(chance, 0, 64)
    return text.encode() if chance.random() < 0.3 else mangled(chance, text.encode(), (b"edge, 3(1 2 3 4), 8..1;",))


def _notation_tried(data: bytes) -> None:
    text = data.decode("utf-8", "surrogateescape")
    shafts = 64 if len(data) % 3 else 8
    try:
        threads = parse(text, PARSED, shafts)
    except SequenceError as error:
        law(1 <= error.column <= len(text) + 1, "column", error.column)
        raise
    law(threads.count <= MOST_ENDS, threads.count, "ends")
    if threads.count < MANY:
        told = expanded(text, BLOCKS, shafts)
        law(hung(threads.ends) == flat(told), "other ends than the plain expander has")
        if len(told) < 500:
            law(threads.calls == cuts(told), "other calls than the plain expander has")
        again = parse(notation(threads), shafts=64)
        law((again.ends, again.calls) == (threads.ends, threads.calls), "written and read, other ends or calls")


def _known_given(chance: random.Random) -> bytes:
    return chance.randbytes(8)


def _known_tried(data: bytes) -> None:
    """Notation whose ends are known, since it was made from them."""
    text, told = threading(random.Random(data))
    threads = parse(text, PARSED, 8)
    law(hung(threads.ends) == flat(told), "not the ends it was made of:", text)
    law(len(told) > 500 or threads.calls == cuts(told), "not the calls it was made of:", text)
    law(Threaded.of(threads.ends, threads.calls).calls == threads.calls, "made of its ends again, other calls")


def draft(chance: random.Random, deep: int = 0) -> str:
    """A profile."""
    pieces = []
    for _ in range(chance.randint(1, 4)):
        if deep < 3 and chance.random() < 0.3:
            pieces.append(f"{chance.choice(('mirror', '2', '3'))}({draft(chance, deep + 1)})")
        else:
            pieces.append(chance.choice(("", "", "2", "12")) + chance.choice(list(KEYED)))
    return chance.choice((" ", ", ", "-")).join(pieces)


_BLOCK = re.compile(r"[0-9]+\(|mirror\(|\)|[0-9]*[^\s,\-()0-9][^\s,\-()]*")


def woven(text: str, key: Mapping[str, Sequence[Told]], *, shared: bool) -> list[Told]:
    """What a profile comes to, read as plainly as can be."""

    def stands_for(piece: str) -> Sequence[tuple[str, bool]]:
        times, name = re.fullmatch("([0-9]*)(.*)", piece, re.DOTALL).groups()  # type: ignore[union-attr]
        return [(name, False)] * int(times or 1)

    blocks = bracketed(iter(_BLOCK.findall(text)), stands_for, lambda block: (block[0], not block[1]))
    told: list[Told] = []
    last: Told = None
    for name, mirrored in blocks:
        block = list(key[name])
        if mirrored and shared:
            block.reverse()
        first = next(one for one in block if one)
        if shared and first == last:
            block.remove(first)
        told += block
        last = next((one for one in reversed(block) if one), last)
    return told


def _profile_given(chance: random.Random) -> bytes:
    return draft(chance).encode() if chance.random() < 0.3 else mangled(chance, draft(chance).encode(), (b"A 3B",))


def _profile_tried(data: bytes) -> None:
    text, shared = data.decode("utf-8", "surrogateescape"), len(data) % 2 == 0
    key = ProfileKey({name: parse(block) for name, block in KEYED.items()}, shared)
    try:
        threads = profile.parse(text, key)
    except SequenceError as error:
        law(1 <= error.column <= len(text) + 1, "column", error.column)
        raise
    law(threads.count <= MOST_ENDS, threads.count, "ends")
    if threads.count < MANY:
        told = woven(text, KEY, shared=shared)
        law(hung(threads.ends) == flat(told), "other ends than the plain expander has")


def order(chance: random.Random, deep: int = 0) -> str:
    """An order of colours."""
    parts = []
    for _ in range(chance.randint(1, 4)):
        if deep < 3 and chance.random() < 0.2:
            parts.append(f"{chance.choice(('mirror', '2', '3'))}({order(chance, deep + 1)})")
        else:
            parts.append(f"{chance.choice(('', '2 ', '13 '))}{chance.choice((*YARNS, '-'))}")
    return ", ".join(parts)


def _colours_given(chance: random.Random) -> bytes:
    return order(chance).encode() if chance.random() < 0.4 else mangled(chance, order(chance).encode(), (b"2 flax",))


def _colours_tried(data: bytes) -> None:
    text = data.decode("utf-8", "surrogateescape")
    try:
        read = colour_order.parse(text, YARNS)
    except SequenceError as error:
        law(1 <= error.column <= len(text) + 1, "column", error.column)
        raise
    keys = list(colour_order.over(read, 1000))
    law(len(keys) == 1000 and set(keys) <= {*YARNS, ""}, "other yarns")
    if len(read) < MANY:
        law(list(read) == _runs(text), "other yarns than the plain expander has")
    again = colour_order.parse(colour_order.order_text(keys), YARNS)
    law(list(colour_order.over(again, 1000)) == keys, "written, another")


def _runs(text: str) -> list[tuple[int, str]]:
    def stands_for(piece: str) -> Sequence[tuple[int, str]]:
        *count, key = piece.split()
        return [(int(count[0]) if count else 1, "" if key == "-" else key)]

    pieces = re.findall(r"[0-9]+\(|mirror\(|\)|(?:[0-9]+\s+)?[^\s,()]+", text)
    return bracketed(iter(pieces), stands_for)


FUZZERS = (
    Fuzzer("notation", 200_000, _notation_given, _notation_tried),
    Fuzzer("notation, known ends", 80_000, _known_given, _known_tried),
    Fuzzer("profiles", 50_000, _profile_given, _profile_tried),
    Fuzzer("orders of colour", 80_000, _colours_given, _colours_tried),
)
