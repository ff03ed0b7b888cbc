"""A plan -> lines to read, in the weaver's language, and JSON for another program."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from textwrap import wrap

from assistant.meaning import Tell
from assistant.paper import cloth
from assistant.paper.cloth import ends_told, warp_is_long, weighs
from assistant.warp.heddles import ShaftPlan
from assistant.warp.lengths import long, of_yarn, per
from assistant.warp.model import Warp
from assistant.warp.passes.order import ORDERS
from assistant.warp.passes.pace import Time, estimated
from assistant.warp.plan.whole import Plan
from assistant.warp.plan.work import Section, alike
from assistant.warp.plan.yarn import YarnPlan
from assistant.warp.reed import InReed, Start, reed_dents
from assistant.warp.sett import ReedChoice, Sley
from assistant.words.language import Language, load
from assistant.words.phrases import Phrases

LINE = 100  # characters a line, of the ends in sections
MOST_NAMED = 5  # groups that lie alike
HAIR = 0.005  # ends per unit: what two decimals do not show


def as_json(plan: Plan) -> dict[str, object]:
    """The plan by name, with its cautions, which another program reads in English."""
    english = _phrases(load("en"))
    return {**plan.as_json(), "cautions": [english.told(caution) for caution in plan.cautions]}


def lines(plan: Plan, language: Language) -> list[str]:
    """The plan for reading: a heading, then indented lines, for each part of which something is known."""
    phrases, warp = _phrases(language), plan.warp
    parts: tuple[tuple[str, Iterable[Tell | str]], ...] = (
        ("cloth", cloth.lines(plan.cloth, plan.metres) if plan.cloth else ()),
        ("heddles", _heddles(plan) if plan.threaded else ()),
        ("groups", _groups(plan) if plan.threaded else ()),
        ("reed", _reed(plan)),
        ("reeds", _reeds(plan)),
        ("beams", _beams(plan)),
        ("yarn", _yarn(plan)),
        ("sections", _sections(plan, phrases)),
        ("times", _times(plan)),
        ("obstacles", plan.obstacles),
        ("advice", plan.advice),
    )
    heading = f"plan from {warp.start}" if plan.threaded else "plan of cloth"
    found = [phrases.text(heading, title=warp.title, ends=ends_told(warp.ends))]
    for part, tells in parts:
        told = [f"  {phrases.worded(tell)}" for tell in tells]
        found += ["", phrases.text(f"part {part}"), *told] if told else []
    return found


def _phrases(language: Language) -> Phrases:
    return Phrases.read(language, "plan", "paper", "screen", "phrases")


def _heddles(plan: Plan) -> Iterator[Tell]:
    for shaft in plan.shafts:
        yield Tell("of shaft", shaft=f"{shaft.shaft:2}", told=_needs(shaft))
    yield Tell("heddles in all", needed=sum(shaft.needed for shaft in plan.shafts))


def _needs(shaft: ShaftPlan) -> Tell:
    """What one shaft needs, has, lacks or has to spare."""
    if shaft.on_loom is None:
        return Tell("heddles uncounted", needed=shaft.needed)
    needed, there = shaft.needed, shaft.on_loom
    if shaft.missing:
        return Tell("heddles missing", needed=needed, on_loom=there, missing=shaft.missing, group=shaft.runs_out)
    return Tell("heddles to spare", needed=needed, on_loom=there, left=shaft.left, right=shaft.right)


def _groups(plan: Plan) -> Iterator[Tell]:
    for run in alike(plan.warp.groups):
        needed = plan.groups[run.first].heddles
        by_shaft = tuple(Tell("heddles on", heddles=count, shaft=shaft) for shaft, count in needed.items())
        heddles = Tell("told of", name=ends_told(run.ends, run.times > 1), told=by_shaft)
        yield Tell("told of", name=named(run.name, run.until), told=heddles)


def named(first: str, until: str) -> Tell | str:
    """What to call groups that stand together: "edge", "stripe 1 to 10", or "right edge to stripe 1"."""
    return Tell("first to last", first=first, last=until) if until else first


def _reed(plan: Plan) -> Iterator[Tell]:
    lying, sett = plan.lying, plan.warp.sett
    if lying is None or plan.start is None:
        yield Tell("width not known")
        return
    yield Tell("width in the reed", width=long(lying.width, plan.unit))
    if plan.warp_faced and plan.closest:
        yield Tell("warp-faced", sett=per(lying.sett(plan.unit), plan.unit), twill=round(plan.closest.twill))
    if not lying.has_dents:
        if plan.threaded:
            yield Tell("by the sett alone")
    else:
        yield from _dents(plan, lying)
        by_sett = plan.width_by_sett
        if sett and by_sett and long(by_sett, plan.unit) != long(lying.width, plan.unit):
            yield Tell("by the sett of", sett=per(sett, plan.unit), width=long(by_sett, plan.unit))
    yield from _begin(plan, lying, plan.start)


def _dents(plan: Plan, lying: InReed) -> Iterator[Tell]:
    dents = Tell("dents", count=lying.dents, number=lying.dents)
    yield Tell("dents of a reed", dents=dents, reed=per(plan.warp.loom.reed or 0, plan.unit), sley=sleyed(lying.sley))
    given, sett = per(lying.sett(plan.unit), plan.unit), plan.warp.sett
    if not sett or given != per(sett, plan.unit):
        yield Tell("gives a sett", sett=given)
    yield from own_sleys(plan.warp)
    yield from unequal(lying)


def _begin(plan: Plan, lying: InReed, start: Start) -> Iterator[Tell]:
    edge = plan.warp.start
    if start.first_dent is not None:
        dents = reed_dents(lying, plan.reed_width or 0)
        yield Tell(f"first end in dent from {edge}", dent=start.first_dent, dents=dents)
    yield Tell(f"first end {edge} of centre", distance=long(start.from_centre, plan.unit))


def sleyed(sley: Sley) -> Tell | str:
    """A repeat as weavers write it: "2-2-3", or so many in each dent."""
    if len(set(sley.repeat)) == 1:
        return Tell("in each dent", number=sley.repeat[0])
    return "-".join(map(str, sley.repeat))


def own_sleys(warp: Warp) -> list[Tell]:
    """The edges and groups that lie by a sley of their own."""
    edges = (("first ends", warp.first_edge), ("last ends", warp.last_edge))
    first, last = (
        [Tell("told of", name=Tell(key, count=edge.ends), told=sleyed(Sley(edge.sley)))] if edge else []
        for key, edge in edges
    )
    names: dict[tuple[int, ...], list[str]] = {}
    for group in warp.groups:
        names.setdefault(group.sley, []).append(group.name)
    names.pop((), None)
    groups = [Tell("told of", name=_some(those), told=sleyed(Sley(sley))) for sley, those in names.items()]
    return [*first, *groups, *last]


def _some(names: Sequence[str]) -> tuple[str, ...]:
    """Of many the first few and the last."""
    return tuple(names) if len(names) <= MOST_NAMED else (*names[: MOST_NAMED - 1], "…", names[-1])


def unequal(lying: InReed) -> list[Tell]:
    """Where the dents do not all hold the same, how many hold how much."""
    filled = lying.filled
    if len(filled) == 1:
        return []
    return [
        Tell("dents crammed" if held > lying.usual else "dents with" if held else "dents left empty",
             count=dents, held=held)
        for held, dents in filled.items()
    ]  # fmt: skip


def _reeds(plan: Plan) -> Iterator[Tell]:
    for choice in plan.reeds:
        yield _choice(choice, plan)
    if plan.reeds and plan.closest:
        plain_weave, twill = round(plan.closest.plain_weave), round(plan.closest.twill)
        yield Tell("lies closest", plain_weave=plain_weave, twill=twill)


def _choice(choice: ReedChoice, plan: Plan) -> Tell:
    off = 0.0 if abs(choice.off) < HAIR else choice.off
    key = "reed choice over" if off > 0 else "reed choice under" if off else "reed choice"
    sett = per(choice.sett, plan.unit)
    return Tell(key, reed=choice.reed, sley=sleyed(choice.sley), sett=sett, off=abs(choice.off))


def _yarn(plan: Plan) -> Iterator[Tell]:
    wanted, unit = plan.wanted, plan.unit
    if plan.cloth is None:
        if plan.metres is not None:
            yield warp_is_long(wanted, plan.metres, unit)
        for yarn in plan.yarns:
            yield Tell("told of", name=yarn.name or Tell("yarn not given"), told=tuple(_amounts(plan, yarn)))
    tied, waste = long(wanted.waste_tied, unit), long(wanted.waste, unit)
    yield Tell("tying saves", saved=_saved(plan), tied=tied, waste=waste)


def _beams(plan: Plan) -> Iterator[Tell]:
    """How many ends each beam takes, and how long its warp is, and what of that is lost."""
    for beam in plan.beams:
        told = [ends_told(beam.ends)]
        if beam.metres is not None:
            told.append(Tell("beam is long", length=of_yarn(beam.metres, plan.unit), take_up=100 * beam.take_up))
        yield Tell("told of", name=beam.name or Tell("no beam"), told=tuple(told))


def _amounts(plan: Plan, yarn: YarnPlan) -> Iterator[Tell]:
    """How many ends of it, and where they are known its length and weight."""
    yield ends_told(yarn.ends)
    if yarn.metres is not None:
        yield of_yarn(yarn.metres, plan.unit)
    yield from weighs(yarn.grams, yarn.per_kg, yarn.label)


def _saved(plan: Plan) -> Tell:
    yarn, seconds = of_yarn(plan.tying.metres, plan.unit), plan.tying.seconds
    if seconds <= 0:
        return Tell("saved yarn", yarn=yarn)
    return Tell("saved yarn and time", yarn=yarn, time=estimated(seconds))


def _sections(plan: Plan, phrases: Phrases) -> Iterator[Tell | str]:
    """How many and how wide; and the ends in each, which may go over several lines."""
    if not plan.sections:
        return
    first, last = (long(section.width, plan.unit) for section in (plan.sections[0], plan.sections[-1]))
    yield Tell("sections of", sections=len(plan.sections), width=first, last=last)
    counts = _in_each(plan.sections)
    yield from wrap(phrases.text(f"ends in each from {plan.warp.start}", counts=counts), LINE)
    width, counts = long(plan.lashed[0].width, plan.unit), _in_each(plan.lashed)
    yield from wrap(phrases.text("lashed on", sections=len(plan.lashed), width=width, counts=counts), LINE)


def _in_each(sections: Iterable[Section]) -> tuple[Tell | int, ...]:
    """The ends in each, equal neighbours together."""
    runs = [(ends, len(list(run))) for ends, run in groupby(section.ends for section in sections)]
    return tuple(Tell("times so many", times=times, ends=ends) if times > 1 else ends for ends, times in runs)


def _times(plan: Plan) -> Iterator[Tell]:
    yield from map(_time, plan.times)
    in_all = sum(time.seconds for time in plan.times if time.job in ORDERS[plan.warping])
    yield Tell("takes in all", order=Tell(f"order {plan.warping}"), time=estimated(in_all))


def _time(time: Time) -> Tell:
    key = "takes at your pace" if time.own else "takes by common practice"
    return Tell(key, job=Tell(f"job {time.job}"), time=estimated(time.seconds))
