"""How what is written is told, so that whoever looks at the paper hears a slip: meaning, in no language."""

import re
from collections.abc import Iterator, Sequence
from itertools import groupby

from assistant.meaning import Tell
from assistant.warp.notation import FLOATS, notation, written
from assistant.warp.threads import Threaded
from assistant.writing.slip import Asked, PaperSlip, WrittenGroup, WrittenRow

ONE_BY_ONE = 16  # heddles; of a longer row what repeats or counts up is told as that
_PIECE = re.compile(r"(?:(?P<times>\d+)\()?(?P<shafts>[\d/]+|~)(?:\.\.(?P<last>\d+))?(?:\*(?P<joined>\d+))?\)?")


def read_back(row: WrittenRow) -> Iterator[Tell]:
    """A row as it is told, by its ends or by its blocks; no other ends, or blocks, are told so."""
    if row.blocks:
        for block, run in groupby(row.blocks):
            count = len([*run])
            yield Tell("so many of a block", count=count, block=block) if count > 1 else Tell("one block", block=block)
        yield Tell("ends", count=row.count)
        return
    hung = row.threads.hung
    pieces = map(written, hung) if len(hung) <= ONE_BY_ONE else notation(Threaded(hung)).split()
    for piece in pieces:
        yield from _piece(piece)


def _piece(text: str) -> Iterator[Tell]:
    found = _PIECE.fullmatch(text)
    assert found, text
    shafts = _on(found["shafts"].split("/"))
    if found["times"]:
        yield Tell("so many times", count=int(found["times"]))
    if found["shafts"] == FLOATS:
        yield Tell("in no heddle", beat=True)
    elif found["last"]:
        first, last, joined = (int(found[name] or 1) for name in ("shafts", "last", "joined"))
        yield Tell("counted in pairs" if joined > 1 else "counted", first=first, last=last, count=joined, beat=True)
    elif found["joined"]:
        yield Tell("in one heddle", end=shafts, count=int(found["joined"]), beat=True)
    else:
        yield Tell("on shaft", end=shafts, beat=True)


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
        case Asked.DONE:
            groups = Tell("so many groups", count=sum(entry.groups for entry in slip.whole))
            return Tell(slip.asked, ends=Tell("ends", count=slip.count), groups=groups)
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
    return Tell("named", name=part.name) if part.name else Tell("group number", group=slip.group)
