"""Colours of a draft: from its own range to "#rrggbb", and into words that can be spoken."""

from collections.abc import Sequence
from colorsys import rgb_to_hls

_HUES = (  # up to this hue, in degrees
    (15, "red"), (45, "orange"), (70, "yellow"), (165, "green"), (195, "turquoise"), (255, "blue"), (290, "violet"),
    (345, "pink"), (360, "red"),
)  # fmt: skip


def to_hex(values: Sequence[float], low: float, high: float) -> str:
    """Red, green and blue, each from `low` to `high`, as "#rrggbb"."""
    return "#" + "".join(f"{min(255, max(0, round((value - low) * 255 / (high - low)))):02x}" for value in values)


def from_hex(colour: str) -> tuple[int, int, int]:
    """Red, green and blue of "#rrggbb", each from 0 to 255."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def colour_words(colour: str) -> str:
    """ "#rrggbb" as a weaver would call it: dark red, light grey."""
    red, green, blue = (part / 255 for part in from_hex(colour))
    hue, lightness, saturation = rgb_to_hls(red, green, blue)
    if lightness < 0.1:
        return "black"
    if lightness > 0.95:
        return "white"
    if saturation < 0.15:
        return _shade(lightness) + "grey"
    if 25 < hue * 360 < 65 and lightness > 0.55 and (saturation < 0.5 or lightness > 0.85):
        return "cream" if lightness > 0.85 else "beige"
    name = next(name for most, name in _HUES if hue * 360 <= most)
    if name == "orange" and lightness < 0.4:
        return "brown"
    return _shade(lightness) + name


def _shade(lightness: float) -> str:
    return "dark " if lightness < 0.33 else "light " if lightness > 0.7 else ""
