"""Beams: how many ends are wound on each, and how long, where not all are wound alike."""

from collections import Counter
from dataclasses import dataclass, replace

from assistant.warp.lengths import METRES
from assistant.warp.model import Beam, Warp
from assistant.warp.plan.wishes import Wishes
from assistant.warp.plan.yarn import YarnPlan, warp_length, yarn_plans


@dataclass(frozen=True, slots=True)
class BeamPlan:
    """One beam, or the ends that are on none, its name "" then; metres of its warp, None where that is not known."""

    key: str
    name: str
    ends: int
    metres: float | None
    take_up: float

    def as_json(self) -> dict[str, object]:
        """Every field by name, the take-up in per cent."""
        metres = None if self.metres is None else round(self.metres, 1)
        return {
            "key": self.key, "name": self.name, "ends": self.ends, "metres": metres,
            "take_up": round(100 * self.take_up, 1),
        }  # fmt: skip


def beam_plans(warp: Warp, wanted: Wishes) -> tuple[BeamPlan, ...]:
    """Each beam in use, in the order of the file; none where all is wound alike."""
    used = Counter(end.beam for end in warp.every_end())
    if not any(used):
        return ()
    beams = {"": Beam("", ""), **warp.beams}
    return tuple(_beam(beam, used[key], warp, wanted) for key, beam in beams.items() if key in used)


def _beam(beam: Beam, ends: int, warp: Warp, wanted: Wishes) -> BeamPlan:
    """As long as the file says, else as the cloth wanted takes."""
    take_up = wanted.take_up if beam.take_up is None else beam.take_up
    metres = beam.metres
    if metres is None and wanted.cloth:
        metres = warp_length(wanted.cloth, take_up, wanted.shrinkage, wanted.waste) * METRES[warp.unit]
    return BeamPlan(beam.key, beam.name, ends, metres, take_up)


def yarn_by_beam(warp: Warp, beams: tuple[BeamPlan, ...], metres: float | None) -> tuple[YarnPlan, ...]:
    """Every yarn of the warp, over all beams; `metres` where all is wound alike."""
    if not beams:
        return yarn_plans(warp, metres)
    parts = [part for beam in beams for part in yarn_plans(_on(warp, beam.key), beam.metres)]
    found: dict[str, YarnPlan] = {}
    for part in parts:
        found[part.key] = _together(found[part.key], part) if part.key in found else part
    return tuple(sorted(found.values(), key=lambda plan: -plan.ends))


def _on(warp: Warp, beam: str) -> Warp:
    """What of a warp is on one beam."""
    ends = ((group, tuple(end for end in group.ends if end.beam == beam)) for group in warp.groups)
    return replace(warp, groups=tuple(replace(group, ends=held) for group, held in ends if held))


def _together(one: YarnPlan, other: YarnPlan) -> YarnPlan:
    def both(a: float | None, b: float | None) -> float | None:
        return None if a is None or b is None else a + b

    return replace(
        one, ends=one.ends + other.ends, metres=both(one.metres, other.metres), grams=both(one.grams, other.grams)
    )
