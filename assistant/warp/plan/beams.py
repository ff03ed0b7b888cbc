"""Beams: how many ends are wound on each, and how long, where not all are wound alike."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assistant.meaning import Tell
from assistant.warp.lengths import METRES, of_yarn
from assistant.warp.model import Beam, Warp
from assistant.warp.plan.length import length
from assistant.warp.plan.wishes import Wishes

ROUNDED = 0.1  # metres, to which lengths are told


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
    metres = _taken(take_up, warp, wanted) if beam.metres is None else beam.metres
    return BeamPlan(beam.key, beam.name, ends, metres, take_up)


def _taken(take_up: float, warp: Warp, wanted: Wishes) -> float | None:
    """The metres that the cloth wanted takes of a beam; None where no length is wanted."""
    long = length(wanted, take_up)
    return long.warp * METRES[warp.unit] if long else None


def beam_cautions(beams: Sequence[BeamPlan], warp: Warp, wanted: Wishes) -> Iterator[Tell]:
    """Each beam with less on it than the cloth wanted takes."""
    for beam in beams:
        needed = _taken(beam.take_up, warp, wanted)
        if beam.metres is not None and needed is not None and beam.metres < needed - ROUNDED:
            long, taken = of_yarn(beam.metres, warp.unit), of_yarn(needed, warp.unit)
            yield Tell("beam too short", beam=beam.name, length=long, needed=taken)
