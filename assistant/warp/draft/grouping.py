"""Where to end each group: at the borders of repeats and colour stripes, some 8 to 40 ends in each."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, groupby, pairwise

from assistant.warp.draft.pricing import Prices, written_out
from assistant.warp.draft.repeats import LONGEST_GROUP, MOST_TOGETHER, Stretch, divided
from assistant.warp.draft.strands import DraftStrand, Strands

FEWEST, USUAL_SIZE = 8, 24  # ends; LONGEST_GROUP to keep a scrap whole
BORDER = 15  # what one more group costs
MOST_MATCHED = 20_000  # ends without repeats in which stretches that come back elsewhere are looked for
MOST_PRICED = 2_000  # and of which every stretch has its exact price
SYMMETRIC = 4  # what a group gains that reads the same from both sides, its first or last end left out
LEAST_UNIT, LEAST_WHOLE = 4, 12  # ends of a unit of a structure, and of one that is a group by itself
MOST_WHOLE = 128  # ends of what repeats in which no repeats are looked for beyond groups
WITHIN_A_UNIT = 8  # what it costs to begin a group within one
MOST_FRAMED = 4_000  # groups within which others that come several times together are looked for

LEAST_EDGE, LONGEST_SIMPLE = 6, 8  # ends of an edge, and of what repeats in it
MOST_EDGES_TRIED = 6
WORTH_AN_EDGE = 32  # what a warp may cost more whose sides are alike

_UNUSUAL = [0.75 * abs(size - USUAL_SIZE) for size in range(MOST_TOGETHER + 1)]  # what a group of another size costs


@dataclass(frozen=True, slots=True)
class Piece:
    """A group, and how many times it follows itself."""

    ends: Strands
    times: int = 1


@dataclass(frozen=True, slots=True)
class Several:
    """Several groups, and how many times all of them follow themselves."""

    parts: tuple["Part", ...]
    times: int


Part = Piece | Several


def grouped(ends: Strands) -> list[Part]:
    """The ends in groups, those alike that follow each other taken together, also several by turns."""
    first = last = _framed(ends)
    parts = [] if first else _within_a_frame(ends)
    if parts:
        first, last = _edge_in(parts[0], ends), _edge_in(parts[-1], ends[::-1], parts[-2:-1])
    if first or last:
        outermost = Piece(ends[:first]), Piece(ends[len(ends) - last :])
        inside = _within_a_frame(ends[first : len(ends) - last])
        parts = [*([outermost[0]] if first else []), *inside, *([outermost[1]] if last else [])]
    return _taken_together(_joined(parts))


def _within_a_frame(ends: Strands) -> list[Part]:
    """The ends in groups, those at the end cut as at the beginning where they are the same, mirrored or as they are."""
    parts = _parts(ends)
    head: list[Piece] = []
    for part in parts:
        if isinstance(part, Several) or part.times > 1 or len(part.ends) > MOST_TOGETHER:
            break
        head.append(part)
    while head:
        size = sum(len(piece.ends) for piece in head)
        first, last = ends[:size], ends[-size:]
        if size >= FEWEST and 2 * size < len(ends) and last in (first, first[::-1]):
            tail = head if last == first else [Piece(piece.ends[::-1]) for piece in reversed(head)]
            return [*head, *_parts(ends[size : len(ends) - size]), *tail]
        head.pop()
    return parts


def _edge_in(part: Part, ends: Strands, before: Sequence[Part] = ()) -> int:
    """How many ends of the outermost group repeat a few and are an edge by themselves, 0 where none are."""
    edge = _edge(ends)
    if not edge or isinstance(part, Several) or part.times > 1:
        return 0
    if len(part.ends) < edge + FEWEST and len(part.ends) != edge:
        return 0
    closes = any(isinstance(group, Piece) and group.ends[:FEWEST] == part.ends[:FEWEST] for group in before)
    return 0 if closes else edge


def _framed(ends: Strands) -> int:
    """How many ends at the beginning are an edge that closes the warp as well, mirrored or as it is; 0 if none."""
    most, period = _edge(ends), _simple_period(ends)
    sizes = range(most, LEAST_EDGE - 1, -period) if most else ()
    alike = [size for size in sizes if ends[-size:] in (ends[:size], ends[:size][::-1])][:MOST_EDGES_TRIED]
    costs: dict[int, float] = {}
    torn: dict[int, bool] = {}  # whether a run of a few ends would be in two, at such edges or in what repeats
    for size in alike:
        inside = ends[size : len(ends) - size]
        sections, cost = _divided(inside)
        costs[size] = cost + 2 * _divided(ends[:size])[1]
        goes_on = inside[:period] == ends[:period] and _run(inside, period) >= max(FEWEST, 2 * period)
        units = [inside[each.start : each.start + each.period] for each in sections if each.times > 1]
        torn[size] = goes_on or any(map(_is_torn, units))
    if not costs or min(costs.values()) > _divided(ends)[1] + WORTH_AN_EDGE:
        return 0
    return min(alike, key=lambda size: (torn[size], costs[size]))


def _is_torn(unit: Strands) -> bool:
    """Whether a run of a few ends that repeat goes on from the unit's end to its beginning, both parts of it short."""
    period = next((size for size in range(1, LONGEST_SIMPLE + 1) if unit[-size:] == unit[:size]), 0)
    return period > 0 and FEWEST <= _run(unit, period) + _run(unit[::-1], period) < len(unit)


def _simple_period(ends: Strands) -> int:
    """How many ends repeat at the very beginning, 0 where none do for long."""
    for period in range(1, LONGEST_SIMPLE + 1):
        if ends[:period] * 2 == ends[period : 2 * period] * 2 and _run(ends, period) >= max(2 * period, LEAST_EDGE):
            return period
    return 0


def _run(ends: Strands, period: int) -> int:
    """How many ends at the beginning are whole periods."""
    size = period
    while ends[size : size + period] == ends[:period]:
        size += period
    return size


def _edge(ends: Strands) -> int:
    """How many ends at the beginning repeat a few, as an edge does; 0 where they are no edge, but go on."""
    size = _repeated(ends)
    return size if size <= MOST_TOGETHER and 2 * size < len(ends) else 0


def _parts(ends: Strands) -> list[Part]:
    """The ends in groups."""
    stretches = _stretches(ends)
    letters = {end: chr(number) for number, end in enumerate(dict.fromkeys(ends))}
    loose = dict.fromkeys(_loose(stretches))
    codes = {part: "".join(letters[end] for end in part) for part in loose}  # stretches of text compare fast
    total = sum(map(len, codes))
    again = _coming_back(list(codes.values())) if total <= MOST_MATCHED else Counter[str]()
    cuts = {part: list(_cut(part, code, again, exact=total <= MOST_PRICED)) for part, code in codes.items()}
    return _built(stretches, cuts, outermost=True)


@dataclass(frozen=True, slots=True)
class _Repeated:
    """Stretches that follow each other so many times, and the first ends of one more."""

    stretches: tuple["_Stretches", ...]
    times: int
    rest: Strands = ()


_Stretches = Piece | Strands | _Repeated


def _loose(stretches: Iterable[_Stretches]) -> Iterator[Strands]:
    """The ends that do not repeat."""
    for stretch in stretches:
        if isinstance(stretch, _Repeated):
            yield from _loose(stretch.stretches)
        elif isinstance(stretch, tuple):
            yield stretch


def _built(stretches: Iterable[_Stretches], cuts: dict[Strands, list[Piece]], *, outermost: bool = False) -> list[Part]:
    """The stretches as groups."""
    found: list[Part] = []
    for stretch in stretches:
        if isinstance(stretch, Piece):
            found.append(stretch)
        elif isinstance(stretch, tuple):
            found += cuts[stretch]
        else:
            parts = _built(stretch.stretches, cuts)
            found += _closed(parts, stretch.times, stretch.rest)
    return list(_joined(_scraps_taken_in(found, outermost=outermost)))


def _closed(parts: list[Part], times: int, rest: Strands) -> list[Part]:
    """These so many times, the last group taking the rest."""
    if not rest:
        return [Several(tuple(parts), times)]
    last = parts[-1]
    if isinstance(last, Several):
        closing: list[Part] = [*parts, Piece(rest)]
    else:
        before = [Piece(last.ends, last.times - 1)] if last.times > 1 else []
        closing = [*parts[:-1], *before, Piece(last.ends + rest)]
    return [Several(tuple(parts), times - 1), *closing] if times > 2 else [*parts, *closing]


def _stretches(ends: Strands) -> list[_Stretches]:
    """Groups where the ends repeat, and the ends between as they are."""
    found: list[_Stretches] = []
    for section in _divided(ends)[0]:
        unit = ends[section.start : section.start + section.period]
        rest = ends[section.stop - section.rest : section.stop]
        if section.times == 1:
            found += _by_itself(unit) or [unit]
        elif section.period > MOST_TOGETHER:
            border = _border(unit, ends[section.stop :])
            found.append(_Repeated(tuple(_inner(unit[:border]) + _inner(unit[border:])), section.times, rest))
        elif pieces := _by_itself(unit):
            found.append(_Repeated(tuple(pieces), section.times, rest))
        else:
            found += _shared_out(unit, section, rest)
    return found


def _inner(ends: Strands) -> list[_Stretches]:
    """A part of what repeats: where it is short, its own repeats are no sections."""
    if len(ends) > MOST_WHOLE:
        return _stretches(ends)
    pieces: list[_Stretches] = [*_by_itself(ends)]
    return pieces or ([ends] if ends else [])


def _by_itself(ends: Strands) -> list[Piece]:
    """The groups that a stretch consists of beyond doubt: stripes of one yarn each, or two repeats; else none."""
    return _stripes(ends) or _two_repeats(ends)


def _two_repeats(ends: Strands) -> list[Piece]:
    """Where one repeat of a few ends follows another, and both fill the ends: each of them."""
    if not USUAL_SIZE < len(ends) <= MOST_TOGETHER:
        return []
    first, second = _repeated(ends), _repeated(ends[::-1])
    if min(first, second) < FEWEST or first + second != len(ends):
        return []
    return [Piece(ends[:first]), Piece(ends[first:])]


def _repeated(ends: Strands) -> int:
    """How many ends at the beginning repeat a few."""
    period = _simple_period(ends)
    return _run(ends, period) if period else 0


def _border(unit: Strands, after: Strands) -> int:
    """Where a unit is in two, told by the ends after it, which begin one more and end there; 0 if they tell nothing."""
    size = len(after)
    if not (FEWEST <= size <= len(unit) - FEWEST and unit[: size - 1] == after[:-1]):
        return 0
    form, covered = _units(unit)
    begins = _begins(unit)
    tiled = len(covered) == len(unit) and size % form == 0
    whole = unit[:size] == after and (tiled or begins[size] < begins[size - 1] + 1)
    return size if whole else size - 1


def _divided(ends: Strands) -> tuple[list[Stretch], float]:
    """The ends in sections, and what these cost."""
    numbers: dict[DraftStrand, int] = {}
    items = [numbers.setdefault(end, len(numbers)) for end in ends]
    return divided(items, written_out(ends), _begins(ends), FEWEST - 1)


def _stripes(ends: Strands) -> list[Piece]:
    """The stripes of one yarn each, none where there is but one, or one that makes no group."""
    stripes = [Piece(tuple(stripe)) for _, stripe in groupby(ends, lambda end: end.yarns)]
    fit = USUAL_SIZE < len(ends) <= 2 * MOST_TOGETHER and all(
        FEWEST <= len(stripe.ends) <= MOST_TOGETHER for stripe in stripes
    )
    return stripes if fit and len(stripes) > 1 else []


def _begins(ends: Strands) -> list[float]:
    """How odd it is to begin a group with each end: least at a new yarn, then on the lowest shaft, going up."""
    if not ends:
        return []
    lowest = min((end.shafts for end in ends if end.shafts), default=())
    firsts = [end.shafts[0] if end.shafts else 0 for end in ends]
    steps = [nxt - first for first, nxt in pairwise(firsts)] + [0]
    same = [False, *(end.yarns == before.yarns for before, end in pairwise(ends))]
    odd = [
        2.0 * alike + (end.shafts != lowest) + 0.1 * (step != 1)
        for end, step, alike in zip(ends, steps, same, strict=True)
    ]
    return [min(odd[0], 1.0), *odd[1:]]


def _shared_out(unit: Strands, section: Stretch, closing: Strands) -> Iterator[Piece]:
    """A repeat in groups of whole units, the last of which takes the closing ends."""
    period, times = section.period, section.times
    if period * times + len(closing) <= MOST_TOGETHER:
        yield Piece(unit * times + closing)
        return
    options = range(1, max(1, MOST_TOGETHER // period) + 1)
    units = min(options, key=lambda units: _unevenness(units, period, times))
    groups, rest = divmod(times, units)
    if rest and period * rest < FEWEST:  # the last group takes the rest in
        groups, rest = groups - 1, rest + units
    if closing and not rest:
        groups, rest = groups - 1, units
    if groups:
        yield Piece(unit * units, groups)
    if rest:
        yield Piece(unit * rest + closing)


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


def _cut(part: Strands, code: str, again: Counter[str], *, exact: bool) -> Iterator[Piece]:
    """Ends that do not repeat, in groups: what comes back elsewhere by itself, borders where they look natural."""
    if len(part) <= MOST_TOGETHER:
        yield Piece(part)
        return
    if side := _mirrored(part, code):
        half = list(_cut(part[:side], code[:side], again, exact=exact))
        core = _cut(part[side:-side], code[side:-side], again, exact=exact) if 2 * side < len(part) else ()
        yield from [*half, *core, *(Piece(piece.ends[::-1]) for piece in reversed(half))]
        return
    begins = _begins(part)
    before = list(accumulate(written_out(part), initial=0.0))
    prices = Prices(part, MOST_TOGETHER) if exact else None
    unit, covered = _units(part) if exact else (0, range(0))
    if unit >= LEAST_WHOLE and len(covered) == len(part):
        yield from (Piece(part[at : at + unit]) for at in range(0, len(part), unit))
        return
    cheapest, last = [0.0], [0]
    for stop in range(1, len(part) + 1):
        best, start = float("inf"), 0
        for at in range(max(0, stop - MOST_TOGETHER), max(0, stop - FEWEST) + 1):
            price = prices.of(at, stop) if prices else before[stop] - before[at]
            if times := _times_whole(again, code, at, stop):
                price /= times
            cost = cheapest[at] + begins[at] + price + _UNUSUAL[stop - at]
            cost += WITHIN_A_UNIT * (at in covered and (at - covered.start) % unit > 0)
            cost -= SYMMETRIC * (exact and _symmetric(code[at:stop]))
            if cost < best:
                best, start = cost, at
        cheapest.append(best + BORDER)
        last.append(start)
    borders = [len(part)]
    while borders[-1]:
        borders.append(last[borders[-1]])
    yield from (Piece(part[start:stop]) for start, stop in pairwise(reversed(borders)))


def _times_whole(again: Counter[str], code: str, at: int, stop: int) -> int:
    """How often a stretch comes back, 0 where an end more on either side comes back as often."""
    times = again[code[at:stop]]
    longer = again[code[at : stop + 1]], again[code[at - 1 : stop]] if at else 0
    return 0 if times in longer else times


def _mirrored(part: Strands, code: str) -> int:
    """How many ends at the beginning come back mirrored at the end, where it may be divided so; else 0."""
    back = code[::-1]
    size = next((at for at, (one, other) in enumerate(zip(code, back, strict=True)) if one != other), len(code) // 2)
    size = min(size, len(code) // 2)
    core = len(part) - 2 * size
    return size if size >= FEWEST and (not core or core >= FEWEST) else 0


def _units(part: Strands) -> tuple[int, range]:
    """How many ends the units have that are alike in form, on whatever shafts, and where they follow each other."""
    best = 0, range(0)
    if len(part) > MOST_PRICED:
        return best
    for size in range(LEAST_UNIT, min(LONGEST_GROUP, len(part) // 3) + 1):
        for start in range(size):
            form = _form(part[start : start + size])
            if len(set(part[start : start + size])) == 1:
                continue
            stop = start + size
            while stop + size <= len(part) and _form(part[stop : stop + size]) == form:
                stop += size
            long = stop - start >= 3 * size and 2 * (stop - start) > len(part)
            if long and stop - start > len(best[1]):
                best = size, range(start, stop)
    return best


def _form(ends: Strands) -> tuple[int, ...]:
    """The ends by numbers, those alike by the same, in the order in which they come; if none are alike, the steps."""
    numbers: dict[DraftStrand, int] = {}
    form = tuple(numbers.setdefault(end, len(numbers)) for end in ends)
    if len(numbers) < len(ends):
        return form
    return tuple(nxt.shafts[0] - end.shafts[0] for end, nxt in pairwise(ends) if end.shafts and nxt.shafts)


def _symmetric(code: str) -> bool:
    """Whether it reads the same from both sides, all of it, or without its first or last."""
    return any(core == core[::-1] for core in (code, code[1:], code[:-1]))


def _scraps_taken_in(parts: Sequence[Part], *, outermost: bool) -> list[Part]:
    """The groups, those of a few ends joined to the group before, but for the edges."""
    found: list[Part] = []
    for at, part in enumerate(parts):
        edge = outermost and at in (0, len(parts) - 1)
        last = found[-1] if found else None
        if edge or not isinstance(part, Piece) or not isinstance(last, Piece) or not _fits(part, last):
            found.append(part)
            continue
        found.pop()
        if last.times > 1:
            found.append(Piece(last.ends, last.times - 1))
        found.append(Piece(last.ends + part.ends))
    return found


def _fits(scrap: Piece, last: Piece) -> bool:
    """Whether a group is of a few ends, and the one before can take them in."""
    few = scrap.times == 1 and len(scrap.ends) < FEWEST
    return few and len(last.ends) + len(scrap.ends) <= LONGEST_GROUP


def _joined(parts: Iterable[Part]) -> Iterator[Part]:
    """Groups alike that follow each other as one."""
    before: Part | None = None
    for part in parts:
        if isinstance(before, Piece) and isinstance(part, Piece) and before.ends == part.ends:
            before = Piece(part.ends, before.times + part.times)
            continue
        if before:
            yield before
        before = part
    if before:
        yield before


def _taken_together(parts: Iterable[Part]) -> list[Part]:
    """Several groups that follow each other more than once, as such."""
    given = list(parts)
    if not 4 <= len(given) <= MOST_FRAMED:
        return given
    numbers: dict[Part, int] = {}
    items = [numbers.setdefault(part, len(numbers)) for part in given]
    costs = [_entry(part) for part in given]
    found: list[Part] = []
    for section in divided(items, costs, [0.0] * len(items))[0]:
        unit = given[section.start : section.start + section.period]
        if section.times == 1:
            found += unit
        else:
            found.append(Several(tuple(_taken_together(unit)), section.times))
    return found


def _entry(part: Part) -> float:
    """About what it costs to name a group once more."""
    return 40.0 if isinstance(part, Piece) else 40.0 * len(part.parts)
