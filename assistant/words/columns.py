"""Text measured in the columns of a terminal, of which Korean and Chinese characters take two."""

from unicodedata import combining, east_asian_width


def columns(text: str) -> int:
    """Columns that a line of text takes."""
    return sum(0 if combining(c) else 2 if east_asian_width(c) in "WF" else 1 for c in text)


def shortened(text: str, width: int) -> str:
    """The text, ended with "…" where it is wider than so many columns."""
    if columns(text) <= width:
        return text
    if width < 1:
        return ""
    while text and columns(text) >= width:
        text = text[:-1]
    return f"{text}…"


def padded(text: str, width: int) -> str:
    """The text, followed by blanks, exactly so many columns wide."""
    text = shortened(text, width)
    return text + " " * (width - columns(text))
