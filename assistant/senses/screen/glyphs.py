"""Big figures and letters built of blocks, as large as the room for them allows. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assistant.senses.screen.columns import centred, columns, shortened
from assistant.session.view import Lettering

GLYPHS = {
    "0": "### #.# #.# #.# ###",
    "1": ".#. ##. .#. .#. ###",
    "2": "### ..# ### #.. ###",
    "3": "### ..# ### ..# ###",
    "4": "#.# #.# ### ..# ..#",
    "5": "### #.. ### ..# ###",
    "6": "### #.. ### #.# ###",
    "7": "### ..# ..# ..# ..#",
    "8": "### #.# ### #.# ###",
    "9": "### #.# ### ..# ###",
    "/": ".# .# ## #. #.",
    "?": "### ..# .## ... .#.",
    "A": "### #.# ### #.# #.#",
    "D": "##. #.# #.# #.# ##.",
    "E": "### #.. ### #.. ###",
    "F": "### #.. ### #.. #..",
    "H": "#.# #.# ### #.# #.#",
    "M": "#...# ##.## #.#.# #...# #...#",
    "N": "#..# ##.# #.## #..# #..#",
    "O": ".#. #.# #.# #.# .#.",
    "P": "### #.# ### #.. #..",
    "R": "##. #.# ##. #.# #.#",
    "S": ".## #.. .#. ..# ##.",
    "T": "### .#. .#. .#. .#.",
    "U": "#.# #.# #.# #.# ###",
    "V": "#.# #.# #.# #.# .#.",
    "W": "#...# #...# #.#.# ##.## #...#",
    "Y": "#.# #.# ### .#. .#.",
}
DOTS_HIGH = 5
HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}
LEAST_GAP = 1.5  # dots between two pieces; within a piece it is one
WIDEST_GAP = 4.0
SLIMMEST = 1.5  # how much higher than wide, or wider than high, a dot may be


@dataclass(frozen=True, slots=True)
class Dot:
    """The size of one dot: columns, and half rows."""

    wide: int
    high: int

    @property
    def legibility(self) -> tuple[int, int]:
        """The larger, the better it is read from afar; (0, ...) cannot be drawn."""
        return min(self.wide, self.high), self.high


def big(pieces: Sequence[Lettering], width: int, height: int) -> list[str]:
    """The pieces as lines of text, at most `height` of them, each `width` columns; small where there is no room."""
    foldings = [fold(pieces, lines) for lines in range(1, len(pieces) + 1)]
    best = max(foldings, key=lambda lines: largest(lines, width, height).legibility, default=[])
    dot = largest(best, width, height)
    if not dot.wide or not dot.high:
        return [centred(shortened(" ".join(piece.text for piece in pieces), width), width)]
    drawn: list[str] = []
    for line in best:
        drawn += [*([" " * width] if drawn else []), *draw(line, dot, width)]
    return drawn


def fold(pieces: Sequence[Lettering], lines: int) -> list[Sequence[Lettering]]:
    """The pieces in order, shared out over so many lines."""
    each = -(-len(pieces) // lines)
    return [pieces[start : start + each] for start in range(0, len(pieces), each)]


def largest(lines: Sequence[Sequence[Lettering]], width: int, height: int) -> Dot:
    """The largest dot with which all lines, each with a caption and a blank line between, find room."""
    if not lines:
        return Dot(0, 0)
    rows = (height + 1) // len(lines) - 2
    high = max(2 * rows // DOTS_HIGH, 0)
    wide = min(int(width / sum(len(bitmap(piece.text)[0]) + LEAST_GAP for piece in line)) for line in lines)
    return Dot(min(wide, int(SLIMMEST * high)), min(high, int(SLIMMEST * wide)))


def bitmap(text: str) -> list[str]:
    """The text as DOTS_HIGH rows of dots, # for a dot that is set; what has no glyph is left out."""
    glyphs = [GLYPHS[character].split() for character in text if character in GLYPHS]
    return [".".join(dots) for dots in zip(*glyphs, strict=True)] or [""] * DOTS_HIGH


def draw(line: Sequence[Lettering], dot: Dot, width: int) -> list[str]:
    """A line of pieces with their captions, in the middle of `width` columns."""
    figures = [list(enlarged(bitmap(piece.text), dot)) for piece in line]
    taken = sum(len(figure[0]) for figure in figures)
    gap = min(int(WIDEST_GAP * dot.wide), (width - taken) // len(line))
    cells = [
        [centred(row, len(row) + gap) for row in figure] + [caption(piece.caption, len(figure[0]), gap)]
        for piece, figure in zip(line, figures, strict=True)
    ]
    rows = ["".join(row) for row in zip(*cells, strict=True)]
    return [centred(row, width) for row in (rows if any(piece.caption for piece in line) else rows[:-1])]


def enlarged(dots: Sequence[str], dot: Dot) -> Iterator[str]:
    """Rows of dots -> rows of text, two half rows in each."""
    halves = [[mark == "#" for mark in row for _ in range(dot.wide)] for row in dots for _ in range(dot.high)]
    if len(halves) % 2:
        halves.append([False] * len(halves[0]))
    for upper, lower in zip(halves[::2], halves[1::2], strict=True):
        yield "".join(HALVES[pair] for pair in zip(upper, lower, strict=True))


def caption(text: str, under: int, gap: int) -> str:
    """A caption in the middle of a rule as wide as the figure above; longer text reaches into the gap."""
    if not text:
        return " " * (under + gap)
    short = shortened(text, under + gap - 1)
    ruled = centred(f" {short} ", under, "─") if columns(short) + 2 <= under else short
    return centred(ruled, under + gap)
