"""Winding: the ends in their colours, one or several at once, with a counting thread around every bundle."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from assistant.meaning import Tell
from assistant.warp.model import End, Warp
from assistant.warp.passes.colours import yarn_name
from assistant.warp.passes.walk import Call, Figure, Item, Pass, Size

BUNDLE = 20  # ends between two turns of the counting thread: common practice, no source
LEAST_BUNDLE = 10  # a group's last ends, when fewer, go with the bundle before
MOST_AT_ONCE, MOST_RUNS = 10, 4  # ends, and runs of a colour, in a call


@dataclass(frozen=True, slots=True)
class Wound:
    """One end: its yarn, and the yarns of all the ends wound at once with it."""

    yarn: str
    turn: int  # of the group, from 0
    together: tuple[str, ...]
    tied: bool  # the counting thread goes around after it


def _units(warp: Warp, together: int) -> Iterator[Sequence[Wound]]:
    return (tuple(_wound(group.ends, together)) for group in warp.groups)


def _wound(ends: Sequence[End], together: int) -> Iterator[Wound]:
    turn = 0
    for start, stop in _bundles(len(ends)):
        for first in range(start, stop, together):
            yarns = tuple(end.yarn for end in ends[first : min(first + together, stop)])
            for number, yarn in enumerate(yarns, first + 1):
                yield Wound(yarn, turn, yarns, number == stop)
            turn += 1


def _bundles(ends: int) -> Iterator[tuple[int, int]]:
    start = 0
    while ends - start >= BUNDLE + LEAST_BUNDLE:
        yield start, start + BUNDLE
        start += BUNDLE
    yield start, ends


def _runs(ends: Sequence[Wound], together: int) -> Iterator[Sequence[Wound]]:
    """Turns that are alike, up to the counting thread, no more than go in a call."""
    most = MOST_AT_ONCE // together * together
    start = 0
    for number, end in enumerate(ends, 1):
        if number == len(ends) or end.tied or ends[number].together != end.together or number - start == most:
            yield ends[start:number]
            start = number


def _cut(ends: Sequence[Wound], together: int) -> Iterator[Sequence[Wound]]:
    """A few runs at once where they are short."""
    called: list[Wound] = []
    runs = 0
    for run in _runs(ends, together):
        if called and (called[-1].tied or runs == MOST_RUNS or len(called) + len(run) > MOST_AT_ONCE):
            yield tuple(called)
            called, runs = [], 0
        called += run
        runs += 1
    yield tuple(called)


def _tell(warp: Warp, call: Call[Wound]) -> Sequence[Item]:
    turns = [tuple(end.yarn for end in turn) for _, turn in groupby(call.units, key=lambda end: end.turn)]
    items = [_turns(warp, yarns, len(list(alike))) for yarns, alike in groupby(turns)]
    return [*items, Item(Tell("counting thread"), aside=True)] if call.units[-1].tied else items


def _turns(warp: Warp, yarns: tuple[str, ...], times: int) -> Item:
    names = tuple(dict.fromkeys(filter(None, (yarn_name(warp, yarn) for yarn in yarns))))
    phrase = {1: "ends", 2: "pairs"}.get(len(yarns), "turns")
    if names:
        phrase = f"{phrase} of"
    caption = Tell(f"caption: {phrase}", held=len(yarns), yarns=" + ".join(names))
    keys = tuple(dict.fromkeys(filter(None, yarns)))
    figure = Figure(str(times), caption if len(yarns) > 1 or names else None, keys)
    return Item(Tell(phrase, count=times, yarns=names, held=len(yarns)), (figure,))


WIND = Pass(
    name="wind",
    about="wind the ends in their colours, with a counting thread around every bundle",
    unit="end",
    size=Size("--together", "wind N ends at once, 2 for pairs", 1, MOST_AT_ONCE),
    units=_units,
    cut=_cut,
    tell=_tell,
    pace=12.0,
    on_loom=False,
    from_bundle=False,
)
