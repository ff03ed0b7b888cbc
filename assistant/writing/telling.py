"""How what is written is told, so that whoever looks at the paper hears a slip: meaning, in no language."""

import re
from collections.abc import Iterator, Sequence

from assistant.meaning import Tell
from assistant.warp.notation import notation
from assistant.writing.slip import Asked, PaperSlip, WrittenGroup, WrittenRow

ONE_BY_ONE = 16  # ends; of a longer row what repeats or counts up is told as that
_PROFILE = re.compile(r"(?:(?:\d+\([^\W\d]\w*\)|[^\W\d]\w*)\s*)+")
_BLOCK = re.compile(r"(?:(\d+)\()?([^\W\d]\w*)")
_PIECE = re.compile(r"(?:(?P<times>\d+)\()?(?P<shafts>[\d/]+|~)(?:\.\.(?P<last>\d+))?(?:\*(?P<joined>\d+))?\)?")


def read_back(row: WrittenRow) -> Iterator[Tell]:
    """A row as it is told, by its ends or by its blocks; no other ends, or blocks, are told so."""
    if _PROFILE.fullmatch(row.text):
        for count, block in _BLOCK.findall(row.text):
            yield Tell("so many of a block", count=int(count), block=block) if count else Tell("one block", block=block)
        yield Tell("ends", count=len(row.ends))
        return
    pieces = map(notation, ((end,) for end in row.ends)) if len(row.ends) <= ONE_BY_ONE else [notation(row.ends)]
    for piece in " ".join(pieces).split():
        yield from _piece(piece)


def _piece(written: str) -> Iterator[Tell]:
    found = _PIECE.fullmatch(written)
    assert found, written
    if found["times"]:
        yield Tell("so many times", count=int(found["times"]))
    if found["shafts"] == "~":
        yield Tell("in no heddle", beat=True)
    elif found["last"]:
        yield Tell("counted", first=int(found["shafts"]), last=int(found["last"]), beat=True)
    else:
        yield Tell("{end}", end=_on(found["shafts"].split("/")), beat=True)
    if found["joined"]:
        yield Tell("in one heddle", count=int(found["joined"]))


def _on(shafts: Sequence[str]) -> Tell | str:
    """The shafts of one end: "1 and 5"."""
    *others, last = shafts
    return Tell("two shafts", one=_on(others), other=last) if others else last


def prompt(slip: PaperSlip) -> Tell:
    """What the weaver is asked for."""
    match slip.asked:
        case Asked.BLOCK:
            return Tell(slip.asked, block=slip.next_block)
        case Asked.ROW if slip.by_blocks:
            return Tell("ask blocks")
    return Tell(slip.asked)


def stands(slip: PaperSlip) -> Iterator[Tell]:
    """The group in hand, and all ends; the last row once more."""
    yield Tell("stands", group=slip.group, here=slip.hand.count, count=slip.count)
    yield from last_row(slip)


def last_row(slip: PaperSlip) -> Iterator[Tell]:
    """The last row of the group in hand; or that it has none."""
    if slip.asked is not Asked.ROW:
        yield prompt(slip)
    elif slip.hand.rows:
        yield Tell("last row")
        yield from read_back(slip.hand.rows[-1])
    else:
        yield Tell("group is empty", group=slip.group)


def named(slip: PaperSlip, part: WrittenGroup) -> Tell:
    """A group by its name or, where it has none, by its number."""
    return Tell("{name}", name=part.name) if part.name else Tell("group number", group=slip.group)
