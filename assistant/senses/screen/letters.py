"""Text in a terminal: measured in columns, and built of blocks as large as the room for it allows. Pure."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from assistant.words.columns import columns, padded, shortened
from assistant.words.speech import Lettering

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
    "×": "... #.# .#. #.# ...",
    "/": ".# .# ## #. #.",
    "?": "### ..# .## ... .#.",
    "¿": ".#. ... ##. #.. ###",
    "'": "# # . . .",
    "-": ".. .. ## .. ..",
    "–": "... ... ### ... ...",
    "A": "### #.# ### #.# #.#",
    "À": "#.. ... .#. ### #.#",
    "Á": "..# ... .#. ### #.#",
    "Ä": "#.# ... .#. ### #.#",
    "Å": ".#. ... .#. ### #.#",
    "B": "##. #.# ##. #.# ##.",
    "C": "### #.. #.. #.. ###",
    "Ç": "### #.. #.. ### .#.",
    "D": "##. #.# #.# #.# ##.",
    "E": "### #.. ### #.. ###",
    "È": "#.. .#. ### ##. ###",
    "É": "..# .#. ### ##. ###",
    "Ê": ".#. #.# ### ##. ###",
    "F": "### #.. ### #.. #..",
    "G": "#### #... #.## #..# ####",
    "H": "#.# #.# ### #.# #.#",
    "I": "### .#. .#. .#. ###",
    "Í": "..# ... ### .#. ###",
    "Î": ".#. #.# ### .#. ###",
    "J": "..# ..# ..# #.# ###",
    "K": "#.# #.# ##. #.# #.#",
    "L": "#.. #.. #.. #.. ###",
    "M": "#...# ##.## #.#.# #...# #...#",
    "N": "#..# ##.# #.## #..# #..#",
    "Ñ": "#### .... ##.# #.## #..#",
    "O": ".#. #.# #.# #.# .#.",
    "Ó": "..# ... ### #.# ###",
    "Ô": ".#. ... ### #.# ###",
    "Ö": "#.# ... ### #.# ###",
    "P": "### #.# ### #.. #..",
    "Q": "### #.# #.# ### ..#",
    "R": "##. #.# ##. #.# #.#",
    "S": ".## #.. .#. ..# ##.",
    "T": "### .#. .#. .#. .#.",
    "U": "#.# #.# #.# #.# ###",
    "Ù": "#.. ... #.# #.# ###",
    "Ú": "..# ... #.# #.# ###",
    "Û": ".#. ... #.# #.# ###",
    "Ü": "#.# ... #.# #.# ###",
    "V": "#.# #.# #.# #.# .#.",
    "W": "#...# #...# #.#.# ##.## #...#",
    "X": "#.# #.# .#. #.# #.#",
    "Y": "#.# #.# ### .#. .#.",
    "Z": "### ..# .#. #.. ###",
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


def centred(text: str, width: int, fill: str = " ") -> str:
    """The text in the middle of so many columns."""
    spare = max(width - columns(text), 0)
    return fill * (spare // 2) + text + fill * (spare - spare // 2)


def apart(left: str, right: str, width: int) -> str:
    """Two texts at the ends of a line exactly so many columns wide; where they do not fit, the left one gives way."""
    right = shortened(right, width)
    room = width - columns(right)
    return padded(left, room - 1) + " " + right if room else right


def flowed(parts: Iterable[str], joint: str, width: int) -> list[str]:
    """Parts joined into lines of at most so many columns; a part wider than a line is shortened."""
    lines: list[str] = []
    for part in parts:
        if lines and columns(lines[-1] + joint + part) <= width:
            lines[-1] += joint + part
        else:
            lines.append(shortened(part, width))
    return lines


def big(pieces: Sequence[Lettering], width: int, height: int) -> list[str]:
    """The pieces as lines of text, at most `height` of them, each `width` columns; small where they cannot be drawn.

    That is where there is no room, or where a letter, as those of Hangul, has no glyph.
    """
    if any(character not in GLYPHS for piece in pieces for character in piece.text):
        return plain(pieces, width, height)
    foldings = [fold(pieces, lines) for lines in range(1, len(pieces) + 1)]
    best = max(foldings, key=lambda lines: largest(lines, width, height).legibility, default=[])
    dot = largest(best, width, height)
    if not dot.wide or not dot.high:
        return plain(pieces, width, height)
    drawn: list[str] = []
    for line in best:
        drawn += [*([" " * width] if drawn else []), *draw(line, dot, width)]
    return drawn


def plain(pieces: Sequence[Lettering], width: int, height: int) -> list[str]:
    """The pieces in letters of the terminal, their captions under them where there is room for all of it."""
    wide = [max(columns(piece.text), columns(piece.caption)) + 2 for piece in pieces]
    if height < 2 or sum(wide) > width or not any(piece.caption for piece in pieces):
        return [centred(shortened(" ".join(piece.text for piece in pieces), width), width)]
    rows = [[piece.text for piece in pieces], [piece.caption for piece in pieces]]
    return [centred("".join(map(centred, row, wide)), width) for row in rows]


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
    """The text, of characters with a glyph, as DOTS_HIGH rows of dots, # for a dot that is set."""
    glyphs = [GLYPHS[character].split() for character in text]
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
