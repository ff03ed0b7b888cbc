"""What stands on the cards: groups, those alike together, with calls and boxes to tick; marks along the reed."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from assistant.errors import CardError
from assistant.meaning import Tell
from assistant.paper.plan import named
from assistant.warp.lengths import long
from assistant.warp.model import End, Warp
from assistant.warp.passes import THREAD, Call
from assistant.warp.passes.thread import FLOATING, InHeddle, written, yarn
from assistant.warp.plan.whole import Plan
from assistant.warp.plan.work import alike
from assistant.warp.reed import InReed
from assistant.words.phrases import Phrases

MOST_MARKS = 40  # along the reed
MOST_ON_CARD = 20_000  # on a card
STEPS = {"inch": (1, 2, 5, 10, 20, 50), "cm": (2, 5, 10, 20, 50, 100)}


@dataclass(frozen=True, slots=True)
class Tick:
    """A box to tick when a group is done, and the ends, and dents in use, that are then done in all."""

    name: str
    ends: int
    dent: int | None
    shared: bool  # the next group begins in this dent


@dataclass(frozen=True, slots=True)
class Row:
    """One call: what is counted in the group once it is threaded, and a yarn and the shafts for each heddle.

    A yarn stands only where it changes; ends that float stand where they hang.
    """

    counted: int
    ends: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Block:
    """A group, or several alike that follow each other: what to do in each, and their boxes.

    Where the same was written further up, `like` names it and there are no rows.
    """

    name: str
    ends: int
    times: int
    heddles: tuple[tuple[int, int], ...]  # shaft and count
    like: str
    rows: tuple[Row, ...]
    ticks: tuple[Tick, ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """How far along the warp, the dent that ends there, and the ends up to it."""

    distance: Tell
    dent: int
    ends: int


def blocks(plan: Plan, per_call: int | None, phrases: Phrases) -> list[Block]:
    """The groups in order, those alike together. Raises CardError where they are too many for paper."""
    warp = plan.warp
    if warp.ends > MOST_ON_CARD:
        raise CardError(
            "{ends:,} ends are too many for a card; the most is {most:,}",
            ends=warp.ends,
            most=MOST_ON_CARD,
        )
    runs, ticks = list(alike(warp.groups)), _ticks(plan)
    written: dict[tuple[End, ...], str] = {}
    names = [phrases.worded(named(run.name, run.until)) for run in runs]
    likes = [written.setdefault(warp.groups[run.first].ends, name) for run, name in zip(runs, names, strict=True)]
    rows: dict[int, list[Row]] = {
        run.first: [] for run, name, like in zip(runs, names, likes, strict=True) if like == name
    }
    for call in THREAD.calls(warp, per_call):
        if call.group in rows:
            rows[call.group].append(_row(warp, call))
    return [
        Block(
            name=name,
            ends=run.ends,
            times=run.times,
            heddles=tuple(plan.groups[run.first].heddles.items()),
            like="" if run.first in rows else like,
            rows=tuple(rows.get(run.first, ())),
            ticks=_short(ticks[run.first : run.first + run.times]),
        )
        for run, name, like in zip(runs, names, likes, strict=True)
    ]


def _ticks(plan: Plan) -> list[Tick]:
    """A box for every group."""
    so_far = accumulate(group.ends for group in plan.groups)
    return [_tick(plan, group.name, ends) for group, ends in zip(plan.groups, so_far, strict=True)]


def _tick(plan: Plan, name: str, ends: int) -> Tick:
    if plan.dented is None:
        return Tick(name, ends, None, False)
    dent = plan.dented.dent(ends)
    return Tick(name, ends, dent, ends < plan.warp.ends and plan.dented.dent(ends + 1) == dent)


def _short(ticks: Sequence[Tick]) -> tuple[Tick, ...]:
    """The boxes of one block, named by their numbers alone where all else in their names is the same."""
    names = [tick.name.rpartition(" ") for tick in ticks]
    same = (
        len({stem for stem, _, _ in names}) == 1
        and len(ticks) > 1
        and all(number.isdecimal() for _, _, number in names)
    )
    return tuple(replace(tick, name=name[2]) if same else tick for tick, name in zip(ticks, names, strict=True))


def _row(warp: Warp, call: Call[InHeddle]) -> Row:
    before = _yarn(warp, call.before) if call.before else ""
    ends: list[tuple[str, str]] = []
    for unit in call.units:
        ends += [("", FLOATING)] * unit.floating_before
        ends.append((now if (now := _yarn(warp, unit)) != before else "", written(unit)))
        ends += [("", FLOATING)] * unit.floating_after
        before = now
    return Row(call.start + len(call.units), tuple(ends))


def _yarn(warp: Warp, unit: InHeddle) -> str:
    """Its key, which is short; "" where the warp has but one yarn."""
    return yarn(unit) if len(warp.yarns) > 1 else ""


def marks(plan: Plan, lying: InReed) -> list[Mark]:
    """Where to look whether dents and ends still agree: every inch or 2 cm, or wider on a wide warp."""
    steps = STEPS[plan.unit]
    step = next((step for step in steps if lying.width / step <= MOST_MARKS), lying.width / MOST_MARKS)
    number = int(lying.width / step + 1e-9)
    dents = [(step * n, lying.dent_at(step * n)) for n in range(1, number + 1)]
    return [
        Mark(long(round(distance, 1), plan.unit), dent, lying.held(dent).stop - 1) for distance, dent in dents if dent
    ]
