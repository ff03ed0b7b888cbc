"""Threading: every end through a heddle on its shaft."""

from collections.abc import Iterator, Sequence

from assistant.warp.model import End, Warp
from assistant.warp.passes.colours import changed, yarn_name
from assistant.warp.passes.walk import Call, Figure, Item, Pass, Size, chunks
from assistant.warp.plan import heddle_cautions


def _units(warp: Warp, _: int) -> Iterator[Sequence[End]]:
    return (group.ends for group in warp.groups)


def _tell(warp: Warp, call: Call[End]) -> Sequence[Item]:
    """The shafts of each end on the beat, a yarn where it changes."""
    items: list[Item] = []
    before = call.before.yarn if call.before else None
    for number, end in enumerate(call.units, call.first):
        items += changed(warp, end.yarn, before)
        before = end.yarn
        shafts = "/".join(map(str, end.shafts))
        caption = f"{number} {yarn_name(warp, end.yarn)}".rstrip()
        items.append(Item("shafts", {"shafts": end.shafts}, (Figure(shafts, caption),), beat=True, written=shafts))
    return items


def _listed(ends: Sequence[End]) -> list[list[int]]:
    return [list(end.shafts) for end in ends]


THREAD = Pass(
    name="thread",
    about="thread a warp by voice and foot, from where it was left",
    unit="end",
    size=Size("--per-call", "call at most N ends at once", 4, 12),
    units=_units,
    cut=chunks,
    tell=_tell,
    listed=_listed,
    cautions=heddle_cautions,
)
