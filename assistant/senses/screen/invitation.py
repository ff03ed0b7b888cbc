"""How the addresses of the page stand in a terminal: codes to be photographed beside each other, and lines. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

from assistant.senses.screen.letters import centred
from assistant.words.columns import columns, shortened

GAP = "  "  # between two codes


@dataclass(frozen=True, slots=True)
class Code:
    """An address, what it is for, and the drawing of it."""

    use: str
    address: str
    drawn: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Invitation:
    """What is told of the addresses: each with its use, the most important first, then what else is to be known."""

    addresses: tuple[str, ...]
    codes: tuple[Code, ...]
    further: tuple[str, ...]
    close: str  # how it is taken away again

    def told(self, width: int) -> list[str]:
        """For plain lines of so many columns; a code that is wider is left out."""
        drawn = _beside(self.codes, width) or _beside(self.codes[:1], width)
        return [*drawn, *self.addresses, *self.further]

    def fitted(self, width: int, height: int) -> list[str]:
        """For a board of this size: the codes and their addresses, or the addresses in text; then what has room."""
        drawn = [*_beside(self.codes, width), *(code.address for code in self.codes)]
        whole = len(drawn) < height and all(columns(line) <= width for line in drawn)
        shown = drawn if self.codes and whole else [*chain(*(_broken(line, width) for line in self.addresses))]
        for line in self.further:
            broken = list(_broken(line, width))
            if len(shown) + len(broken) < height:
                shown += broken
        return [*shown[: height - 1], *[""] * (height - 1 - len(shown)), shortened(self.close, width)]


def _beside(codes: Sequence[Code], width: int) -> list[str]:
    """The codes under their uses, from left to right; nothing where they are wider than that."""
    if not codes:
        return []
    wide = [len(code.drawn[0]) for code in codes]
    rows = zip(*([centred(code.use, room), *code.drawn] for code, room in zip(codes, wide, strict=True)), strict=True)
    lines = [GAP.join(row) for row in rows]
    return lines if max(map(len, lines)) <= width else []


def _broken(line: str, width: int) -> Iterator[str]:
    """As many lines as it takes, broken anywhere, as an address has to be."""
    row = ""
    for character in line:
        if columns(row + character) > width:
            yield row
            row = ""
        row += character
    yield row
