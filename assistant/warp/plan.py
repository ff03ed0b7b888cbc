"""The arithmetic before a thread is cut."""

from collections import Counter
from collections.abc import Iterable

from assistant.warp.model import End, Warp


def heddles(ends: Iterable[End]) -> dict[int, int]:
    """Shaft -> heddles the ends take, in the order of the shafts; an end takes one on each of its shafts."""
    needed: Counter[int] = Counter()
    for shafts, ends_there in Counter(end.shafts for end in ends).items():
        for shaft in shafts:
            needed[shaft] += ends_there
    return dict(sorted(needed.items()))


def heddle_cautions(warp: Warp) -> tuple[str, ...]:
    """A line for each shaft with fewer heddles on the loom than the warp takes; shafts not counted are left out."""
    counted = warp.loom.heddles
    return tuple(
        f"shaft {shaft} needs {needed} heddles, the loom has {counted[shaft]}: {needed - counted[shaft]} missing"
        for shaft, needed in heddles(warp.every_end()).items()
        if shaft in counted and needed > counted[shaft]
    )
