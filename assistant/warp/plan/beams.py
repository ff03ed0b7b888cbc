"""Beams: how many ends are wound on each, and how long, where not all are wound alike."""

from collections import Counter
from dataclasses import dataclass

from assistant.warp.lengths import METRES
from assistant.warp.model import Beam, Warp
from assistant.warp.plan.length import length
from assistant.warp.plan.wishes import Wishes


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
    metres, long = beam.metres, length(wanted, take_up)
    if metres is None and long:
        metres = long.warp * METRES[warp.unit]
    return BeamPlan(beam.key, beam.name, ends, metres, take_up)
