"""Where to end each group: at the borders of repeats and colour stripes, some 8 to 40 ends in each."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from assistant.warp.draft.repeats import LONGEST_GROUP, Stretch, divided, written
from assistant.warp.model import End

Threads = tuple[End, ...]

FEWEST, USUAL_SIZE, MOST_TOGETHER = (
    8,
    24,
    40,
)  # ends; LONGEST_GROUP to keep a repeat or a scrap whole
NEW_YARN = 6  # characters that a change of yarn costs in a file
BORDER = 15  # and what one more group costs
MOST_MATCHED = 20_000  # ends without repeats in which stretches that come back elsewhere are looked for

_UNUSUAL = [0.75 * abs(size - USUAL_SIZE) for size in range(MOST_TOGETHER + 1)]  # what a group of another size costs


@dataclass(frozen=True, slots=True)
class Piece:
    """A group, and how many times it follows itself."""

    ends: Threads
    times: int = 1


def grouped(ends: Threads) -> list[Piece]:
    """The ends in groups, those alike that follow each other taken together."""
    stretches = list(_stretches(ends))
    letters = {end: chr(number) for number, end in enumerate(dict.fromkeys(ends))}
    parts = dict.fromkeys(stretch for stretch in stretches if isinstance(stretch, tuple))
    codes = {part: "".join(letters[end] for end in part) for part in parts}  # stretches of text compare fast
    again = _coming_back(list(codes.values())) if sum(map(len, codes)) <= MOST_MATCHED else Counter[str]()
    cuts = {part: list(_cut(part, code, again)) for part, code in codes.items()}
    pieces: list[Piece] = []
    for stretch in stretches:
        pieces.extend(cuts[stretch] if isinstance(stretch, tuple) else [stretch])
    return list(_joined(_scraps_taken_in(pieces)))


def _stretches(ends: Threads) -> Iterator[Piece | Threads]:
    """Groups where the ends repeat, and the ends between as they are."""
    numbers: dict[End, int] = {}
    items = [numbers.setdefault(end, len(numbers)) for end in ends]
    for section in divided(items, _costs(ends), _begins(ends)):
        unit = ends[section.start : section.start + section.period]
        if section.times == 1:
            yield unit
        elif section.period <= LONGEST_GROUP:
            yield from _shared_out(unit, section)
        else:
            yield from list(_stretches(unit)) * section.times


def _costs(ends: Threads) -> list[float]:
    """What each end costs, written out, in characters of a file."""
    words = {end: len(written((end.shafts,))[0]) + 1.0 for end in set(ends)}
    changes = [0, *(NEW_YARN * (end.yarn != before.yarn) for before, end in pairwise(ends))]
    return [words[end] + change for end, change in zip(ends, changes, strict=True)]


def _begins(ends: Threads) -> list[float]:
    """How odd it is to begin a group with each end: least at a new yarn, then on the lowest shaft, going up."""
    if not ends:
        return []
    lowest = min(end.shafts for end in ends)
    steps = [nxt.shafts[0] - end.shafts[0] for end, nxt in pairwise(ends)] + [0]
    same = [False, *(end.yarn == before.yarn for before, end in pairwise(ends))]
    return [
        2.0 * alike + (end.shafts != lowest) + 0.1 * (step != 1)
        for end, step, alike in zip(ends, steps, same, strict=True)
    ]


def _shared_out(unit: Threads, section: Stretch) -> Iterator[Piece]:
    """A repeat in groups of whole units."""
    period, times = section.period, section.times
    if period * times <= MOST_TOGETHER:
        yield Piece(unit * times)
        return
    options = range(1, max(1, MOST_TOGETHER // period) + 1)
    units = min(options, key=lambda units: _unevenness(units, period, times))
    groups, rest = divmod(times, units)
    if rest and period * rest < FEWEST:  # the last group takes the rest in
        groups, rest = groups - 1, rest + units
    yield Piece(unit * units, groups)
    if rest:
        yield Piece(unit * rest)


def _unevenness(units: int, period: int, times: int) -> float:
    """How far from the usual size groups of so many units are, and how ill they share out the repeat."""
    rest = times % units * period
    if not rest:
        uneven = 0
    elif rest >= FEWEST or rest + units * period <= LONGEST_GROUP:
        uneven = FEWEST
    else:
        uneven = MOST_TOGETHER
    return abs(units * period - USUAL_SIZE) + uneven + (MOST_TOGETHER if units * period < FEWEST else 0)


def _coming_back(parts: Sequence[str]) -> Counter[str]:
    """How often each stretch of a group's length occurs in these, of those that occur more than once."""
    found: Counter[str] = Counter()
    places = [(part, at) for part in parts for at in range(len(part))]
    for size in range(FEWEST, MOST_TOGETHER + 1):
        places = [(part, at) for part, at in places if at + size <= len(part)]
        times = Counter(part[at : at + size] for part, at in places)
        places = [(part, at) for part, at in places if times[part[at : at + size]] > 1]
        if not places:
            break
        found.update({stretch: count for stretch, count in times.items() if count > 1})
    return found


def _cut(part: Threads, code: str, again: Counter[str]) -> Iterator[Piece]:
    """Ends that do not repeat, in groups: what comes back elsewhere by itself, borders where they look natural."""
    if len(part) <= MOST_TOGETHER:
        yield Piece(part)
        return
    begins = _begins(part)
    before = list(accumulate(_costs(part), initial=0.0))
    cheapest, last = [0.0], [0]
    for stop in range(1, len(part) + 1):
        best, start = float("inf"), 0
        for at in range(max(0, stop - MOST_TOGETHER), max(0, stop - FEWEST) + 1):
            cost = cheapest[at] + begins[at] + before[stop] - before[at] + _UNUSUAL[stop - at]
            if again and (times := again[code[at:stop]]):
                cost -= (before[stop] - before[at]) * (1 - 1 / times)
            if cost < best:
                best, start = cost, at
        cheapest.append(best + BORDER)
        last.append(start)
    borders = [len(part)]
    while borders[-1]:
        borders.append(last[borders[-1]])
    yield from (Piece(part[start:stop]) for start, stop in pairwise(reversed(borders)))


def _scraps_taken_in(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces, those of a few ends joined to the group before, but for the edges."""
    found: list[Piece] = []
    for at, piece in enumerate(pieces):
        scrap = piece.times == 1 and len(piece.ends) < FEWEST and 0 < at < len(pieces) - 1
        if not (scrap and found and len(found[-1].ends) + len(piece.ends) <= LONGEST_GROUP):
            found.append(piece)
            continue
        before = found.pop()
        if before.times > 1:
            found.append(Piece(before.ends, before.times - 1))
        found.append(Piece(before.ends + piece.ends))
    return found


def _joined(pieces: Iterable[Piece]) -> Iterator[Piece]:
    """Pieces alike that follow each other as one."""
    before: Piece | None = None
    for piece in pieces:
        if before and before.ends == piece.ends:
            before = Piece(piece.ends, before.times + piece.times)
            continue
        if before:
            yield before
        before = piece
    if before:
        yield before
