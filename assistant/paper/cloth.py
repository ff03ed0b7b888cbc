"""The cloth that is wanted, to read: from its width to ends, from its length to the warp, and what yarn to buy."""

from collections.abc import Iterator

from assistant.meaning import Tell
from assistant.warp.counts import Label
from assistant.warp.lengths import long, of_yarn, per
from assistant.warp.model import Unit
from assistant.warp.plan.cloth import ClothPlan, ToBuy, WidthChoice, width_in_reed, woven_width
from assistant.warp.plan.wishes import Wishes


def ends_told(number: int, each: bool = False) -> Tell:
    """How many ends, altogether or each."""
    return Tell("ends each" if each else "ends", count=number, number=number)


def weighs(grams: float | None, per_kg: float | None, label: Label | None) -> Iterator[Tell]:
    """The weight, where it is known, and by which count it is reckoned."""
    if grams is not None and per_kg is not None:
        yield Tell("grams", number=round(grams))
        if label:
            yield Tell("by count", written=label.read.written, metres=round(per_kg))


def warp_is_long(wanted: Wishes, metres: float, unit: Unit) -> Tell:
    """The length of the warp, and how it comes to be."""
    return Tell("warp is long", length=of_yarn(metres, unit), parts=tuple(_parts(wanted, unit)))


def _parts(wanted: Wishes, unit: Unit) -> Iterator[Tell]:
    cloth = long(wanted.cloth or 0.0, unit)
    yield Tell("pieces of", count=wanted.pieces, length=cloth) if wanted.pieces > 1 else Tell("of cloth", length=cloth)
    if wanted.hem:
        yield Tell("hems of", length=long(wanted.hem, unit))
    yield Tell("shrinks by", part=100 * wanted.shrinkage)
    if wanted.sample:
        yield Tell("to sample", length=long(wanted.sample, unit))
    yield Tell("taken up", part=100 * wanted.take_up)
    if wanted.fringe:
        yield Tell("fringes of", length=long(wanted.fringe, unit))
    yield Tell("of loom waste", length=long(wanted.waste, unit))


def lines(plan: ClothPlan, metres: float | None) -> Iterator[Tell]:
    """Width, ends, length of the warp in metres, picks and yarn, each with how it comes to be."""
    wanted, unit = plan.wanted, plan.warp.unit
    yield from _width(plan)
    if plan.length and metres is not None:
        yield warp_is_long(wanted, metres, unit)
    if plan.length and plan.picks is not None and plan.sett_of_weft:
        key = "picks" if wanted.picks else "picks as ends"
        woven = long(plan.length.woven, unit)
        yield Tell(key, count=plan.picks, number=plan.picks, sett=per(plan.sett_of_weft, unit), woven=woven)
        in_reed, part = long(plan.in_reed, unit), 100 * wanted.weft_take_up
        yield Tell("weft of a pick", length=long(plan.pick, unit), in_reed=in_reed, part=part)
    for yarn in plan.yarns if plan.length else ():
        yield Tell("told of", name=yarn.name or Tell("yarn not given"), told=tuple(_bought(yarn, unit)))


def _width(plan: ClothPlan) -> Iterator[Tell]:
    wanted, unit, repeat = plan.wanted, plan.warp.unit, plan.repeat
    if wanted.width:
        yield Tell(
            "cloth is wide",
            finished=long(wanted.width, unit),
            woven=long(woven_width(wanted.width, wanted), unit),
            shrinkage=100 * wanted.width_shrinkage,
            in_reed=long(width_in_reed(wanted.width, wanted), unit),
            draw_in=100 * wanted.draw_in,
        )
    if repeat is None:
        told = _comes_to(WidthChoice(1, plan.warp.ends, plan.in_reed, plan.finished), unit)
        yield Tell("nothing repeats" if wanted.width else "as it stands", told=told)
        return
    groups = repeat.names
    ends, besides = ends_told(repeat.ends), ends_told(repeat.besides)
    if groups:
        yield Tell("repeats of groups", groups=groups, ends=ends, besides=besides)
    elif repeat.ends > 1 or repeat.besides:
        yield Tell("repeats of ends", ends=ends, besides=besides)
    for choice in plan.choices:
        told = _comes_to(choice, unit)
        if groups or repeat.ends > 1:
            told = Tell("choice of repeats", count=choice.times, told=told)
        yield Tell("nearest", told=told) if choice.ends == plan.warp.ends else told
    if groups:
        [times] = [choice.times for choice in plan.choices if choice.ends == plan.warp.ends]
        key = "times are right" if times == repeat.times else "write times"
        yield Tell(key, times=times, groups=groups, now=repeat.times)


def _comes_to(choice: WidthChoice, unit: Unit) -> Tell:
    in_reed, finished = long(choice.in_reed, unit), long(choice.finished, unit)
    return Tell("choice comes to", ends=ends_told(choice.ends), in_reed=in_reed, finished=finished)


def _bought(yarn: ToBuy, unit: Unit) -> Iterator[Tell]:
    """Its length in warp and weft, in all where it is in both, its weight, and how many skeins or cones."""
    parts = (("of warp", yarn.warp), ("of weft", yarn.weft))
    known = [(key, metres) for key, metres in parts if metres]
    yield from (Tell(key, length=of_yarn(metres, unit)) for key, metres in known)
    if len(known) > 1 and yarn.metres is not None:
        yield Tell("in all", length=of_yarn(yarn.metres, unit))
    yield from weighs(yarn.grams, yarn.per_kg, yarn.label)
    if yarn.put_ups is not None and yarn.put_up:
        yield Tell("put-ups", count=yarn.put_ups, number=yarn.put_ups, each=yarn.put_up.written)
