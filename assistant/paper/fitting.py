"""How large the figures of a card may be, so that it fills its pages: widths and heights as they will come out, in ems.

The widths are those of DejaVu Sans, with which a PDF is made, and Verdana is drawn alike; where another font stands in,
a page is filled a little less.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from unicodedata import combining, east_asian_width

LARGEST, STEP = 60.0, 0.25  # points
GAP = 22.7  # points between columns: 8 mm
SPARE = 1.02  # heights are taken for so much more than they come to
RAGGED = 1.12  # so much more room a text takes once it goes over several lines


@dataclass(frozen=True, slots=True)
class Uncut:
    """What is never cut: its height, and that of the heading which stands above it again where it begins a column."""

    height: float
    again: float = 0.0


@dataclass(frozen=True, slots=True)
class Room:
    """Where a card is printed, in points: inside the margins, and what its heading leaves of the first page."""

    width: float
    height: float
    first: float


@dataclass(frozen=True, slots=True)
class Fit:
    """The size of the figures in points, the columns, and the pages that it comes to."""

    size: float
    columns: int
    pages: int


Uncuts = Callable[[float], Sequence[Uncut]]  # the width of a column, in ems of the figures -> what stands in it


def fit(pieces: Uncuts, room: Room, least: float, most_columns: int = 1, widest: float = 0.0) -> Fit:
    """The largest figures that take no more pages than those of `least` points do.

    No column is narrower than `widest` ems, unless one alone is too narrow for that with the least figures.
    """
    limits = {columns: _width(room, columns) / widest if widest else LARGEST for columns in range(1, most_columns + 1)}
    tried = {columns: min(limit, LARGEST) for columns, limit in limits.items() if limit >= least} or {1: least}
    fewest = min(_pages(pieces, room, columns, least) for columns in tried)
    sizes = {
        columns: _largest(pieces, room, columns, fewest, least, limit)
        for columns, limit in tried.items()
        if _pages(pieces, room, columns, least) == fewest
    }
    best = max(sizes, key=lambda columns: (sizes[columns], -columns))
    return Fit(sizes[best], best, fewest)


def _largest(pieces: Uncuts, room: Room, columns: int, pages: int, least: float, limit: float) -> float:
    """By halves, in steps; the pages never become fewer as the figures grow."""
    good, bad = 0, int((limit - least) / STEP) + 1
    while bad - good > 1:
        middle = (good + bad) // 2
        if _pages(pieces, room, columns, least + middle * STEP) <= pages:
            good = middle
        else:
            bad = middle
    return least + good * STEP


def _width(room: Room, columns: int) -> float:
    return (room.width - GAP * (columns - 1)) / columns


def _pages(pieces: Uncuts, room: Room, columns: int, size: float) -> int:
    """How many pages it comes to, a column filled after the other."""
    column, height, used = 0, room.first / size, 0.0
    for piece in pieces(_width(room, columns) / size):
        taken = SPARE * piece.height
        if used + taken > height and (used or column):
            column += 1
            height = (room.first if column < columns else room.height) / size
            used = SPARE * piece.again
        used += taken
    return column // columns + 1


def wide(text: str, bold: bool = False) -> float:
    """How wide a text is, in ems of its own letters."""
    return (1.1 if bold else 1.0) * sum(map(_letter, text))


def _letter(letter: str) -> float:
    if combining(letter):
        return 0.0
    if east_asian_width(letter) in "WF":
        return 1.0
    return 0.64 if letter.isdecimal() else 0.36 if letter in " \u00a0\u202f.,:;'il/|-()·" else 0.62


def lines(width: float, room: float) -> int:
    """The lines that a text so wide takes."""
    return 1 if width <= room else math.ceil(RAGGED * width / room)


def rows(widths: Sequence[float], room: float) -> int:
    """The lines that things beside each other take, none of them cut."""
    count, used = 1, 0.0
    for width in widths:
        if used and used + width > room:
            count, used = count + 1, 0.0
        used += width
    return count
