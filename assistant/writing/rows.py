"""What is typed or said, in the notation of sequence files. Raises SequenceError for what cannot be read."""

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp import colour_order, profile
from assistant.warp.notation import FLOATS, MOST_COMPACT, names, notation, parse
from assistant.warp.profile import ProfileKey
from assistant.warp.spelling import shown
from assistant.warp.threads import Hung, Threaded
from assistant.writing.slip import PaperSlip, WrittenRow

NO_HEDDLE = "0"  # the key for an end that floats
MOST_YARNS = 99
DIGITS = re.compile(r"[0-9\s.,]+")  # what a keypad types, or an ear hears: points between, two for a run
KEYED = re.compile(r"[0-9\s.,/]+")  # and a stroke in an end on several shafts
OF_KEY = re.compile(r"\s*([^\W\d]\w*)\s*[=:]\s*(.*)", re.DOTALL)  # A = 1 3 1 3
WORD = re.compile(r"[^\s,\d()][^\s,()]*")


def row_of(text: str, slip: PaperSlip, room: int) -> WrittenRow:
    """The row that a text writes, of at most `room` ends, on the shafts and with the blocks of a slip."""
    written = " ".join(text.split())
    if slip.by_blocks and DIGITS.fullmatch(written):
        written = in_blocks(_numbered(written, [*slip.key]))
    keyed = KEYED.fullmatch(written) is not None
    if keyed:
        written = " ".join(_pieces(written, slip.shafts <= MOST_COMPACT))
    try:
        row = _read(written, slip, room)
    except SequenceError as error:
        raise SequenceError(error.what, error.todo, file=shown(written), column=error.column) from None
    if not row.count:
        raise SequenceError("{name} has no ends", "write them, for instance 1 2 3 4", name=shown(text))
    return WrittenRow(notation(row.threads), row.threads) if keyed else row


def _read(written: str, slip: PaperSlip, room: int) -> WrittenRow:
    if not slip.key.keys() & names(written).keys():
        return WrittenRow(written, parse(written, {}, slip.shafts, room))
    threads = profile.parse(written, ProfileKey(slip.key), room)
    one_each = {name: Threaded((Hung((number,)),)) for number, name in enumerate(slip.key)}
    order = profile.parse(written, ProfileKey(one_each), room).hung
    return WrittenRow(written, threads, tuple([*slip.key][hung.shafts[0]] for hung in order))


def of_blocks(blocks: Sequence[str], key: Mapping[str, Threaded]) -> WrittenRow:
    """The row that these blocks make, one after the other."""
    items = tuple(item for block in blocks for item in key[block].items)
    return WrittenRow(in_blocks(blocks), Threaded(items), tuple(blocks))


def in_blocks(blocks: Sequence[str]) -> str:
    """A profile as it is written: "A 3B 2C"."""
    runs = [(len([*run]), name) for name, run in groupby(blocks)]
    return " ".join(name if count == 1 else f"{count}{name}" for count, name in runs)


def order_of(text: str, slip: PaperSlip) -> tuple[str, tuple[str, ...]]:
    """An order of colours as a file has it, and the keys of all yarns: "2 flax, 1 rust", or by their numbers 112."""
    keys = [*slip.yarns]
    if DIGITS.fullmatch(text):
        numbers = [int(piece) for piece in _pieces(text, len(keys) <= MOST_COMPACT) if piece.isdecimal()]
        if not numbers or not all(1 <= number <= MOST_YARNS for number in numbers):
            raise _no_yarn(text)
        keys += [f"yarn{number}" for number in range(len(keys) + 1, max(numbers) + 1)]
        text = colour_order.order_text([keys[number - 1] for number in numbers])
    keys += [word for word in dict.fromkeys(WORD.findall(text)) if colour_order.is_key(word) and word not in keys]
    if len(keys) > MOST_YARNS or len({*keys}) < len(keys) or "mirror" in keys:
        raise _no_yarn(text)
    order = colour_order.parse(text, keys)
    return (" ".join(text.split()), tuple(keys)) if any(key for _, key in order) else ("", slip.yarns)


def numbers_of(text: str) -> tuple[int, ...]:
    """Whole numbers with anything that is no digit between; () where there is anything else."""
    if not DIGITS.fullmatch(text):
        return ()
    return tuple(int(number) for number in re.findall("[0-9]{1,6}", text))


def _pieces(text: str, compact: bool) -> Iterator[str]:
    """Ends, and runs as 1..8, with each by itself; `compact`: each digit is a number, and 13/5 is 1 and 3/5."""
    number = "[0-9]" if compact else "[0-9]+"
    for piece in re.findall(rf"{number}\s*\.\.\s*{number}|{number}(?:\s*/\s*{number})*|\S", text):
        if piece not in ".,":
            yield FLOATS if piece == NO_HEDDLE else re.sub(r"\s", "", piece)


def _numbered(text: str, names: Sequence[str]) -> list[str]:
    """Blocks by their numbers."""
    pieces = [*_pieces(text, len(names) <= MOST_COMPACT)]
    for piece in pieces:
        if not piece.isdecimal() or not 1 <= int(piece) <= len(names):
            todo = Tell("the blocks are 1 to {most}", most=len(names))
            raise SequenceError("there is no block {name}", todo, name=shown(piece))
    return [names[int(piece) - 1] for piece in pieces]


def _no_yarn(text: str) -> SequenceError:
    todo = "write up to {most} yarns by their names, 2 flax, 1 rust, or by their numbers"
    return SequenceError("{name} is no order of yarns", todo, name=shown(text), most=MOST_YARNS)
