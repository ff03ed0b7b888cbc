"""What is typed or said, in the notation of sequence files. Raises SequenceError for what cannot be read."""

import re
from collections.abc import Iterator
from itertools import groupby

from assistant.errors import SequenceError
from assistant.meaning import Tell
from assistant.warp import colour_order
from assistant.warp.notation import notation, parse
from assistant.warp.spelling import shown
from assistant.writing.slip import PaperSlip, WrittenRow

ONE_DIGIT = 9  # the largest shaft, block or yarn that one digit names
NO_HEDDLE = "0", "~"  # as a key, and in the notation
MOST_YARNS = 99
DIGITS = re.compile(r"[0-9\s.,]+")  # what a keypad types, or an ear hears: points between, two for a run
KEYED = re.compile(r"[0-9\s.,/]+")  # and a stroke in an end on several shafts
COMPACT = re.compile(r"(?<![0-9/*.])[0-9]{2,}(?![0-9]|\s*[(/]|\s*\.\.)")
SO_MANY = re.compile(r"(?<!\w)([0-9]+)\s*([^\W\d]\w*)")  # 3B
OF_KEY = re.compile(r"\s*([^\W\d]\w*)\s*[=:]\s*(.*)", re.DOTALL)  # A = 1 3 1 3
WORD = re.compile(r"[^\s,\d()][^\s,()]*")


def row_of(text: str, slip: PaperSlip, room: int) -> WrittenRow:
    """The row that a text writes, of at most `room` ends, on the shafts and with the blocks of a slip."""
    written, blocks = " ".join(text.split()), dict(slip.blocks)
    plain = KEYED.fullmatch(written) is not None
    if slip.by_blocks and DIGITS.fullmatch(written):
        written, plain = _profile(written, [*blocks]), False
    elif plain:
        written = " ".join(_pieces(written, slip.shafts <= ONE_DIGIT))
    elif slip.shafts <= ONE_DIGIT:
        written = COMPACT.sub(lambda digits: " ".join(digits[0]), written)
    written = SO_MANY.sub(lambda found: f"{found[1]}({found[2]})" if found[2] in blocks else found[0], written)
    try:
        ends = parse(written, {name: row.ends for name, row in slip.blocks}, slip.shafts, room)
    except SequenceError as error:
        raise SequenceError(error.what, error.todo, file=shown(written), column=error.column) from None
    if not ends:
        raise SequenceError("{name} has no ends", "write them, for instance 1 2 3 4", name=shown(text))
    return WrittenRow(notation(ends) if plain else written, ends)


def order_of(text: str, slip: PaperSlip) -> tuple[str, tuple[str, ...]]:
    """An order of colours as a file has it, and the keys of all yarns: "2 flax, 1 rust", or by their numbers 112."""
    keys = [*slip.yarns]
    if DIGITS.fullmatch(text):
        numbers = [int(piece) for piece in _pieces(text, len(keys) <= ONE_DIGIT) if piece.isdecimal()]
        if not numbers or not all(1 <= number <= MOST_YARNS for number in numbers):
            raise _no_yarn(text)
        keys += [f"yarn{number}" for number in range(len(keys) + 1, max(numbers) + 1)]
        if len({*keys}) < len(keys):
            raise _no_yarn(text)
        return colour_order.order_text([keys[number - 1] for number in numbers]), tuple(keys)
    keys += [word for word in dict.fromkeys(WORD.findall(text)) if colour_order.is_key(word) and word not in keys]
    if len(keys) > MOST_YARNS:
        raise _no_yarn(text)
    order = colour_order.parse(text, slip.then(yarns=tuple(keys)).palette)
    if sum(count for count, _ in order) == 0 or not any(key for _, key in order):
        return "", slip.yarns
    return ", ".join(
        f"{count} {key or colour_order.NOT_GIVEN}" if count > 1 else key or colour_order.NOT_GIVEN
        for count, key in order
    ), tuple(keys)


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
            yield NO_HEDDLE[1] if piece == NO_HEDDLE[0] else re.sub(r"\s", "", piece)


def _profile(text: str, names: list[str]) -> str:
    """Blocks by their numbers, those alike together: 1 22 1 is "A 2(B) A"."""
    found = []
    for piece in _pieces(text, len(names) <= ONE_DIGIT):
        if not piece.isdecimal() or not 1 <= int(piece) <= len(names):
            todo = Tell("the blocks are 1 to {most}", most=len(names))
            raise SequenceError("there is no block {name}", todo, name=shown(piece))
        found.append(names[int(piece) - 1])
    runs = [(len([*run]), name) for name, run in groupby(found)]
    return " ".join(name if count == 1 else f"{count}({name})" for count, name in runs)


def _no_yarn(text: str) -> SequenceError:
    todo = "write up to {most} yarns by their names, 2 flax, 1 rust, or by their numbers"
    return SequenceError("{name} is no order of yarns", todo, name=shown(text), most=MOST_YARNS)
