"""Threading: every end through a heddle on its shaft."""

from collections.abc import Iterator, Sequence

from assistant.meaning import Tell
from assistant.warp.heddles import heddle_cautions
from assistant.warp.model import End, Warp
from assistant.warp.notation import Shafts
from assistant.warp.passes.colours import one_by_one
from assistant.warp.passes.walk import USUAL_PACE, Call, Figure, Item, Pass, Size, chunks


def shafts(end: End) -> Shafts:
    """Those of an end, the lowest first: as it is looked at, whatever the order in the file."""
    return tuple(sorted(end.shafts))


def _units(warp: Warp, _: int) -> Iterator[Sequence[End]]:
    return (group.ends for group in warp.groups)


def _tell(warp: Warp, call: Call[End]) -> Sequence[Item]:
    return one_by_one(warp, call, _item)


def _item(end: End, caption: Tell) -> Item:
    """The shafts of an end, on the beat."""
    written = "/".join(map(str, end.shafts))
    return Item(
        Tell("shafts", beat=True, shafts=end.shafts), (Figure(written, caption, _keys(end), end.shafts),), written
    )


def _keys(end: End) -> tuple[str, ...]:
    return (end.yarn,) if end.yarn else ()


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
    shafts=shafts,
    listed=_listed,
    cautions=heddle_cautions,
    pace=USUAL_PACE,
)
