"""The warp as it hangs: its ends in loom order, as seen from the front, and how each yarn is drawn. Pure."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate, groupby

from assistant.senses.screen.dyes import PATTERNS, dyes
from assistant.warp.model import End, Warp, Yarn

UNTOLD = "#777777"  # of yarns whose colour is not told
LOWER = 1 / (PATTERNS + 1)  # by how much of the height where screens have another pattern


@dataclass(frozen=True, slots=True)
class Paint:
    """How the ends of a yarn are drawn: in its colour, and how high, of the whole height."""

    colour: str
    high: float = 1.0


@dataclass(frozen=True, slots=True)
class Run:
    """So many ends of one yarn beside each other, after so many others, from the left."""

    yarn: str
    left: int
    ends: int


def from_the_left(warp: Warp, ends: Iterable[End]) -> list[End]:
    """Ends in their order on the loom, the one on the right last."""
    lying = list(ends)
    return lying[::-1] if warp.start == "right" else lying


def runs(ends: Sequence[End]) -> list[Run]:
    """Ends in their order on the loom, those of one yarn together."""
    lying = [(yarn, len(list(run))) for yarn, run in groupby(ends, key=lambda end: end.yarn)]
    lefts = accumulate((many for _, many in lying), initial=0)
    return [Run(yarn, left, many) for (yarn, many), left in zip(lying, lefts, strict=False)]


def spans(warp: Warp) -> dict[str, tuple[int, int]]:
    """Group -> the ends to the left of it, and those up to its right side."""
    lefts = list(accumulate((len(group.ends) for group in warp.groups), initial=0))
    lying = {group.name: (left, left + len(group.ends)) for group, left in zip(warp.groups, lefts, strict=False)}
    if warp.start == "left":
        return lying
    return {name: (warp.ends - right, warp.ends - left) for name, (left, right) in lying.items()}


def looks(warp: Warp) -> dict[str, Paint]:
    """How each yarn is drawn, and "" for ends of none, by the order in which they lie from the first end on.

    Told apart as on the screens: those that look alike have patterns there, and heights here.
    """
    known = dyes(Yarn(key, "", yarn.colour or UNTOLD) for key, yarn in {**warp.yarns, "": Yarn("", "")}.items())
    lying = {key: known[key] for key in dict.fromkeys(end.yarn for end in warp.every_end())}
    return {key: Paint(dye.colour, 1 - LOWER * dye.pattern) for key, dye in lying.items()}


def told(warp: Warp, drawn: Mapping[str, Paint]) -> list[tuple[str, int, Paint]]:
    """Each yarn that is drawn: its name, "" where there is none, how many ends, and its look."""
    many = dict.fromkeys(drawn, 0)
    for end in warp.every_end():
        many[end.yarn] += 1
    return [(warp.yarns[key].name if key in warp.yarns else "", many[key], look) for key, look in drawn.items()]
