"""Warp and wishes -> Plan."""

from collections.abc import Iterator, Sequence

from assistant.errors import PlanError
from assistant.warp.heddles import heddle_obstacles, heddles, shaft_plans
from assistant.warp.lengths import METRES, per_unit
from assistant.warp.model import Warp
from assistant.warp.passes import TIE
from assistant.warp.plan.whole import GroupPlan, Plan, Tying
from assistant.warp.plan.wishes import Wishes, wishes
from assistant.warp.plan.work import Time, sections, times, usual_width
from assistant.warp.plan.yarn import closest, label_cautions, sett_cautions, warp_length, yarn_plans
from assistant.warp.reed import WITHIN, InReed, in_reed, rank_reeds, start, too_wide


def plan(warp: Warp, wanted: Wishes | None = None) -> Plan:
    """The plan of a warp. Raises PlanError where a number of the file or of the wishes cannot be."""
    wanted = wanted or wishes(warp.unit)
    if wanted.reeds and not warp.sett:
        raise PlanError("there is no sett to rank reeds for; write sett in the file")
    lying, shafts = in_reed(warp), shaft_plans(warp)
    reed_width = wanted.reed_width or warp.loom.reed_width
    length = warp_length(wanted.cloth, wanted.take_up, wanted.shrinkage, wanted.waste) if wanted.cloth else None
    metres = length * METRES[warp.unit] if length else None
    known_times = times(warp.ends, sum(shaft.needed for shaft in shafts), wanted.paces)
    dented = lying if lying and lying.has_dents else None
    return Plan(
        warp=warp,
        groups=tuple(GroupPlan(group.name, len(group.ends), heddles(group.ends)) for group in warp.groups),
        shafts=shafts,
        lying=lying,
        start=start(lying, reed_width if dented else None) if lying else None,
        wanted=wanted,
        metres=metres,
        yarns=yarn_plans(warp, metres),
        tying=_tying(warp, wanted, known_times),
        sections=sections(lying, wanted.section or usual_width(lying, warp.unit)) if lying else (),
        times=known_times,
        closest=closest(warp),
        reeds=rank_reeds(warp.sett, wanted.reeds) if warp.sett else (),
        obstacles=(*_too_few_shafts(warp), *heddle_obstacles(warp), *too_wide(warp, lying, reed_width)),
        advice=(
            *_sett_by_sley(warp, lying),
            *sett_cautions(warp, lying.sett(warp.unit) if lying else None),
            *label_cautions(warp),
        ),
    )


def _tying(warp: Warp, wanted: Wishes, known: Sequence[Time]) -> Tying:
    """The knots take the place of tying on at the front, and the old ends keep their heddles and dents."""
    seconds = {time.job: time.seconds for time in known}
    afresh = sum(seconds.get(job, 0) for job in TIE.instead_of)
    shorter = max(0.0, wanted.waste - wanted.waste_tied) * METRES[warp.unit]
    return Tying(warp.ends * shorter, afresh - seconds[TIE.name] if seconds.keys() >= set(TIE.instead_of) else None)


def _too_few_shafts(warp: Warp) -> Iterator[str]:
    most = max(max(shafts) for shafts in {end.shafts for end in warp.every_end()})
    if most > warp.loom.shafts:
        yield f"the threading uses shaft {most}, the loom has {warp.loom.shafts} shafts"


def _sett_by_sley(warp: Warp, lying: InReed | None) -> Iterator[str]:
    """A line where the sley of the file does not give its sett."""
    if warp.sley and warp.sett and lying and lying.has_dents:
        given = lying.sett(warp.unit)
        if abs(given - warp.sett) > WITHIN:
            asked, got = per_unit(warp.sett, warp.unit), per_unit(given, warp.unit)
            yield f"the sett is {asked}, reed and sley give {got}; widths go by reed and sley"
