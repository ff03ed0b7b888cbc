"""The yarns of a WIF draft: one for each colour of the palette, and each thickness, that the warp uses; in words."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from colorsys import rgb_to_hls
from typing import NamedTuple

from assistant.errors import DraftError
from assistant.meaning import Tell, runs
from assistant.warp.draft.reading import Column
from assistant.warp.draft.values import MOST_LISTED
from assistant.warp.model import Yarn
from assistant.warp.spelling import shown

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


MOST_YARNS = 1_000

Rgb = tuple[float, float, float]


class Colour(NamedTuple):
    """A colour as it is given for an end: its place in the palette, or itself."""

    place: int | None
    rgb: Rgb | None = None


def palette(used: Iterable[Colour], table: Column[Rgb], keys: Mapping[str, str], said: list[Tell]) -> dict[Colour, str]:
    """Each as "#rrggbb", or "" where it is not known; `keys` are those of [COLOR PALETTE]."""
    values = {colour: table.get(colour.place or 0) or colour.rgb for colour in used}
    bounds = _bounds(keys, said) if any(table.values) or any(values.values()) else None
    if missing := sorted({colour.place or 0 for colour, rgb in values.items() if rgb is None}):
        said.append(Tell("colours missing", colours=runs(missing, MOST_LISTED)))
    return {colour: to_hex(rgb, *bounds) if rgb and bounds else "" for colour, rgb in values.items()}


def yarns_of(
    given: Sequence[Colour | None],
    thicknesses: Sequence[float | None],
    colours: Mapping[Colour, str],
    file: str,
    said: list[Tell],
) -> tuple[list[str], dict[str, Yarn]]:
    """The key of the yarn of each end, "" where nothing is known of it, and the yarns, those met first in front."""
    kinds = list(zip(given, thicknesses, strict=True))
    if len(set(thicknesses)) == 1:
        kinds = [(colour, None) for colour in given]
    else:
        said.append(Tell("thicknesses differ"))
    keys: dict[tuple[Colour | None, float | None], str] = {(None, None): ""}
    yarns: dict[str, Yarn] = {}
    times: Counter[str] = Counter()
    for kind in dict.fromkeys(kinds):
        if kind in keys:
            continue
        if len(yarns) == MOST_YARNS:
            what, todo = "more than {most:,} yarns in the warp", "look whether it is the draft"
            raise DraftError(what, todo, file=file, most=MOST_YARNS)
        given_as = kind[0]
        colour = colours[given_as] if given_as else ""
        named = f"colour {given_as.place}" if given_as and given_as.place is not None else "yarn"
        words = colour_words(colour) if colour else named
        times[words] += 1
        name = words if times[words] == 1 else f"{words} no {times[words]}"
        keys[kind] = key = name.replace(" ", "-")
        yarns[key] = Yarn(key, name, colour)
    return [keys[kind] for kind in kinds], yarns


def _bounds(keys: Mapping[str, str], said: list[Tell]) -> tuple[float, float] | None:
    """What no light and full light are called in this file, None where it does not say, or not in RGB."""
    form, text = (keys.get(key, "").partition(";")[0].strip() for key in ("form", "range"))
    try:
        low, high = (float(bound) for bound in text.split(","))
    except ValueError:
        low = high = 0.0
    if form.upper() in ("RGB", "") and 0 < abs(high - low) < 1e9:
        return low, high
    said.append(Tell("colours not read", form=shown(form), range=shown(text)))
    return None
