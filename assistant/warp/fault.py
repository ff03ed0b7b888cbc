"""A fault seen in the cloth, at an end: what hangs around it, what each likely cause looks like, and what mends it.

What a cause looks like follows from the threading, so far as that tells: two ends side by side on the same shafts weave
as one. Without tie-up and treadling no float can be reckoned; what is said of floats, gaps and the ways to mend them is
common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from assistant.meaning import Tell
from assistant.warp.locate import Spot, spot
from assistant.warp.model import Edge, Warp
from assistant.warp.notation import Ends, Shafts
from assistant.warp.reed import InReed, in_reed

AROUND = 3  # ends to each side that are told


class Advance(StrEnum):
    """How far the work has come."""

    THREADED = "threaded"  # through heddles and reed, and not tied on in front
    TIED = "tied"  # on in front, nothing woven
    WOVEN = "woven"  # some centimetres


class Cause(StrEnum):
    """A mistake that shows as a fault in the cloth."""

    WRONG_SHAFT = "wrong shaft"
    SWAPPED = "ends swapped"
    MISSING = "end missing"
    DOUBLED = "end doubled"
    DENT_SKIPPED = "dent skipped"
    DENT_DOUBLED = "dent doubled"
    CROSSED = "ends crossed"  # between heddles and reed


IN_HEDDLES = (Cause.WRONG_SHAFT, Cause.SWAPPED)  # of an end that floats neither can be
IN_REED = (Cause.DENT_SKIPPED, Cause.DENT_DOUBLED, Cause.CROSSED)
SHIFTING = (Cause.MISSING, Cause.DOUBLED, Cause.DENT_SKIPPED, Cause.DENT_DOUBLED)


@dataclass(frozen=True, slots=True)
class Moved:
    """Ends to sley anew where all on one side of the fault move by a dent, or by an end."""

    right: int  # those to the right of it
    left: int

    @property
    def nearer(self) -> Edge:
        """The edge from which fewer move; the right where there are as many."""
        return "right" if self.right <= self.left else "left"

    @property
    def fewest(self) -> int:
        """Ends that move from there."""
        return min(self.right, self.left)


@dataclass(frozen=True, slots=True)
class Suspect:
    """A cause, what the eye sees of it, what is to be done in order, and the ends that come out or move for it."""

    cause: Cause
    signs: tuple[Tell, ...]
    steps: tuple[Tell, ...]
    taken_out: int  # ends, beside those that move
    moved: Moved | None = None  # where the reed has to be set right, too

    def as_json(self) -> dict[str, object]:
        """Signs by their keys, with what they hold."""
        moved = self.moved and {"right": self.moved.right, "left": self.moved.left, "nearer": self.moved.nearer}
        signs = [{"sign": sign.phrase.removeprefix("sign: "), **sign.places} for sign in self.signs]
        return {"cause": self.cause.value, "signs": signs, "taken_out": self.taken_out, "moved": moved}


@dataclass(frozen=True, slots=True)
class Fault:
    """The ends around a place as they should hang, in the order of the file, and the causes, likely ones first."""

    at: Spot
    around: tuple[Spot, ...]
    stage: Advance
    suspects: tuple[Suspect, ...]

    def as_json(self) -> dict[str, object]:
        """All of it."""
        return {
            "end": self.at.as_json(),
            "stage": self.stage.value,
            "around": [each.as_json() for each in self.around],
            "causes": [each.as_json() for each in self.suspects],
        }


def fault(warp: Warp, at: Spot, stage: Advance) -> Fault:
    """What may be wrong at an end, and what to do; of the reed only where its dents are known."""
    lying = in_reed(warp)
    around = range(max(1, at.end - AROUND), min(warp.ends, at.end + AROUND) + 1)
    impossible = (*(() if at.shafts else IN_HEDDLES), *(() if lying and lying.has_dents else IN_REED))
    causes = [cause for cause in Cause if cause not in impossible]
    ends = [tuple(sorted(end.shafts)) for end in warp.every_end()]
    suspects = (
        Suspect(cause, _signs(cause, ends, at, warp), _steps(cause, at, stage, moved), _taken_out(cause), moved)
        for cause in causes
        for moved in (_moved(cause, at, warp, lying),)
    )
    return Fault(at, tuple(spot(warp, lying, number) for number in around), stage, tuple(suspects))


def _taken_out(cause: Cause) -> int:
    match cause:
        case Cause.WRONG_SHAFT | Cause.DOUBLED:
            return 1
        case Cause.SWAPPED | Cause.CROSSED:
            return 2
        case _:
            return 0


def _moved(cause: Cause, at: Spot, warp: Warp, lying: InReed | None) -> Moved | None:
    """The ends on either side: of a gap or a crowded dent, those before the dent and from it on."""
    if cause not in SHIFTING or lying is None or not lying.has_dents or at.dent is None:
        return None
    before, after = at.end - 1, warp.ends - at.end
    if cause in IN_REED:
        held = lying.held(at.dent)
        before = held.start - 1 or held.stop - 1
        after = warp.ends - before
    return Moved(before, after) if warp.start == "right" else Moved(after, before)


# What the eye sees.


def _signs(cause: Cause, ends: Sequence[Shafts], at: Spot, warp: Warp) -> tuple[Tell, ...]:
    lone = _left_as(cause, ends, at.end)
    doubled = tuple(Tell("sign: doubled line", shafts=shafts) for shafts in _side_by_side(lone)) if lone else ()
    match cause:
        case Cause.WRONG_SHAFT:
            return (*_like_a_neighbour(ends, at.end, warp.loom.shafts), Tell("sign: float"))
        case Cause.SWAPPED:
            return doubled or (Tell("sign: step"),)
        case Cause.MISSING:
            return (*(doubled or (Tell("sign: step"),)), Tell("sign: gap"))
        case Cause.DOUBLED:
            return (*doubled, Tell("sign: crowded"))
        case Cause.DENT_SKIPPED:
            return (Tell("sign: gap"), Tell("sign: pattern whole"))
        case Cause.DENT_DOUBLED:
            return (Tell("sign: crowded"), Tell("sign: pattern whole"))
        case Cause.CROSSED:
            return (Tell("sign: rubs"), Tell("sign: step"))


def _left_as(cause: Cause, ends: Sequence[Shafts], end: int) -> tuple[Ends, Ends] | None:
    """The ends around as they should hang, and as this cause leaves them."""
    low, high = max(0, end - 1 - AROUND), end + AROUND
    due, at = tuple(ends[low:high]), end - 1 - low
    match cause:
        case Cause.MISSING:
            return due, (*due[:at], *due[at + 1 :])
        case Cause.DOUBLED:
            return due, (*due[: at + 1], *due[at:])
        case Cause.SWAPPED if at + 1 < len(due):
            return due, (*due[:at], due[at + 1], due[at], *due[at + 2 :])
        case Cause.SWAPPED if at:
            return due, (*due[: at - 1], due[at], due[at - 1], *due[at + 1 :])
        case _:
            return None


def _side_by_side(left: tuple[Ends, Ends]) -> list[Shafts]:
    """The shafts on which two ends lie side by side that should not."""
    due, is_ = ([one for one, other in pairwise(ends) if one and one == other] for ends in left)
    return sorted({shafts for shafts in is_ if is_.count(shafts) > due.count(shafts)})


def _like_a_neighbour(ends: Sequence[Shafts], end: int, shafts: int) -> tuple[Tell, ...]:
    """On which single shafts an end would weave as one with a neighbour."""
    beside = {ends[at] for at in (end - 2, end) if 0 <= at < len(ends)} - {ends[end - 1]}
    like = sorted(each[0] for each in beside if len(each) == 1 and each[0] <= shafts)
    return (Tell("sign: like a neighbour", shafts=tuple(like)),) if like else ()


# What mends it.


def _steps(cause: Cause, at: Spot, stage: Advance, moved: Moved | None) -> tuple[Tell, ...]:
    if cause in (Cause.DENT_SKIPPED, Cause.DENT_DOUBLED):
        free = () if stage is Advance.THREADED else (Tell("step: free in front"),)
        return (*free, *_resley("step: sley anew", moved))
    shafts = tuple(sorted(at.shafts))
    match cause:
        case Cause.WRONG_SHAFT:
            mend = Tell("step: string heddle", shafts=shafts)
        case Cause.SWAPPED:
            mend = Tell("step: both anew")
        case Cause.MISSING if not shafts:
            mend = Tell("step: new floating end")
        case Cause.MISSING:
            mend = Tell("step: new end of yarn" if at.yarn else "step: new end", shafts=shafts, yarn=at.yarn)
        case Cause.DOUBLED:
            mend = Tell("step: take out")
        case _:
            mend = Tell("step: uncross")
    fasten = () if cause is Cause.DOUBLED or stage is Advance.THREADED else (Tell(f"step: fasten {stage}"),)
    return (*_begin(stage), mend, *fasten, *_resley("step: sley anew where full", moved))


def _begin(stage: Advance) -> tuple[Tell, ...]:
    return () if stage is Advance.THREADED else (Tell(f"step: begin {stage}"),)


def _resley(phrase: str, moved: Moved | None) -> tuple[Tell, ...]:
    if moved is None:
        return ()
    edge = Tell(f"edge {moved.nearer}")
    other = moved.left if moved.nearer == "right" else moved.right
    return (Tell(phrase, count=moved.fewest, edge=edge, other=other),)
