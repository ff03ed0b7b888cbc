"""Plan -> HTML, one page for each job."""

from collections.abc import Sequence
from pathlib import Path

from assistant.cards import JOBS
from assistant.cards.contents import blocks, marks, spare
from assistant.errors import CardError
from assistant.layouts import layouts
from assistant.warp.lengths import per_unit, plain, with_unit
from assistant.warp.plan.whole import Plan, unequal_dents
from assistant.warp.reed import reed_dents, written

LAYOUT = Path(__file__).with_name("layout")


def cards(plan: Plan, jobs: Sequence[str] = (), per_call: int | None = None) -> str:
    """One HTML document with a card for each job, all three when none is named.

    The sley card is left out where nothing is known of the reed. Raises CardError for a job without a card.
    """
    for job in jobs:
        if job not in JOBS:
            raise CardError(f"there is no card for {job}; there are cards for {', '.join(JOBS)}")
    if "sley" in jobs and not plan.dented:
        raise CardError("there is no sley plan for a card; write reed, with sett or sley, in the file")
    shown = [job for job in jobs or JOBS if job != "sley" or plan.dented]
    layout = layouts(LAYOUT)
    layout.filters |= {"plain": plain, "spare": spare, "written": written}
    width = plan.reed_width
    return layout.get_template("cards.html").render(
        plan=plan,
        warp=plan.warp,
        jobs=shown,
        blocks=blocks(plan, per_call),
        lying=plan.dented,
        marks=marks(plan, plan.dented) if plan.dented else [],
        unequal=unequal_dents(plan.dented) if plan.dented else [],
        reed_dents=reed_dents(plan.dented, width) if plan.dented and width else None,
        long=lambda length: with_unit(length, plan.unit),
        per_unit=lambda sett: per_unit(sett, plan.unit),
        paper="letter" if plan.unit == "inch" else "A4",
    )
