"""A threading as a plain list, text or CSV: "1 2 3 4", 1234 on up to nine shafts, one a line; 3/7, 1*2 and ~ as in
a sequence file."""

import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple, TextIO

from assistant.errors import DraftError, SequenceError
from assistant.meaning import Tell
from assistant.warp.draft.reading import read_text
from assistant.warp.draft.values import AS_IT_IS, AskedOf, Draft, hung_together, threaded
from assistant.warp.model import MOST_ENDS, MOST_SHAFTS, End
from assistant.warp.notation import FLOATS, MOST_COMPACT, is_compact, parse
from assistant.warp.source import MOST_CHARACTERS, one_line
from assistant.warp.spelling import shown
from assistant.warp.threads import FLOATING, Hung

_PIECE = re.compile(r"[^\s,;-]+")  # 1-2-3-4 is four ends, as in a sequence file
_END = re.compile(r"[0-9]{1,3}(?:/[0-9]{1,3})*")
_WRITTEN = re.compile(rf"[0-9]+(?:/[0-9]+)*\*[0-9]{{1,2}}|{FLOATS}")
_TODO = "write shafts as numbers with spaces, commas or lines between, 3/7 for an end on two"
LIKELY_NUMBERED = 4  # lines in a row that begin with their own number
MOST_IN_A_HEADING = 2  # numbers beside the words of a heading

_Ends = tuple[Hung | None, ...]  # what one piece stands for; None for an end that is not threaded
_NOT_THREADED: _Ends = (None,)


class _Token(NamedTuple):
    """What stands between two spaces, and where."""

    text: str
    line: int
    column: int


def read_list(data: bytes, file: str, wish: AskedOf = AS_IT_IS) -> Draft:
    """The threading in a list of numbers. Raises DraftError where something in it is no shaft."""
    return read_text(data, file, lambda stream: _read(stream, file, wish))


def _read(stream: TextIO, file: str, wish: AskedOf) -> Draft:
    said: list[Tell] = []
    hung = list(_hung(list(_pieces(stream, file, said)), file, said, wish))
    of_ends = [one and one.shafts for one in hung for _ in range(one.ends if one else 1)]
    joins = [number > 0 for one in hung for number in range(one.ends if one else 1)]
    declared = max((shaft for end in of_ends for shaft in end or ()), default=0)
    there, shafts, of_loom = threaded(of_ends, declared, file, said, wish)
    kinds = {kind: End(kind[0], joins=kind[1]) for kind in set(zip(shafts, (joins[at] for at in there), strict=True))}
    ends = [kinds[kind] for kind in zip(shafts, (joins[at] for at in there), strict=True)]
    together = hung_together(ends, file, said, wish)
    return Draft(one_line(Path(file).stem)[:MOST_CHARACTERS], of_loom, together, {}, None, "inch", tuple(said))


def _pieces(stream: TextIO, file: str, said: list[Tell]) -> Iterator[_Token]:
    """The pieces that are to be ends, whatever stands in them."""
    column: int | None = None  # where a heading names the shafts
    began = False
    count = numbered = 0
    for number, line in enumerate(stream, 1):
        text = line.replace('"', " ").replace("'", " ").rstrip()
        if not text.strip():
            continue
        if not began and _is_heading(text):
            began = True
            column = _shaft_column(_cells(text.strip()))
            if re.search("[0-9]", text):
                said.append(Tell("line is a heading", line=shown(text.strip())))
            continue
        began = True
        before = 0
        if column is not None:
            cells = _cells(text)
            before = sum(len(cell) + 1 for cell in cells[:column])
            text = "".join(cells[column : column + 1])
        numbered += re.fullmatch(rf"{numbered + 1}\s*[\s,;]\s*[0-9/]+", text.strip()) is not None
        for match in _PIECE.finditer(text):
            count += 1
            if count > MOST_ENDS:
                raise _too_many(file, number)
            yield _Token(match[0], number, before + match.start() + 1)
    if numbered >= LIKELY_NUMBERED and 2 * numbered == count:
        said.append(Tell("lines are numbered"))


def _is_heading(text: str) -> bool:
    """Whether the first line names what follows: it begins with a word, and has hardly a number."""
    pieces = _PIECE.findall(text)
    ends = sum(_END.fullmatch(piece) is not None for piece in pieces)
    return bool(pieces) and re.search(r"[^\W\d_]", pieces[0]) is not None and ends <= MOST_IN_A_HEADING


def _hung(pieces: list[_Token], file: str, said: list[Tell], wish: AskedOf) -> Iterator[Hung | None]:
    """What hangs in each heddle, None for a 0."""
    compact = _compact(pieces, said, wish)
    known: dict[str, _Ends] = {}
    count = 0
    for piece in pieces:
        if piece.text not in known:
            known[piece.text] = _ends(piece, compact, file)
        count += sum(one.ends if one else 1 for one in known[piece.text])
        if count > MOST_ENDS:
            raise _too_many(file, piece.line)
        yield from known[piece.text]


def _compact(pieces: Iterable[_Token], said: list[Tell], wish: AskedOf) -> bool:
    """Whether digits without a space between are an end each: as the wish, or their look, says."""
    if wish.shafts is not None:
        return wish.shafts <= MOST_COMPACT
    numbers = {piece.text for piece in pieces if piece.text.isdecimal() and piece.text.isascii()}
    several = {digits for digits in numbers if is_compact(digits, MOST_COMPACT) and "0" not in digits}
    sure = any(len(digits) > 2 for digits in several)
    all_two = not sure and len(numbers) > 1 and numbers == several and 2 * len(numbers) < max(map(int, numbers))
    if sure or all_two:
        said.append(Tell("digits taken for ends", first=min(several, key=lambda digits: (len(digits), digits))))
    return sure or all_two


def _ends(piece: _Token, compact: bool, file: str) -> _Ends:
    """What a piece stands for. Raises DraftError, with its place, where that is nothing."""
    text = piece.text
    if _END.fullmatch(text) and not (compact and text.isdecimal() and is_compact(text, MOST_COMPACT)):
        shafts = tuple(dict.fromkeys(shaft for shaft in map(int, text.split("/")) if shaft))
        return (Hung(shafts),) if shafts else _NOT_THREADED
    if text == FLOATS:
        return (FLOATING,)
    if _WRITTEN.fullmatch(text) or (compact and text.isascii() and text.isdecimal()):
        try:
            return parse(text, shafts=MOST_COMPACT if compact else MOST_SHAFTS).hung
        except SequenceError as error:
            place = piece.column + error.column - 1
            raise DraftError(error.what, error.todo, file=file, line=piece.line, column=place) from None
    raise DraftError("an end is {text}", _TODO, file=file, line=piece.line, column=piece.column, text=shown(text))


def _too_many(file: str, line: int) -> DraftError:
    what, todo = "more than {most:,} ends", "look whether it is the draft"
    return DraftError(what, todo, file=file, line=line, most=MOST_ENDS)


def _cells(text: str) -> list[str]:
    """The columns of a line: between commas, semicolons or tabs, else between spaces."""
    return re.split("[,;\t]", text) if re.search("[,;\t]", text) else text.split()


def _shaft_column(headings: list[str]) -> int | None:
    """Which of several columns holds the shafts, None where there is one or no heading says so."""
    if len(headings) == 1:
        return None
    return next((at for at, name in enumerate(headings) if name.strip().casefold() in ("shaft", "shafts")), None)
