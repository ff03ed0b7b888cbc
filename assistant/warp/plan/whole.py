"""The whole plan of a warp, as values: what to know before a thread is cut."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp.heddles import ShaftPlan, heddle_cautions, heddles, shaft_plans
from assistant.warp.lengths import METRES, SPAN, per
from assistant.warp.model import Unit, Warp, Warping
from assistant.warp.passes import TIE
from assistant.warp.passes.order import SPARED_BY_TYING, USUAL
from assistant.warp.passes.pace import Time
from assistant.warp.plan.beams import BeamPlan, beam_cautions, beam_plans
from assistant.warp.plan.cloth import ClothPlan, PatternRepeat, cloth_plan, repeat
from assistant.warp.plan.length import length
from assistant.warp.plan.wishes import Wishes, wishes
from assistant.warp.plan.work import LASHED_SECTION, USUAL_SECTION, Section, sections, times, usual_width
from assistant.warp.plan.yarn import (
    Closest,
    YarnPlan,
    closest,
    is_warp_faced,
    label_cautions,
    sett_cautions,
    yarn_plans,
)
from assistant.warp.reed import InReed, Start, in_reed, sley_cautions, start, width_cautions
from assistant.warp.sett import WITHIN, ReedChoice, rank_reeds


@dataclass(frozen=True, slots=True)
class GroupPlan:
    """A group, and the heddles it takes by shaft."""

    name: str
    ends: int
    heddles: dict[int, int]
    sley: tuple[int, ...]  # its own; () where it lies as the warp

    def as_json(self) -> dict[str, object]:
        """Every field by name; no sley where it has none of its own."""
        own = {"sley": list(self.sley)} if self.sley else {}
        return {"name": self.name, "ends": self.ends, "heddles": _by_shaft(self.heddles), **own}


@dataclass(frozen=True, slots=True)
class Tying:
    """What tying a further warp to the old one saves."""

    metres: float  # of yarn
    seconds: float  # of work; negative where it takes longer


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything to know before a thread is cut. Widths are in `unit`; None is what the file does not tell."""

    warp: Warp
    groups: tuple[GroupPlan, ...]
    shafts: tuple[ShaftPlan, ...]
    lying: InReed | None
    start: Start | None
    wanted: Wishes
    metres: float | None  # length of the warp
    beams: tuple[BeamPlan, ...]  # none where all is wound alike
    yarns: tuple[YarnPlan, ...]
    tying: Tying
    sections: tuple[Section, ...]  # to tie on
    lashed: tuple[Section, ...]  # the same, to lash on
    warping: Warping
    times: tuple[Time, ...]
    closest: Closest | None
    reeds: tuple[ReedChoice, ...]
    cloth: ClothPlan | None  # where one is wanted
    threaded: bool  # a threading is known; else the warp is imagined, with nothing but its ends
    obstacles: tuple[Tell, ...]  # why the loom cannot take the warp as it stands
    advice: tuple[Tell, ...]

    @property
    def unit(self) -> Unit:
        """Inch or cm."""
        return self.warp.unit

    @property
    def fits(self) -> bool:
        """Whether the loom can take the warp as it stands."""
        return not self.obstacles

    @property
    def cautions(self) -> tuple[Tell, ...]:
        """Obstacles first, then advice."""
        return self.obstacles + self.advice

    @property
    def reed_width(self) -> float | None:
        """As wished, else as the file has it, in the unit."""
        return self.wanted.reed_width or self.warp.loom.reed_width

    @property
    def width_by_sett(self) -> float | None:
        """What the sett alone gives, in the unit."""
        return self.warp.ends / self.warp.sett * SPAN[self.unit] if self.warp.sett else None

    @property
    def warp_faced(self) -> bool:
        """Whether the sett is that of a cloth in which the warp covers the weft."""
        return is_warp_faced(self.closest, self.lying.sett(self.unit) if self.lying else None)

    @property
    def dented(self) -> InReed | None:
        """How the warp lies in the dents, where the reed is known."""
        return self.lying if self.lying and self.lying.has_dents else None

    def as_json(self) -> dict[str, object]:
        """All but reeds and cautions, by name; None and [] where the file does not tell."""
        dented = self.dented
        return {
            "ends": self.warp.ends,
            "groups": [group.as_json() for group in self.groups],
            "heddles": {str(shaft.shaft): shaft.as_json() for shaft in self.shafts} if self.threaded else {},
            "width": round(self.lying.width, 4) if self.lying else None,
            "unit": self.unit,
            "dents": dented.dents if dented else None,
            "first_dent": self.start.first_dent if self.start else None,
            "from_centre": round(self.start.from_centre, 4) if self.start else None,
            "sley": list(dented.sley.repeat) if dented else [],
            "warp_faced": self.warp_faced,
            "cloth": self.cloth.as_json() if self.cloth else None,
            "beams": [beam.as_json() for beam in self.beams],
            "yarns": [yarn.as_json() for yarn in self.yarns],
            "sections": [section.as_json() for section in self.sections],
            "lashed": [section.as_json() for section in self.lashed],
            "times": [time.as_json() for time in self.times],
        }


def plan(warp: Warp, wanted: Wishes | None = None, usual: Warping = USUAL, repeated: str | None = None) -> Plan:
    """The plan of a warp, dressed in the `usual` order where the file names none.

    Where a cloth is wanted, the groups called `repeated`, else those that repeat, are what there may be more of. Raises
    PlanError where a number of the file or of the wishes cannot be, SequenceError for a count of the wishes.
    """
    wanted = wanted or wishes(warp.unit)
    cloth = cloth_plan(warp, wanted, repeat(warp, repeated)) if wanted.of_cloth or repeated else None
    return _plan(warp, wanted, usual, cloth, threaded=True)


def plan_cloth(of: PatternRepeat, wanted: Wishes, usual: Warping = USUAL) -> Plan:
    """The plan of a warp that is imagined, for the cloth that is wanted. Raises as `plan` does."""
    cloth = cloth_plan(of.warp, wanted, of)
    return _plan(cloth.warp, wanted, usual, cloth, threaded=False)


def _plan(warp: Warp, wanted: Wishes, usual: Warping, cloth: ClothPlan | None, threaded: bool) -> Plan:
    if wanted.reeds and not warp.sett:
        raise PlanError("there is no sett to rank reeds for; write sett in the file")
    lying, shafts = in_reed(warp), shaft_plans(warp)
    reed_width = wanted.reed_width or warp.loom.reed_width
    long = length(wanted)
    metres = long.warp * METRES[warp.unit] if long else None
    needed = sum(shaft.needed for shaft in shafts)
    beams = beam_plans(warp, wanted)
    warping = warp.warping or usual
    known_times = times(warp.ends, needed, warping, wanted.paces)
    dented = lying if lying and lying.has_dents else None
    groups = warp.groups if threaded else ()
    return Plan(
        warp=warp,
        groups=tuple(GroupPlan(group.name, len(group.ends), heddles(group.ends), group.sley) for group in groups),
        shafts=shafts,
        lying=lying,
        start=start(lying, reed_width if dented else None) if lying else None,
        wanted=wanted,
        metres=metres,
        beams=beams,
        yarns=yarn_plans(warp, metres, {beam.key: beam.metres for beam in beams}),
        tying=_tying(warp, wanted, known_times),
        sections=sections(lying, wanted.section or usual_width(lying, USUAL_SECTION[warp.unit])) if lying else (),
        lashed=sections(lying, usual_width(lying, LASHED_SECTION[warp.unit])) if lying else (),
        warping=warping,
        times=known_times,
        closest=closest(warp),
        reeds=rank_reeds(warp.sett, wanted.reeds) if warp.sett else (),
        cloth=cloth,
        threaded=threaded,
        obstacles=(*_too_few_shafts(warp), *heddle_cautions(warp), *width_cautions(warp, wanted.reed_width)),
        advice=(
            *_sett_by_sley(warp, lying),
            *sley_cautions(warp),
            *sett_cautions(warp, lying.sett(warp.unit) if lying else None),
            *label_cautions(warp),
            *beam_cautions(beams, warp, wanted),
            *(_of_cloth(cloth, warp, wanted) if cloth else ()),
        ),
    )


def _of_cloth(cloth: ClothPlan, warp: Warp, wanted: Wishes) -> Iterator[Tell]:
    """What is doubtful about the cloth that is wanted: its labels, and its width where the file has another."""
    yield from cloth.cautions
    if cloth.warp.ends != warp.ends:
        yield from width_cautions(cloth.warp, wanted.reed_width)


def _tying(warp: Warp, wanted: Wishes, known: Sequence[Time]) -> Tying:
    """The knots take the place of tying on at the front, and the old ends keep their heddles and dents."""
    seconds = {time.job: time.seconds for time in known}
    afresh = sum(seconds[job] for job in SPARED_BY_TYING)
    shorter = max(0.0, wanted.waste - wanted.waste_tied) * METRES[warp.unit]
    return Tying(warp.ends * shorter, afresh - seconds[TIE.name])


def _too_few_shafts(warp: Warp) -> Iterator[Tell]:
    most = max((shaft for shafts in {end.shafts for end in warp.every_end()} for shaft in shafts), default=0)
    if most > warp.loom.shafts:
        yield Tell("too few shafts", highest=most, shafts=warp.loom.shafts)


def _sett_by_sley(warp: Warp, lying: InReed | None) -> Iterator[Tell]:
    """That the sley of the file does not give its sett, within half an end an inch."""
    if warp.sley and warp.sett and lying and lying.has_dents:
        given = lying.sett(warp.unit)
        if abs(given - warp.sett) / SPAN[warp.unit] * METRES["inch"] > WITHIN * METRES[warp.unit]:
            yield Tell("sett contradicted", asked=per(warp.sett, warp.unit), given=per(given, warp.unit))


def _by_shaft(heddles: dict[int, int]) -> dict[str, int]:
    return {str(shaft): count for shaft, count in heddles.items()}
