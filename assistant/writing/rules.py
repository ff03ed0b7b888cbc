"""What each move makes of the slip, and what is told of it. One that means nothing leaves the slip as it is."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import get_args

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp.blocks import JOINT
from assistant.warp.brackets import MIRROR
from assistant.warp.model import MOST_ENDS, MOST_SHAFTS, Edge
from assistant.warp.notation import is_name
from assistant.warp.source import MOST_CHARACTERS, one_line
from assistant.warp.spelling import shown
from assistant.writing.again import again, made_by_mirror, mirror, not_so_often
from assistant.writing.moves import BY_NUMBER, HEARD, Move, MoveKind
from assistant.writing.rows import OF_KEY, numbers_of, order_of, row_of
from assistant.writing.slip import Asked, PaperSlip, WrittenGroup
from assistant.writing.telling import last_row, named, prompt, read_back, stands

EDGES: Sequence[Edge] = get_args(Edge)  # by number: the right one first
NAMES = ("right edge", "left edge", "border", "stripe", "pattern", "ground")  # to be had by number; keys of phrases
MOST_BLOCKS = 99
NUMBERED = re.compile(r"(^|\s)[0-9]+$")  # groups of one name are numbered by the file

Done = tuple[PaperSlip, tuple[Tell, ...]]


def follow(slip: PaperSlip, move: Move, words: Callable[[str], str] = str) -> Done:
    """The slip after a move, and what is told. `words` gives a name that is had by number in the weaver's language.

    Raises SequenceError for what cannot be read; then nothing has changed.
    """
    if slip.asked in (Asked.SHAFTS, Asked.EDGE) and move.kind not in (MoveKind.ENTER, MoveKind.BACK, MoveKind.HELP):
        return slip, (prompt(slip),)
    return _RULES[move.kind](slip, move.text.strip(), words)


def _enter(slip: PaperSlip, text: str, words: Callable[[str], str]) -> Done:
    if slip.asked is Asked.ROW and OF_KEY.fullmatch(text):
        return _block(slip, text, words)
    return _ANSWERS[slip.asked](slip, text, words)


def _shafts(slip: PaperSlip, text: str, _: Callable[[str], str]) -> Done:
    given = numbers_of(text)
    if len(given) != 1 or not 1 <= given[0] <= MOST_SHAFTS:
        raise SequenceError("shafts are {name}", "write a number from 1 to {most}", name=shown(text), most=MOST_SHAFTS)
    return _told(slip.then(shafts=given[0]))


def _edge(slip: PaperSlip, text: str, _: Callable[[str], str]) -> Done:
    given = dict(zip(("1", "2"), EDGES, strict=True)) | {edge: edge for edge in EDGES}
    if text not in given:
        raise SequenceError("the edge is {name}", "write 1 for the right edge, 2 for the left", name=shown(text))
    after = slip.then(start=given[text])
    return after, (Tell(f"end 1 {after.start}"), prompt(after))


def _row(slip: PaperSlip, text: str, _: Callable[[str], str]) -> Done:
    row = row_of(text, slip, MOST_ENDS - slip.count)
    after = slip.then(hand=replace(slip.hand, rows=(*slip.hand.rows, row)))
    return after, tuple(read_back(row))


def _times(slip: PaperSlip, text: str, _: Callable[[str], str]) -> Done:
    given = numbers_of(text)
    if not 1 <= len(given) <= 2:
        raise not_so_often(text)
    after, last = again(slip, *given), (*given, 1)[1]
    told = "again together" if last > 1 else "again"
    return after, (Tell(told, times=given[0], last=last, count=after.count),)


def _again(slip: PaperSlip, text: str, words: Callable[[str], str]) -> Done:
    again(slip, 2)  # is there anything?
    return _times(slip, text, words) if text else _told(slip.then(asking=Asked.TIMES))


def _mirror(slip: PaperSlip, text: str, _: Callable[[str], str]) -> Done:
    given = numbers_of(text or "1")
    if len(given) != 1:
        raise not_so_often(text)
    after = mirror(slip, given[0])
    if not slip.hand.rows:
        return after, (Tell("groups mirrored", count=after.group - slip.group, ends=after.count - slip.count),)
    made = made_by_mirror(slip.hand.rows[-given[0] :], after.hand.rows[-1])
    return after, (Tell("mirrored"), *read_back(made))


def _colour(slip: PaperSlip, text: str, _: Callable[[str], str]) -> Done:
    if not text:
        return _told(slip.then(asking=Asked.COLOURS))
    order, yarns = order_of(text, slip)
    after = slip.then(hand=replace(slip.hand, order=order), yarns=yarns)
    return after, (Tell("in colours", order=order) if order else Tell("in no colour"),)


def _name(slip: PaperSlip, text: str, words: Callable[[str], str]) -> Done:
    if not text:
        return _told(slip.then(asking=Asked.NAME))
    given = numbers_of(text)
    name = words(NAMES[given[0] - 1]) if len(given) == 1 and 1 <= given[0] <= len(NAMES) else one_line(text)
    if len(name) > MOST_CHARACTERS // 2 or NUMBERED.search(name):
        raise SequenceError(
            "{name} cannot be a name", "write words, or a number from 1 to {most}", name=shown(name), most=len(NAMES)
        )
    after = slip.then(hand=replace(slip.hand, name=name))
    return after, (Tell("is called", group=slip.group, name=name),)


def _key(slip: PaperSlip, text: str, words: Callable[[str], str]) -> Done:
    return _block(slip, text, words) if text else _told(slip.then(asking=Asked.BLOCK))


def _block(slip: PaperSlip, text: str, _: Callable[[str], str]) -> Done:
    given = OF_KEY.fullmatch(text)
    name, ends = (given[1], given[2]) if given else (slip.next_block, text)
    if not is_name(name) or name in (JOINT, MIRROR) or len(slip.blocks) == MOST_BLOCKS:
        raise SequenceError(
            "{name} cannot be the name of a block", "use letters, digits and _, a letter first", name=shown(name)
        )
    block = row_of(ends, replace(slip, blocks=(), by_blocks=False), MOST_ENDS)
    if name in dict(slip.blocks) and any(name in row.blocks for group in slip.parts() for row in group.rows):
        raise SequenceError("the block {name} is used already", "give what differs a name of its own", name=shown(name))
    after = slip.then(blocks=tuple((dict(slip.blocks) | {name: block}).items()), asking=slip.asking)
    return after, (Tell("block", block=name), *read_back(block), *((prompt(after),) if after.asking else ()))


def _blocks(slip: PaperSlip, _: str, __: Callable[[str], str]) -> Done:
    if not slip.blocks:
        return _told(slip.then(asking=Asked.BLOCK))
    return _told(slip.then(by_blocks=not slip.by_blocks))


def _more(slip: PaperSlip, text: str, words: Callable[[str], str]) -> Done:
    if not text:
        return _told(slip.then(asking=Asked.MORE))
    given = numbers_of(text)
    if len(given) != 1 or not 1 <= given[0] <= len(BY_NUMBER):
        raise SequenceError(
            "there is no choice {name}", "write a number from 1 to {most}", name=shown(text), most=len(BY_NUMBER)
        )
    return _RULES[BY_NUMBER[given[0] - 1]](replace(slip, asking=None), "", words)


def _next(slip: PaperSlip, _: str, words: Callable[[str], str]) -> Done:
    match slip.asked:
        case Asked.TIMES:
            return _times(slip, "2", words)
        case Asked.BLOCK if slip.blocks:
            return _told(slip.then(by_blocks=True))
        case Asked.ROW if slip.hand.rows:
            part = slip.hand
            after = slip.then(entries=(*slip.entries, part), hand=WrittenGroup(order=part.order))
            return after, (
                Tell("group complete", group=named(slip, part), count=part.count),
                Tell("next group", group=after.group),
            )
        case Asked.ROW:
            return slip, (*last_row(slip),)
    return _told(slip.then())


def _back(slip: PaperSlip, _: str, __: Callable[[str], str]) -> Done:
    if slip.before is None:
        return slip, (prompt(slip),)
    before = slip.before
    while before.before and before.asking not in (None, Asked.BLOCK):  # a question that led to what is taken back
        before = before.before
    return before, (Tell("taken back"), *last_row(before))


def _where(slip: PaperSlip, _: str, __: Callable[[str], str]) -> Done:
    return slip, (*stands(slip),)


def _help(slip: PaperSlip, _: str, __: Callable[[str], str]) -> Done:
    return slip, (prompt(slip), *((Tell("help"), Tell("help by voice")) if slip.asked is Asked.ROW else ()))


def _done(slip: PaperSlip, text: str, _: Callable[[str], str]) -> Done:
    if not slip.whole:
        return slip, (*last_row(slip),)
    if text == HEARD and slip.asking is not Asked.DONE:
        return _told(slip.then(asking=Asked.DONE))
    return replace(slip, asking=None, done=True), ()


def _leave(slip: PaperSlip, _: str, __: Callable[[str], str]) -> Done:
    return slip, (Tell("left"),)


def _told(after: PaperSlip) -> Done:
    return after, (prompt(after),)


_Rule = Callable[[PaperSlip, str, Callable[[str], str]], Done]
_RULES: Mapping[MoveKind, _Rule] = {
    MoveKind.ENTER: _enter,
    MoveKind.NEXT: _next,
    MoveKind.BACK: _back,
    MoveKind.AGAIN: _again,
    MoveKind.MIRROR: _mirror,
    MoveKind.COLOUR: _colour,
    MoveKind.NAME: _name,
    MoveKind.KEY: _key,
    MoveKind.BLOCKS: _blocks,
    MoveKind.MORE: _more,
    MoveKind.WHERE: _where,
    MoveKind.HELP: _help,
    MoveKind.DONE: _done,
    MoveKind.LEAVE: _leave,
}
_ANSWERS: Mapping[Asked, _Rule] = {
    Asked.SHAFTS: _shafts,
    Asked.EDGE: _edge,
    Asked.ROW: _row,
    Asked.TIMES: _times,
    Asked.COLOURS: _colour,
    Asked.NAME: _name,
    Asked.BLOCK: _block,
    Asked.MORE: _more,
    Asked.DONE: _row,
}
