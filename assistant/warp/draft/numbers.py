"""A threading as a plain list of shafts, text or CSV: "1 2 3 4", one a line, 3/7 for an end on two shafts."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

from assistant.errors import DraftError
from assistant.meaning import Tell
from assistant.warp.draft.reading import read_text
from assistant.warp.draft.values import Draft, threaded
from assistant.warp.model import MOST_ENDS, End
from assistant.warp.notation import Shafts
from assistant.warp.source import MOST_CHARACTERS, one_line
from assistant.warp.spelling import shown

_PIECE = re.compile(r"[^\s,;-]+")  # 1-2-3-4 is four ends, as in a sequence file
_END = re.compile(r"[0-9]{1,3}(?:/[0-9]{1,3})*")
_TODO = "write shafts as numbers with spaces, commas or lines between, 3/7 for an end on two"
LIKELY_NUMBERED = 4  # lines in a row that begin with their own number


def read_list(data: bytes, file: str) -> Draft:
    """The threading in a list of numbers. Raises DraftError where something in it is no shaft."""
    return read_text(data, file, lambda stream: _read(stream, file))


def _read(stream: TextIO, file: str) -> Draft:
    said: list[Tell] = []
    of_ends = list(_ends(stream, file, said))
    there, shafts = threaded(of_ends, max((shaft for end in of_ends for shaft in end), default=0), file, said)
    kinds = {shafts: End(shafts) for shafts in set(of_ends)}
    ends = tuple(kinds[of_ends[index]] for index in there)
    return Draft(one_line(Path(file).stem)[:MOST_CHARACTERS], shafts, ends, {}, None, "inch", tuple(said))


def _ends(stream: TextIO, file: str, said: list[Tell]) -> Iterator[Shafts]:
    """The shafts of every end, () for a 0."""
    known: dict[str, Shafts] = {}
    column: int | None = None  # where a heading names the shafts
    began = False
    count = numbered = 0
    for number, line in enumerate(stream, 1):
        text = line.replace('"', " ").replace("'", " ").strip()
        if not text:
            continue
        if not began and re.search(r"[^\W\d_]", text):
            began = True
            column = _shaft_column(_cells(text))
            if re.search("[0-9]", text):
                said.append(Tell("line is a heading", line=shown(text)))
            continue
        began = True
        if column is not None:
            text = "".join(_cells(text)[column : column + 1])
        numbered += re.fullmatch(rf"{numbered + 1}\s*[\s,;]\s*[0-9/]+", text) is not None
        for piece in (match[0] for match in _PIECE.finditer(text)):
            if piece not in known:
                known[piece] = _shafts(piece, file, number)
            count += 1
            if count > MOST_ENDS:
                what, todo = "more than {most:,} ends", "look whether it is the draft"
                raise DraftError(what, todo, file=file, line=number, most=MOST_ENDS)
            yield known[piece]
    if numbered >= LIKELY_NUMBERED and 2 * numbered == count:
        said.append(Tell("lines are numbered"))


def _cells(text: str) -> list[str]:
    """The columns of a line: between commas, semicolons or tabs, else between spaces."""
    return re.split("[,;\t]", text) if re.search("[,;\t]", text) else text.split()


def _shaft_column(headings: list[str]) -> int | None:
    """Which of several columns holds the shafts, None where there is one or no heading says so."""
    if len(headings) == 1:
        return None
    return next((at for at, name in enumerate(headings) if name.strip().casefold() in ("shaft", "shafts")), None)


def _shafts(piece: str, file: str, line: int) -> Shafts:
    if not _END.fullmatch(piece):
        raise DraftError("an end is {text}", _TODO, file=file, line=line, text=shown(piece))
    return tuple(dict.fromkeys(shaft for shaft in map(int, piece.split("/")) if shaft))
