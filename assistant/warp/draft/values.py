"""A draft as it was read, and how it lies on the loom."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

from assistant.errors import DraftError
from assistant.meaning import Tell, runs
from assistant.warp.model import MOST_SHAFTS, Edge, End, Group, Loom, Unit, Warp, Yarn
from assistant.warp.notation import Shafts, written
from assistant.warp.threads import Hung

AT_AN_EDGE = 8  # ends shown of each edge
MOST_LISTED = 6  # ends or shafts named in one warning
FEW_ON_A_SHAFT = 3  # ends on each of the other shafts, beyond which one used at the edges alone is striking
MOST_FLOATING = 2  # ends at either edge that are taken for floating ones where they are on no shaft
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


@dataclass(frozen=True, slots=True)
class AskedOf:
    """What a weaver says of a draft that may not say it itself; None where it is told from the draft, or guessed."""

    shafts: int | None = None  # of the loom
    floating: int | None = None  # ends that float at either edge
    doubled: int | None = None  # heddles at either edge with two ends each


AS_IT_IS = AskedOf()


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


def threaded(
    of_ends: Sequence[Shafts | None], declared: int | None, file: str, said: list[Tell], wish: AskedOf = AS_IT_IS
) -> tuple[list[int], list[Shafts], int]:
    """The indices of the ends that hang or float, their shafts, and the shafts of the loom; what is odd is `said`.

    `of_ends` holds the shafts of every end, () where it floats, None where it is not threaded; `declared` how many
    shafts the draft says.
    """
    found = _floating(of_ends, said, wish)
    there = [index for index, shafts in enumerate(found) if shafts is not None]
    used = {shaft for shafts in set(found) for shaft in shafts or ()}
    if not used:
        raise DraftError("no end of this draft is threaded", "look whether it is a threading at all", file=file)
    if len(there) < len(found):
        bare = [index + 1 for index, shafts in enumerate(found) if shafts is None]
        said.append(Tell("ends not threaded", ends=runs(bare, MOST_LISTED), left_out=len(bare), of=len(found)))
    highest = max(used)
    if highest > MOST_SHAFTS:
        what, todo = "there is an end on shaft {shaft}", "the most shafts are {most}"
        raise DraftError(what, todo, file=file, shaft=highest, most=MOST_SHAFTS)
    shafts = _shafts(declared, highest, file, said, wish)
    if empty := [shaft for shaft in range(1, shafts + 1) if shaft not in used]:
        said.append(Tell("shafts without ends", shafts=runs(empty, MOST_LISTED)))
    return there, [shafts for shafts in found if shafts is not None], shafts


def _floating(of_ends: Sequence[Shafts | None], said: list[Tell], wish: AskedOf) -> list[Shafts | None]:
    """The ends with those that float at the edges, as they are wished or, where they are on no shaft, guessed."""
    found = list(of_ends)
    right, left = (next((at for at, end in enumerate(side) if end is not None), 0) for side in (found, found[::-1]))
    count = wish.floating
    if count is None and right == left and 1 <= right <= MOST_FLOATING:
        count = right
        said.append(Tell("ends taken for floating", count=count))
    count = min(count or 0, len(found) // 2)
    found = [() if at < count or at >= len(found) - count else end for at, end in enumerate(found)]
    if not wish.floating and found and found[0] and found[-1]:
        times = Counter(shaft for end in found[1:-1] for shaft in end or ())
        alone = {*found[0], *found[-1]}
        if times and min(times.values()) > FEW_ON_A_SHAFT and not alone & times.keys():
            shafts = runs(sorted(alone), MOST_LISTED)
            said.append(Tell("edges alone on shafts", shafts=shafts))
    return found


def _shafts(declared: int | None, highest: int, file: str, said: list[Tell], wish: AskedOf) -> int:
    """How many the loom has: as wished, as declared, or the highest that is used."""
    if wish.shafts is not None:
        if wish.shafts < highest:
            what, todo = "there is an end on shaft {shaft}", "{option} is too few"
            raise DraftError(what, todo, file=file, shaft=highest, option=f"--shafts {wish.shafts}")
        return wish.shafts
    if declared is None:
        said.append(Tell("shafts not said", used=highest))
    elif declared < highest:
        said.append(Tell("more shafts than said", said=declared, used=highest))
    elif declared > MOST_SHAFTS:
        said.append(Tell("too many shafts said", said=declared, used=highest))
        declared = highest
    return max(declared or 0, highest)


def hung_together(ends: Sequence[End], file: str, said: list[Tell], wish: AskedOf) -> tuple[End, ...]:
    """The ends with those that share a heddle at the edges, as they are wished or, where they lie in pairs, guessed."""
    first, last = (next((at for at, end in enumerate(side) if end.shafts), 0) for side in (ends, ends[::-1]))
    inside = ends[first : len(ends) - last]
    if any(end.joins for end in ends):
        return tuple(ends)
    pairs = [_pairs(side) for side in (inside, inside[::-1])]
    count = wish.doubled
    if count is None:
        count = pairs[0] if pairs[0] == pairs[1] and _alone(inside, pairs[0]) else 0
        if count:
            said.append(Tell("ends taken for doubled", count=count))
    elif count > min(pairs) or 4 * count > len(inside):
        what, todo = "at the edges of this draft fewer heddles could have two ends each", "{option} is too many"
        raise DraftError(what, todo, file=file, option=f"--doubled {count}")
    joining = {first + 1 + 2 * at for at in range(count)} | {len(ends) - last - 1 - 2 * at for at in range(count)}
    known: dict[End, End] = {}
    return tuple(
        known.setdefault(end, replace(end, joins=True)) if at in joining else end for at, end in enumerate(ends)
    )


def _pairs(ends: Sequence[End]) -> int:
    """How many pairs of like ends lie at the beginning."""
    count = 0
    while ends[2 * count : 2 * count + 1] and ends[2 * count : 2 * count + 1] == ends[2 * count + 1 : 2 * count + 2]:
        count += 1
    return count


def _alone(ends: Sequence[End], pairs: int) -> bool:
    """Whether so many pairs at either edge are the only like ends beside each other."""
    middle = ends[2 * pairs : len(ends) - 2 * pairs]
    return len(middle) >= 4 * pairs and all(end.shafts != after.shafts for end, after in pairwise(middle))


def _in_words(ends: Sequence[End], yarns: Mapping[str, Yarn]) -> str:
    """The shafts of the ends, the yarn named before each stretch of one."""
    stretches = []
    for key, stretch in groupby(ends, lambda end: end.yarn):
        shafts = " ".join(written(Hung(end.shafts)) for end in stretch)
        stretches.append(f"{_yarn(yarns[key])} {shafts}" if key else shafts)
    return ", ".join(stretches)


def _yarn(yarn: Yarn) -> str:
    return f"{yarn.name} ({yarn.colour})" if yarn.colour else yarn.name
