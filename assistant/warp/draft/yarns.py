"""The yarns of a WIF draft: one for each colour of the palette, and each thickness, that the warp uses."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from assistant.errors import DraftError
from assistant.warp.draft.colours import colour_words, to_hex
from assistant.warp.draft.sections import Column
from assistant.warp.draft.values import listed
from assistant.warp.model import Yarn
from assistant.warp.spelling import shown

MOST_YARNS = 1_000

Rgb = tuple[float, ...]


def palette(used: Iterable[int], table: Column[Rgb], keys: Mapping[str, str], said: list[str]) -> dict[int, str]:
    """Number -> "#rrggbb", or "" where it is not known, for each number used; `keys` are those of [COLOR PALETTE]."""
    bounds = _bounds(keys, said) if any(table.values) else None
    values = {number: table.get(number) for number in used}
    if missing := sorted(number for number, rgb in values.items() if rgb is None):
        said.append(f"the palette does not have colour {listed(missing)}: left open")
    return {number: to_hex(rgb, *bounds) if rgb and bounds else "" for number, rgb in values.items()}


def yarns_of(
    numbers: Sequence[int | None],
    thicknesses: Sequence[float | None],
    colours: Mapping[int, str],
    file: str,
    said: list[str],
) -> tuple[list[str], dict[str, Yarn]]:
    """The key of the yarn of each end, "" where nothing is known of it, and the yarns, those met first in front."""
    kinds = list(zip(numbers, thicknesses, strict=True))
    if len(set(thicknesses)) == 1:
        kinds = [(number, None) for number in numbers]
    else:
        said.append("ends of one colour but different thickness are taken for different yarns")
    keys: dict[tuple[int | None, float | None], str] = {(None, None): ""}
    yarns: dict[str, Yarn] = {}
    times: Counter[str] = Counter()
    for kind in dict.fromkeys(kinds):
        if kind in keys:
            continue
        if len(yarns) == MOST_YARNS:
            raise DraftError(f"more than {MOST_YARNS:,} yarns in the warp", "look whether it is the draft", file=file)
        number = kind[0]
        colour = colours[number] if number is not None else ""
        words = colour_words(colour) if colour else "yarn" if number is None else f"colour {number}"
        times[words] += 1
        name = words if times[words] == 1 else f"{words} no {times[words]}"
        keys[kind] = key = name.replace(" ", "-")
        yarns[key] = Yarn(key, name, colour)
    return [keys[kind] for kind in kinds], yarns


def _bounds(keys: Mapping[str, str], said: list[str]) -> tuple[float, float] | None:
    """What no light and full light are called in this file, None where it does not say, or not in RGB."""
    form, text = (keys.get(key, "").partition(";")[0].strip() for key in ("form", "range"))
    try:
        low, high = (float(bound) for bound in text.split(","))
    except ValueError:
        low = high = 0.0
    if form.upper() in ("RGB", "") and 0 < abs(high - low) < 1e9:
        return low, high
    said.append(f"colours of form {shown(form)} and range {shown(text)} cannot be read: left open")
    return None
