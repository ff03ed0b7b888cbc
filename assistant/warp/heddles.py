"""Heddles: how many each shaft needs, how many are missing, and where to push the spare ones."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from assistant.meaning import Tell
from assistant.warp.model import End, Warp


@dataclass(frozen=True, slots=True)
class ShaftPlan:
    """One shaft; what depends on the heddles it has is None where nobody counted them."""

    shaft: int
    needed: int
    on_loom: int | None
    missing: int | None
    left: int | None  # spare heddles to push to the left of the warp, seen from the front
    right: int | None
    runs_out: str = ""  # the group in which the heddles come to an end

    def as_json(self) -> dict[str, int | None]:
        """The counts by name."""
        return {name: getattr(self, name) for name in ("needed", "on_loom", "missing", "left", "right")}


def heddles(ends: Iterable[End]) -> dict[int, int]:
    """Shaft -> heddles the ends take, in the order of the shafts.

    An end takes one on each of its shafts, but none of its own where it joins the one before it, or floats.
    """
    needed: Counter[int] = Counter()
    for shafts, ends_there in Counter(end.shafts for end in ends if not end.joins).items():
        for shaft in shafts:
            needed[shaft] += ends_there
    return dict(sorted(needed.items()))


def heddle_cautions(warp: Warp) -> tuple[Tell, ...]:
    """For each shaft with fewer heddles on the loom than the warp takes; shafts not counted are left out."""
    counted = warp.loom.heddles
    return tuple(
        Tell("too few heddles", shaft=shaft, needed=needed, counted=counted[shaft], count=needed - counted[shaft])
        for shaft, needed in heddles(warp.every_end()).items()
        if shaft in counted and needed > counted[shaft]
    )


def shaft_plans(warp: Warp) -> tuple[ShaftPlan, ...]:
    """Every shaft that is needed or was counted."""
    needed, counted = heddles(warp.every_end()), warp.loom.heddles
    leans = _leans(warp)
    return tuple(
        _shaft_plan(warp, shaft, needed.get(shaft, 0), counted.get(shaft), leans[shaft])
        for shaft in sorted(needed.keys() | counted.keys())
    )


def _shaft_plan(warp: Warp, shaft: int, needed: int, on_loom: int | None, lean: float) -> ShaftPlan:
    if on_loom is None:
        return ShaftPlan(shaft, needed, None, None, None, None)
    left, right = level(max(0, on_loom - needed), lean)
    out = _runs_out(warp, shaft, on_loom) if on_loom < needed else ""
    return ShaftPlan(shaft, needed, on_loom, max(0, needed - on_loom), left, right, out)


def level(spare: int, lean: float) -> tuple[int, int]:
    """Spare heddles to push left and right, so that the shaft weighs the same on both sides of its centre.

    The spare ones hang at the edges of the warp. `lean` is how many heddles at the right edge would pull the shaft
    down as much as the threaded ones do; below 0 they pull at the left edge.
    """
    left = round((spare + lean) / 2 - 1e-9)
    left = min(spare, max(0, left))
    return left, spare - left


def _leans(warp: Warp) -> dict[int, float]:
    """Shaft -> its heddles, each by how far right of the centre it hangs, in halves of the warp's width."""
    ends = warp.ends
    places: defaultdict[int, int] = defaultdict(int)  # in half ends from the centre, towards the last end
    for at, end in enumerate(warp.every_end()):
        for shaft in () if end.joins else end.shafts:
            places[shaft] += 2 * at + 1 - ends
    rightwards = 1 if warp.start == "left" else -1
    return defaultdict(float, {shaft: rightwards * place / ends for shaft, place in places.items()})


def _runs_out(warp: Warp, shaft: int, on_loom: int) -> str:
    """The name of the first group for which the heddles on a shaft are too few."""
    left = on_loom
    for group in warp.groups:
        left -= heddles(group.ends).get(shaft, 0)
        if left < 0:
            return group.name
    return ""
