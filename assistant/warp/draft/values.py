"""A draft as it was read, and how it lies on the loom."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from assistant.errors import DraftError
from assistant.meaning import Tell, runs
from assistant.warp.model import MOST_SHAFTS, Edge, End, Group, Loom, Unit, Warp, Yarn
from assistant.warp.notation import Shafts

AT_AN_EDGE = 8  # ends shown of each edge
MOST_LISTED = 6  # ends or shafts named in one warning
WHOLE = "threading"  # what the one group of a warp is called before groups are proposed


@dataclass(frozen=True, slots=True)
class Draft:
    """The threading of a draft; its end 1 lies at the edge that the weaver says. Warnings say what was odd about it."""

    title: str
    shafts: int
    ends: tuple[End, ...]
    yarns: Mapping[str, Yarn]
    sett: float | None  # ends in an inch, or in 10 cm where the unit is cm
    unit: Unit
    warnings: tuple[Tell, ...]


def to_warp(draft: Draft, start: Edge) -> Warp:
    """The draft on the loom, its end 1 at this edge, all ends in one group."""
    groups = (Group(WHOLE, draft.ends),)
    return Warp(draft.title, Loom(draft.shafts), groups, start, draft.sett, draft.unit, yarns=draft.yarns)


def edges(draft: Draft, start: Edge) -> tuple[Tell, Tell]:
    """The outermost ends at the left and at the right, each in the order in which they lie, left to right."""
    ends, first, last = draft.ends, 1, len(draft.ends)
    if start == "right":
        ends, first, last = ends[::-1], last, first
    left, right = _in_words(ends[:AT_AN_EDGE], draft.yarns), _in_words(ends[-AT_AN_EDGE:], draft.yarns)
    if len(ends) > AT_AN_EDGE:
        left, right = f"{left} …", f"… {right}"
    return Tell("left edge", end=first, ends=left), Tell("right edge", end=last, ends=right)


def threaded(of_ends: Sequence[Shafts], declared: int | None, file: str, said: list[Tell]) -> tuple[list[int], int]:
    """The indices of the ends that are threaded, and the shafts of the loom; whatever is odd is added to `said`.

    `of_ends` holds the shafts of every end, () where it is not threaded; `declared` how many shafts the draft says.
    """
    there = [index for index, shafts in enumerate(of_ends) if shafts]
    if not there:
        raise DraftError("no end of this draft is threaded", "look whether it is a threading at all", file=file)
    if len(there) < len(of_ends):
        bare = [index + 1 for index, shafts in enumerate(of_ends) if not shafts]
        said.append(Tell("ends not threaded", ends=runs(bare, MOST_LISTED), left_out=len(bare), of=len(of_ends)))
    used = {shaft for shafts in set(of_ends) for shaft in shafts}
    highest = max(used)
    if highest > MOST_SHAFTS:
        what, todo = "there is an end on shaft {shaft}", "the most shafts are {most}"
        raise DraftError(what, todo, file=file, shaft=highest, most=MOST_SHAFTS)
    if declared is None:
        said.append(Tell("shafts not said", used=highest))
    elif declared < highest:
        said.append(Tell("more shafts than said", said=declared, used=highest))
    elif declared > MOST_SHAFTS:
        said.append(Tell("too many shafts said", said=declared, used=highest))
        declared = highest
    shafts = max(declared or 0, highest)
    if empty := [shaft for shaft in range(1, shafts + 1) if shaft not in used]:
        said.append(Tell("shafts without ends", shafts=runs(empty, MOST_LISTED)))
    return there, shafts


def _in_words(ends: Sequence[End], yarns: Mapping[str, Yarn]) -> str:
    """The shafts of the ends, the yarn named before each stretch of one."""
    stretches = []
    for key, stretch in groupby(ends, lambda end: end.yarn):
        shafts = " ".join("/".join(map(str, end.shafts)) for end in stretch)
        stretches.append(f"{_yarn(yarns[key])} {shafts}" if key else shafts)
    return ", ".join(stretches)


def _yarn(yarn: Yarn) -> str:
    return f"{yarn.name} ({yarn.colour})" if yarn.colour else yarn.name
