"""How yarns are told apart on a screen: by colours, by patterns where these are alike, pale ones with an edge. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import count

from assistant.session.view import Yarn

ALIKE = 25.0  # in CIELAB; of two colours that are nearer a small bar leaves one in doubt: our own judgement
PALE = 3.0  # contrast below which an edge is needed: WCAG 2.2, 1.4.11, for what is no text
GROUNDS = ("#efeae0", "#16181d")  # of the page, light and dark
PATTERNS = 4  # there are, besides plain


@dataclass(frozen=True, slots=True)
class Dye:
    """How a yarn is drawn; `colour` is "#rrggbb", or "" where none is told."""

    colour: str
    pattern: int = 0  # 0: plain
    edge: bool = False


def dyes(yarns: Iterable[Yarn]) -> dict[str, Dye]:
    """By their keys. Of yarns that look alike the first is plain, and each of the others has a pattern of its own."""
    told: dict[str, Dye] = {}
    for yarn in yarns:
        taken = {dye.pattern for dye in told.values() if alike(dye.colour, yarn.colour)}
        pattern = next(number for number in count() if number not in taken)
        edge = not yarn.colour or any(contrast(yarn.colour, ground) < PALE for ground in GROUNDS)
        told[yarn.key] = Dye(yarn.colour, pattern % (PATTERNS + 1), edge)
    return told


def alike(one: str, other: str) -> bool:
    """Whether two colours could be taken for each other; two that are not told are."""
    if not one or not other:
        return one == other
    return sum((a - b) ** 2 for a, b in zip(lab(one), lab(other), strict=True)) < ALIKE**2


def contrast(one: str, other: str) -> float:
    """From 1 to 21, as WCAG 2.2 defines it."""
    lighter, darker = sorted((_xyz(one)[1], _xyz(other)[1]), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def lab(colour: str) -> tuple[float, float, float]:
    """In CIELAB, for daylight (D65)."""
    x, y, z = (_cube(value / white) for value, white in zip(_xyz(colour), _WHITE, strict=True))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


_WHITE = (0.95047, 1.0, 1.08883)
_FROM_RGB = ((0.4124564, 0.3575761, 0.1804375), (0.2126729, 0.7151522, 0.0721750), (0.0193339, 0.1191920, 0.9503041))


def _xyz(colour: str) -> tuple[float, ...]:
    """Of sRGB, as IEC 61966-2-1 has it."""
    rgb = [_linear(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5)]
    return tuple(sum(share * value for share, value in zip(row, rgb, strict=True)) for row in _FROM_RGB)


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)


def _cube(value: float) -> float:
    return float(value ** (1 / 3)) if value > (6 / 29) ** 3 else value * (29 / 6) ** 2 / 3 + 4 / 29
