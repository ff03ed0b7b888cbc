"""From the cloth that is wanted back to the warp: its width in the reed, ends and length, picks, and yarn to buy."""

import math
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import dropwhile, groupby, takewhile
from typing import NamedTuple

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp.counts import Label, label
from assistant.warp.lengths import METRES, SPAN
from assistant.warp.model import MOST_ENDS, End, Group, Loom, Unit, Warp, Yarn
from assistant.warp.plan.beams import beam_plans
from assistant.warp.plan.length import Length, length
from assistant.warp.plan.wishes import PutUp, Wishes
from assistant.warp.plan.yarn import NO_YARN, grams, in_doubt, label_as_json, metres_per_kg, yarn_plans
from assistant.warp.reed import in_reed
from assistant.warp.spelling import MOST_NAMES

MOST_REPEATED_TOGETHER = 24  # groups
WARP, WEFT = "warp", "weft"  # keys of yarns that no file names


def woven_width(finished: float, wanted: Wishes) -> float:
    """How wide it is woven: what is lost in washing put on again."""
    return finished / (1 - wanted.width_shrinkage)


def width_in_reed(finished: float, wanted: Wishes) -> float:
    """How wide it lies in the reed: what is drawn in put on again, too."""
    return woven_width(finished, wanted) / (1 - wanted.draw_in)


def finished_width(in_the_reed: float, wanted: Wishes) -> float:
    """What a width in the reed comes to."""
    return in_the_reed * (1 - wanted.draw_in) * (1 - wanted.width_shrinkage)


@dataclass(frozen=True, slots=True)
class PatternRepeat:
    """What may be repeated more or less often: so many `together` of the groups from `start` on, now so many times."""

    warp: Warp
    start: int
    together: int
    times: int

    @property
    def groups(self) -> tuple[Group, ...]:
        """Those of one repeat, as they are within the warp."""
        stop = self.start + self.together
        return tuple(_within(self.warp, number) for number in range(self.start, stop))

    @property
    def names(self) -> tuple[str, ...]:
        """What they are called, each once, without their numbers; () where no file names them."""
        called = (stem(group.name) if self.times > 1 else group.name for group in self.groups if group.name)
        return tuple(dict.fromkeys(called))

    @property
    def ends(self) -> int:
        """Ends in a repeat."""
        return sum(len(group.ends) for group in self.groups)

    @property
    def besides(self) -> int:
        """Ends beside the repeats."""
        return self.warp.ends - self.times * self.ends

    @property
    def least(self) -> int:
        """Repeats there have to be: the first and the last hold what only the edges of the warp have."""
        return min(2, self.times)

    def repeated(self, times: int) -> Warp:
        """The warp with so many repeats; the first and the last stay as they are, with what is at the edges."""
        groups, stop = self.warp.groups, self.start + self.together * self.times
        first = groups[: self.start + self.together]
        last = groups[stop - self.together :] if self.times > 1 else groups[stop:]
        return replace(self.warp, groups=(*first, *self.groups * (times - self.least), *last))

    def as_json(self) -> dict[str, object]:
        """Groups by their names."""
        return {"groups": [*self.names], "ends": self.ends, "besides": self.besides, "times": self.times}


def stem(name: str) -> str:
    """The name of a group without its number among others of the same name."""
    before, _, number = name.rpartition(" ")
    return before if before and number.isdecimal() else name


def repeat(warp: Warp, name: str | None = None) -> PatternRepeat | None:
    """The groups that repeat: those called so, else the ones with most ends; None where none do.

    Several that follow each other by turns are one repeat. Raises PlanError where no group is called so.
    """
    if name:
        return _called(warp, name)
    if len(warp.groups) == 1:
        return PatternRepeat(warp, 0, 1, 1)
    return max(_repeats(warp), key=lambda found: (found.ends * found.times, -found.together), default=None)


def _called(warp: Warp, name: str) -> PatternRepeat:
    names = [stem(group.name) if group.name != name else name for group in warp.groups]
    if name not in names:
        known = ", ".join([*dict.fromkeys(names)][:MOST_NAMES])
        raise PlanError("there is no group {name!r}; the groups are: {names}", name=name, names=known)
    start = names.index(name)
    kind = _kind(_within(warp, start))
    run = takewhile(lambda n: names[n] == name and _kind(_within(warp, n)) == kind, range(start, len(names)))
    return PatternRepeat(warp, start, 1, len(list(run)))


def _repeats(warp: Warp) -> Iterator[PatternRepeat]:
    """Every stretch of groups that follow each other at least twice."""
    numbers: dict[object, int] = {}
    groups = [_within(warp, 0), *warp.groups[1:-1], _within(warp, len(warp.groups) - 1)]
    kinds = [numbers.setdefault(_kind(group), len(numbers)) for group in groups]
    for together in range(1, min(MOST_REPEATED_TOGETHER, len(kinds) // 2) + 1):
        start = 0
        for same, run in groupby(one == other for one, other in zip(kinds, kinds[together:], strict=False)):
            long = len(list(run))
            if same and long >= together:
                yield PatternRepeat(warp, start, together, long // together + 1)
            start += long


def _kind(group: Group) -> object:
    return group.ends, group.sley, group.empty_before, group.shares_dent


def _within(warp: Warp, number: int) -> Group:
    """A group without what it has because it lies at an edge: floating ends, and the outermost heddles doubled."""
    group = warp.groups[number]
    heddles = _in_heddles(group.ends)
    if number == 0:
        heddles = _without_edge(heddles)
    if number == len(warp.groups) - 1:
        heddles = _without_edge(heddles[::-1])[::-1]
    ends = tuple(end for heddle in heddles for end in heddle)
    return replace(group, ends=ends) if ends and ends != group.ends else group


def _in_heddles(ends: tuple[End, ...]) -> list[list[End]]:
    """Ends that lie in one heddle together; each floating one by itself."""
    heddles: list[list[End]] = []
    for end in ends:
        if end.joins and heddles:
            heddles[-1].append(end)
        else:
            heddles.append([end])
    return heddles


def _without_edge(heddles: list[list[End]]) -> list[list[End]]:
    """Where all are doubled, it is no edge."""
    within = list(dropwhile(lambda heddle: heddle[0].floats, heddles))
    doubled = sum(1 for _ in takewhile(lambda heddle: len(heddle) > 1, within))
    return [heddle[:1] for heddle in within[:doubled]] + within[doubled:] if doubled < len(within) else within


def imagined(unit: Unit, sett: float, count: str, ends: int, besides: int) -> PatternRepeat:
    """A warp of which no threading is known: a repeat of so many ends, and those beside it. Raises SequenceError."""
    if count:
        label(count)
    yarn, end = Yarn(WARP, count, count=count), End((1,), WARP)
    groups = [Group("", (end,) * number) for number in (ends, besides) if number]
    return PatternRepeat(Warp("", Loom(1), tuple(groups), sett=sett, unit=unit, yarns={WARP: yarn}), 0, 1, 1)


class WidthChoice(NamedTuple):
    """A number of repeats, and what it comes to."""

    times: int
    ends: int
    in_reed: float
    finished: float

    def as_json(self) -> dict[str, object]:
        """Every field by name."""
        return {**self._asdict(), "in_reed": round(self.in_reed, 4), "finished": round(self.finished, 4)}


def choices(of: PatternRepeat, wanted: Wishes) -> tuple[WidthChoice, ...]:
    """The number of repeats that comes nearest to the width wanted, and one repeat fewer and more, in order.

    Raises PlanError where the width of the warp is not known, or it would have too many ends.
    """
    width = wanted.width or 0.0
    most = (MOST_ENDS - of.besides) // of.ends

    @cache
    def choice(times: int) -> WidthChoice:
        warp = of.repeated(times)
        in_the_reed = _in_reed(warp)
        return WidthChoice(times, warp.ends, in_the_reed, finished_width(in_the_reed, wanted))

    least = of.least
    low = high = min(most, max(least, round(of.times * width / choice(of.times).finished)))  # about as wide
    step = 1
    while low > least and choice(low).finished >= width:
        low, step = max(least, low - step), 2 * step
    while high < most and choice(high).finished < width:
        high, step = min(most, high + step), 2 * step
    times = low + bisect_left(range(low, high + 1), width, key=lambda times: choice(times).finished)
    if times > most:
        raise PlanError("a cloth so wide takes more than {most:,} ends; look for a number wrong", most=MOST_ENDS)
    nearest = min((max(least, times - 1), times), key=lambda times: abs(choice(times).finished - width))
    return tuple(choice(times) for times in range(max(least, nearest - 1), min(most, nearest + 1) + 1))


def _in_reed(warp: Warp) -> float:
    lying = in_reed(warp)
    if lying is None:
        raise PlanError("the width is not known: write sett, or reed and sley, in the file")
    return lying.width


@dataclass(frozen=True, slots=True)
class ToBuy:
    """A yarn, the metres of it in warp and weft, 0 where it is not in it; None where they are not known."""

    key: str
    name: str
    warp: float | None
    weft: float | None
    per_kg: float | None
    label: Label | None
    put_up: PutUp | None

    @property
    def metres(self) -> float | None:
        """In all."""
        return None if self.warp is None or self.weft is None else self.warp + self.weft

    @property
    def grams(self) -> float | None:
        """What it weighs."""
        return grams(self.metres, self.per_kg)

    @property
    def put_ups(self) -> int | None:
        """How many skeins or cones."""
        sold = self.put_up
        needed, each = (self.metres, sold.metres) if sold and sold.metres else (self.grams, sold and sold.grams)
        return math.ceil(needed / each - 1e-9) if needed is not None and each else None

    def as_json(self) -> dict[str, object]:
        """Every field by name."""
        amounts = {"warp": self.warp, "weft": self.weft, "metres": self.metres, "grams": self.grams}
        rounded = {name: None if amount is None else round(amount, 1) for name, amount in amounts.items()}
        per_kg = None if self.per_kg is None else round(self.per_kg, 1)
        read = {"metres_per_kg": per_kg, **label_as_json(self.label)}
        return {"key": self.key, "name": self.name or NO_YARN, **rounded, **read, "put_ups": self.put_ups}


@dataclass(frozen=True, slots=True)
class ClothPlan:
    """The cloth that is wanted, and what it takes. Lengths are in the unit of the warp."""

    warp: Warp  # with as many repeats as come nearest to the width
    wanted: Wishes
    repeat: PatternRepeat | None  # None where no width is wanted, or nothing repeats
    choices: tuple[WidthChoice, ...]
    in_reed: float
    length: Length | None
    sett_of_weft: float | None  # picks per unit
    yarns: tuple[ToBuy, ...]
    cautions: tuple[Tell, ...]

    @property
    def finished(self) -> float:
        """How wide it comes to be."""
        return finished_width(self.in_reed, self.wanted)

    @property
    def picks(self) -> int | None:
        """In the whole warp, the sample included."""
        if self.length is None or self.sett_of_weft is None:
            return None
        return math.ceil(self.length.woven / SPAN[self.warp.unit] * self.sett_of_weft - 1e-9)

    @property
    def pick(self) -> float:
        """The weft in one pick: over the width in the reed, and what it loses in bending around the warp."""
        return self.in_reed / (1 - self.wanted.weft_take_up)

    def as_json(self) -> dict[str, object]:
        """All but the cautions, by name."""
        wanted, long = self.wanted, self.length
        widths = {"finished": self.finished, "woven": woven_width(self.finished, wanted), "in_reed": self.in_reed}
        return {
            "ends": self.warp.ends,
            **{name: round(width, 4) for name, width in widths.items()},
            "repeat": self.repeat.as_json() if self.repeat else None,
            "choices": [choice.as_json() for choice in self.choices],
            "length": {name: round(each, 4) for name, each in long._asdict().items()} if long else None,
            "picks": self.picks,
            "pick": round(self.pick, 4),
            "yarns": [yarn.as_json() for yarn in self.yarns],
        }


def cloth_plan(warp: Warp, wanted: Wishes, of: PatternRepeat | None = None) -> ClothPlan:
    """What the cloth that is wanted takes, of a warp whose `of` may be repeated more or less often.

    Without a width wanted, or anything that repeats, it is the warp as it stands. Raises PlanError, SequenceError.
    """
    found = choices(of, wanted) if of and wanted.width else ()
    near = min(found, key=lambda choice: abs(choice.finished - (wanted.width or 0.0)), default=None)
    chosen = of.repeated(near.times) if of and near else warp
    plan = ClothPlan(
        warp=chosen,
        wanted=wanted,
        repeat=of if found else None,
        choices=found,
        in_reed=near.in_reed if near else _in_reed(warp),
        length=length(wanted),
        sett_of_weft=wanted.picks or warp.sett,
        yarns=(),
        cautions=(),
    )
    weft = _weft(warp, wanted)
    doubt = label(weft.count) if weft.key == WEFT and weft.count else None
    told = (in_doubt(doubt, weft.count, weft.name),) if doubt and doubt.other else ()
    return replace(plan, yarns=tuple(_to_buy(plan, weft)), cautions=told)


def _weft(warp: Warp, wanted: Wishes) -> Yarn:
    """The yarn of the file that is named, else one of its own."""
    if wanted.weft in warp.yarns:
        return warp.yarns[wanted.weft]
    return Yarn(WEFT, wanted.weft, count=wanted.weft)


def _to_buy(plan: ClothPlan, weft: Yarn) -> Iterator[ToBuy]:
    """The yarns of the warp, the most used first, and that of the weft."""
    wanted, metres = plan.wanted, METRES[plan.warp.unit]
    wound = plan.length.warp * metres if plan.length else None
    picked = plan.picks * plan.pick * metres if plan.picks is not None else None
    used = yarn_plans(plan.warp, wound, {beam.key: beam.metres for beam in beam_plans(plan.warp, wanted)})
    for yarn in used:
        in_weft = picked if yarn.key == weft.key else 0.0
        yield ToBuy(yarn.key, yarn.name, yarn.metres, in_weft, yarn.per_kg, yarn.label, wanted.put_up)
    if weft.key not in [yarn.key for yarn in used] and picked is not None:
        read = label(weft.count) if weft.count and weft.metres_per_kg is None else None
        sold = wanted.weft_put_up
        yield ToBuy(weft.key, weft.name, 0.0, picked, metres_per_kg(weft), read, sold)
