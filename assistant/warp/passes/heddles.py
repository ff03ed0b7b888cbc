"""Counting out heddles: on each shaft as many as a group takes, pushed together where it will be threaded."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp.heddles import heddle_cautions, heddles
from assistant.warp.model import Warp
from assistant.warp.passes.walk import Call, Figure, Item, Pass, Size, chunks


def _units(warp: Warp, _: int) -> Iterator[Sequence[int]]:
    """A shaft for each heddle, shaft by shaft. Raises PlanError where every end floats."""
    needed = [heddles(group.ends) for group in warp.groups]
    if not any(needed):
        raise PlanError("every end of this warp floats; there is no heddle to thread")
    return ([shaft for shaft, count in shafts.items() for _ in range(count)] for shafts in needed)


def _cut(shafts: Sequence[int], size: int) -> Iterator[Sequence[int]]:
    for _, alike in groupby(shafts):
        yield from chunks(list(alike), size)


def _tell(warp: Warp, call: Call[int]) -> Sequence[Item]:
    shaft, count = call.units[0], len(call.units)
    told = "more heddles" if call.before == shaft else "heddles"
    figures = Figure(f"{count}×", Tell(f"caption: {told}")), Figure(str(shaft), Tell("caption: shaft"), shafts=(shaft,))
    return [Item(Tell(told, shaft=shaft, count=count), figures)]


HEDDLES = Pass(
    name="heddles",
    about="count out the heddles each group takes, shaft by shaft",
    unit="heddle",
    from_bundle=False,
    size=Size("--per-call", "count out at most N heddles at once", 20, 100),
    units=_units,
    cut=_cut,
    tell=_tell,
    pace=1.5,
    cautions=heddle_cautions,
)
