"""A warp as it is told in other units: sett, reed and widths are; what is threaded and sleyed stays as it is."""

from dataclasses import replace

from assistant.warp.lengths import METRES, SPAN
from assistant.warp.model import Unit, Warp
from assistant.warp.reed import in_reed


def told_in(warp: Warp, unit: Unit) -> Warp:
    """The same warp. Raises PlanError where it cannot lie in its reed."""
    if warp.unit == unit:
        return warp
    lying, loom = in_reed(warp), warp.loom
    longer = METRES[warp.unit] / METRES[unit]
    denser = SPAN[unit] / SPAN[warp.unit] / longer
    reed = replace(loom, reed=_times(loom.reed, denser), reed_width=_times(loom.reed_width, longer))
    sley = lying.sley.repeat if lying and lying.has_dents else warp.sley
    return replace(warp, loom=reed, sett=_times(warp.sett, denser), unit=unit, sley=sley)


def _times(measure: float | None, times: float) -> float | None:
    return measure * times if measure else None
