"""A document as a printer gets it: made a PDF, and measured in points from its top left corner, by pypdfium2."""

from collections.abc import Iterator
from dataclasses import dataclass

import pypdfium2
import pytest

from assistant.errors import CardError
from assistant.paper.writing import pdf

MM = 72 / 25.4  # points


@dataclass(frozen=True)
class Letter:
    """One letter, and where its ink lies."""

    text: str
    left: float
    top: float
    right: float
    bottom: float

    @property
    def high(self) -> float:
        return self.bottom - self.top


@dataclass(frozen=True)
class Page:
    """One page; its text with a line break where a line ends, and a letter for each character of it."""

    width: float
    height: float
    text: str
    letters: list[Letter]

    def ink(self) -> Iterator[Letter]:
        """Every letter that leaves ink."""
        return (letter for letter in self.letters if letter.text.strip() and letter.right > letter.left)

    def digits(self) -> list[Letter]:
        return [letter for letter in self.ink() if letter.text.isdecimal()]


def printed(html: str) -> list[Page]:
    """Every page; skips where no PDF can be made."""
    try:
        made = pdf(html)
    except CardError as missing:
        pytest.skip(str(missing))
    return [_page(page) for page in pypdfium2.PdfDocument(made)]


def _page(page: pypdfium2.PdfPage) -> Page:
    width, height = page.get_size()
    told = page.get_textpage()
    boxes = [told.get_charbox(n) for n in range(told.count_chars())]
    text = "".join(told.get_text_range(n, 1) or " " for n in range(told.count_chars()))
    letters = [
        Letter(letter, left, height - top, right, height - bottom)
        for letter, (left, bottom, right, top) in zip(text, boxes, strict=True)
    ]
    return Page(width, height, text, letters)
