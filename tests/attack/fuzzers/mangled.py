"""Inputs made worse: bytes flipped, cut and spliced, numbers beyond all bounds, and characters nobody types."""

import codecs
import random
import re
from collections.abc import Callable, Sequence

NUMBERS = (
    "0", "00", "-1", "1", "2", "7", "63", "64", "65", "99", "100", "127", "128", "255", "256", "999", "1000", "32768",
    "65535", "99999", "100000", "999999", "1000000", "1000001", "2147483647", "2147483648", "4294967296",
    "9223372036854775807", "9223372036854775808", "1" + "0" * 40, "9" * 4301, "0.0", "-0", "1.5", "1e3", "1e400",
    "1e-400",
    "nan", "inf", "-inf", "0x10", "0o7", "1_000", "1,000", "٣", "３", "²", "½", "Ⅳ", "1/0", "1/2", "3 1/2", "+1", "--1",
)  # fmt: skip
CHARACTERS = (
    "\0", "\x01", "\x07", "\x08", "\x1b", "\x1b[2J", "\x1b]0;x\x07", "\x7f", "\x85", "\x9b", "\u2028", "\u2029",
    "\u200b",
    "\u202e", "\ufeff", "\ufffd", "\ufffe", "\u00a0", "\u3000", "é", "e\u0301", "ß", "İ", "ı", "한", "😀", "👩‍👩‍👧",
    "\U0010ffff",
    "\t", "\r", "\n", "\r\n", "\v", "\f", "'", '"', "`", "\\", "/", "..", "%", "{", "}", "[", "]", "(", ")", "#",
    "&", "*",
    "!", "|", ">", "@", ":", ": ", "- ", ",", ";", "=", "~", "?", "$", "<<", "---", "...", "%YAML 9.9\n", "null",
    "true", "{0}",
    "{name}", "%s",
)  # fmt: skip
BYTES = (b"\xff", b"\xfe", b"\x80", b"\xc0\x80", b"\xed\xa0\x80", b"\xf4\x90\x80\x80", b"\xc3", b"\0", b"\xef\xbb\xbf")
ENCODINGS = ("utf-16", "utf-16-le", "utf-16-be", "utf-8-sig", "utf-32", "cp1252", "latin-1", "cp437", "shift-jis")
LOOKED_AT = 2_000  # bytes, wherever they lie, in which a number or a word is changed
_NUMBER = re.compile(rb"[0-9]+")
_PIECE = re.compile(rb"\w+|[^\w\s]|\s+")


def number(chance: random.Random) -> str:
    """One that somebody did not think of, or any small one."""
    return chance.choice(NUMBERS) if chance.random() < 0.6 else str(chance.randint(-2, 200))


def characters(chance: random.Random) -> str:
    """A few that do not belong."""
    return "".join(chance.choice(CHARACTERS) for _ in range(chance.randint(1, 3)))


def text(chance: random.Random) -> str:
    """Any line of text: words, numbers, oddities; now and then a very long one."""
    made = (characters, number, lambda chance: chance.choice(("rose", "next", "first-evening", "", " ", "x" * 60)))
    told = "".join(chance.choice(made)(chance) for _ in range(chance.randint(1, 4)))
    return told * chance.choice((1, 1, 1, 1, 1, 1, 1, 10, 1000)) if len(told) < 40 else told


def raw(chance: random.Random) -> bytes:
    """Any bytes."""
    return chance.randbytes(chance.choice((0, 1, 2, 8, 40, 300)))


def mangled(chance: random.Random, data: bytes, others: Sequence[bytes] = ()) -> bytes:
    """The input made worse one to four times; `others` are what is spliced in."""
    for _ in range(chance.choice((1, 1, 1, 2, 2, 3, 4))):
        data = chance.choice(_WAYS)(chance, data)
    if others and chance.random() < 0.15:
        data = _spliced(chance, data, chance.choice(others))
    if chance.random() < 0.04:
        data = _encoded(chance, data)
    return data


def lines(chance: random.Random, data: bytes, others: Sequence[bytes] = ()) -> bytes:
    """Lines left out, doubled, moved, or from elsewhere."""
    mine = data.split(b"\n")
    theirs = chance.choice(others).split(b"\n") if others else list(mine)
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(len(mine) + 1)
        match chance.randrange(4):
            case 0:
                del mine[at : at + chance.randint(1, 3)]
            case 1:
                mine[at:at] = mine[: chance.randint(0, 3)]
            case 2:
                mine.insert(at, chance.choice(theirs))
            case _:
                chance.shuffle(mine)
    return b"\n".join(mine)


def _place(chance: random.Random, data: bytes) -> int:
    return chance.randrange(len(data) + 1)


def _flipped(chance: random.Random, data: bytes) -> bytes:
    at = _place(chance, data)
    return data[:at] + bytes([data[at] ^ 1 << chance.randrange(8)]) + data[at + 1 :] if at < len(data) else data


def _cut(chance: random.Random, data: bytes) -> bytes:
    at = _place(chance, data)
    return data[:at] if chance.random() < 0.3 else data[:at] + data[at + chance.randint(1, 30) :]


def _doubled(chance: random.Random, data: bytes) -> bytes:
    at = _place(chance, data)
    part = data[at : at + chance.randint(1, 40)]
    return data[:at] + part * chance.choice((2, 2, 3, 50)) + data[at + len(part) :]


def _odd_bytes(chance: random.Random, data: bytes) -> bytes:
    at = _place(chance, data)
    return data[:at] + (chance.choice(BYTES) if chance.random() < 0.7 else raw(chance)) + data[at:]


def _odd_characters(chance: random.Random, data: bytes) -> bytes:
    at = _place(chance, data)
    return data[:at] + characters(chance).encode() + data[at + chance.randint(0, 1) :]


def _odd_number(chance: random.Random, data: bytes) -> bytes:
    found = _found(chance, _NUMBER, data)
    if not found:
        return data + number(chance).encode()
    at = chance.choice(found)
    return data[: at.start()] + number(chance).encode() + data[at.end() :]


def _piece(chance: random.Random, data: bytes) -> bytes:
    """A word, a sign or some white space in place of another."""
    found = _found(chance, _PIECE, data)
    if not found:
        return data
    at, other = chance.choice(found), chance.choice(found)
    return data[: at.start()] + (other[0] if chance.random() < 0.8 else b"") + data[at.end() :]


def _found(chance: random.Random, what: re.Pattern[bytes], data: bytes) -> list[re.Match[bytes]]:
    at = _place(chance, data[LOOKED_AT:])
    return list(what.finditer(data, at, at + LOOKED_AT))


def _nested(chance: random.Random, data: bytes) -> bytes:
    opened, closed = chance.choice(
        ((b"[", b"]"), (b"{a: ", b"}"), (b"2(", b")"), (b"- ", b""), (b"(", b")"), (b'"', b'"'))
    )
    at, deep = _place(chance, data), chance.choice((1, 2, 10, 60, 2000))
    end = at + chance.randint(0, 20)
    return data[:at] + opened * deep + data[at:end] + closed * chance.choice((deep, deep, 0)) + data[end:]


def _spliced(chance: random.Random, data: bytes, other: bytes) -> bytes:
    at, end = _place(chance, data), _place(chance, other)
    return data[:at] + other[end : end + chance.choice((20, 100, len(other)))] + chance.choice((b"", data[at:]))


def _encoded(chance: random.Random, data: bytes) -> bytes:
    told = data.decode("utf-8", "replace").encode(chance.choice(ENCODINGS), "replace")
    return chance.choice((b"", b"", codecs.BOM_UTF8, codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) + told


_WAYS: tuple[Callable[[random.Random, bytes], bytes], ...] = (
    _flipped, _cut, _doubled, _odd_bytes, _odd_characters, _odd_characters, _odd_number, _odd_number, _piece, _piece,
    lines,
    _nested,
)  # fmt: skip
