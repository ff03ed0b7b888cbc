"""Text measured in columns of a terminal: Korean and Chinese characters take two. Pure."""

from collections.abc import Iterable
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
