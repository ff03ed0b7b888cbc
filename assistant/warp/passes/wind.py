"""Winding: the ends in their colours, one or several at once, with a counting thread around every bundle."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from assistant.meaning import Tell
from assistant.warp.model import End, Group, Warp
from assistant.warp.passes.colours import yarn_name
from assistant.warp.passes.walk import Call, Figure, Item, Pass, Size
from assistant.warp.turned import as_called

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


def _by_beam(warp: Warp) -> Warp:
    """As it is called, each beam's ends on their own, in the order of the beams; a group of several is one for each."""
    called = as_called(warp)
    keys = {end.beam for end in called.every_end()}
    if len(keys) < 2:
        return called
    order = ["", *called.beams]
    parts = (part for beam in order if beam in keys for group in called.groups if (part := _part(called, group, beam)))
    return replace(called, groups=tuple(parts))


def _part(warp: Warp, group: Group, beam: str) -> Group | None:
    """What of a group is on one beam."""
    ends = tuple(end for end in group.ends if end.beam == beam)
    if not ends or len(ends) == len(group.ends):
        return group if ends else None
    name = f"{group.name}, {warp.beams[beam].name}" if beam else group.name
    return replace(group, name=name, ends=ends, calls=())


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
    beam = [] if call.start else _beam(warp, call.group)
    turns = [tuple(end.yarn for end in turn) for _, turn in groupby(call.units, key=lambda end: end.turn)]
    items = [_turns(warp, yarns, len(list(alike))) for yarns, alike in groupby(turns)]
    return [*beam, *items, *([Item(Tell("counting thread"), aside=True)] if call.units[-1].tied else [])]


def _beam(warp: Warp, group: int) -> list[Item]:
    """With the first group on a beam, where there are several."""
    of_groups = [each.ends[0].beam for each in warp.groups[max(0, group - 1) : group + 1]]
    first = not group or of_groups[0] != of_groups[-1]
    several = len({each.ends[0].beam for each in warp.groups}) > 1
    key = of_groups[-1]
    return [Item(Tell("beam", beam=warp.beams[key].name), aside=True)] if first and several and key else []


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
    along=_by_beam,
    on_loom=False,
    from_bundle=False,
)
