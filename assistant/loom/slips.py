"""What a weaver's hands do wrong: each kind of mistake changes the steps, the bundle or the heddles counted out."""

import random
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from assistant.loom.harness import Due, Hanging, Harness, Shafts, WarpEnd

UNIT = range(2, 17)  # ends of a pattern unit


@dataclass(frozen=True)
class HandStep:
    """An end threaded: into the next heddles of these shafts, or where that says otherwise."""

    shafts: Shafts
    shared: bool = False  # into the eye of the end before
    no_eye: bool = False
    passing: int = 0  # so many heddles left empty before


@dataclass
class Work:
    """A group about to be threaded: what the hands will do, in what order they take the ends, what was counted out."""

    draft: tuple[Due, ...]
    calls: tuple[int, ...]  # where each begins, from 0
    shafts: int
    steps: list[HandStep]
    ends: list[WarpEnd]
    counted_out: Counter[int]

    @classmethod
    def of(cls, draft: Sequence[Due], calls: Sequence[int], shafts: int) -> "Work":
        """Without any mistake."""
        ends = [WarpEnd(float(place), due.yarn) for place, due in enumerate(draft, 1)]
        heddles = Counter(shaft for due in draft for shaft in due.shafts)
        return cls(tuple(draft), tuple(calls), shafts, [HandStep(due.shafts) for due in draft], ends, heddles)

    def done(self) -> tuple[Harness, int]:
        """The group threaded until steps or ends run out; ends left over (short: negative)."""
        loom = Harness(self.draft, dict(self.counted_out), [])
        for place, (step, end) in enumerate(zip(self.steps, self.ends, strict=False), 1):
            if step.shared and loom.hanging:
                loom.hanging.append(Hanging(end, loom.hanging[-1].heddles))
            else:
                loom.hang(place, end, () if step.no_eye else step.shafts, step.passing)
        loom.in_hand = sorted(self.ends[len(self.steps) :])
        return loom, len(self.ends) - len(self.steps)


Slipping = Callable[[Work, random.Random], bool]  # False where it cannot be made here


def skipped(work: Work, rng: random.Random) -> bool:
    return _leave_out(work, rng, 1)


def doubled(work: Work, rng: random.Random) -> bool:
    return _repeat(work, rng, 1)


def two_in_one(work: Work, rng: random.Random) -> bool:
    at = rng.randrange(len(work.steps))
    work.steps.insert(at + 1, replace(work.steps[at], shared=True))
    return True


def no_eye(work: Work, rng: random.Random) -> bool:
    at = rng.randrange(len(work.steps))
    work.steps[at] = replace(work.steps[at], no_eye=True)
    return True


def wrong_shaft(work: Work, rng: random.Random) -> bool:
    at = rng.randrange(len(work.steps))
    on = work.steps[at].shafts
    others = [shaft for shaft in range(1, work.shafts + 1) if shaft not in on]
    if not others or not on:
        return False
    given_up = rng.choice(on)
    work.steps[at] = HandStep(tuple(sorted((*(shaft for shaft in on if shaft != given_up), rng.choice(others)))))
    return True


def swapped(work: Work, rng: random.Random) -> bool:
    return _reorder(work, rng, 2, lambda unit: unit[::-1])


def rotated(work: Work, rng: random.Random) -> bool:
    return _reorder(work, rng, 3, lambda unit: [*unit[1:], unit[0]] if rng.random() < 0.5 else [unit[-1], *unit[:-1]])


def exchanged(work: Work, rng: random.Random) -> bool:
    length = rng.randint(3, max(3, min(24, len(work.steps))))
    return _reorder(work, rng, length, lambda unit: [unit[-1], *unit[1:-1], unit[0]])


def call_skipped(work: Work, rng: random.Random) -> bool:
    start, stop = _call(work, rng)
    return _leave_out(work, rng, stop - start, start)


def call_doubled(work: Work, rng: random.Random) -> bool:
    start, stop = _call(work, rng)
    return _repeat(work, rng, stop - start, start)


def call_backwards(work: Work, rng: random.Random) -> bool:
    start, stop = _call(work, rng)
    return _reorder(work, rng, stop - start, lambda unit: unit[::-1], start)


def unit_skipped(work: Work, rng: random.Random) -> bool:
    return _leave_out(work, rng, rng.choice(UNIT))


def unit_doubled(work: Work, rng: random.Random) -> bool:
    return _repeat(work, rng, rng.choice(UNIT))


def unit_mirrored(work: Work, rng: random.Random) -> bool:
    return _reorder(work, rng, rng.choice(UNIT), lambda unit: unit[::-1])


def heddle_empty(work: Work, rng: random.Random) -> bool:
    at = rng.randrange(len(work.steps))
    work.steps[at] = replace(work.steps[at], passing=1)
    return True


def crossed(work: Work, rng: random.Random) -> bool:
    at = rng.randrange(max(1, len(work.ends) - 1))
    if at + 1 >= len(work.ends):
        return False
    work.ends[at : at + 2] = work.ends[at : at + 2][::-1]
    return True


def wrong_colour(work: Work, rng: random.Random) -> bool:
    at = rng.randrange(len(work.ends))
    work.ends[at] = replace(work.ends[at], yarn="another")
    return True


def across_border(work: Work, rng: random.Random) -> bool:
    """A unit left out or threaded twice that begins in one group and ends in the next: its part in this one."""
    if len(work.steps) < UNIT.start:
        return False
    part = rng.randint(1, min(8, len(work.steps) - 1))
    start = rng.choice([0, len(work.steps) - part])
    return rng.choice([_leave_out, _repeat])(work, rng, part, start)


def across(one: Work, other: Work, rng: random.Random) -> bool:
    """A unit left out, threaded twice or backwards that begins in one group and ends in the next: both its parts."""
    before, after = (rng.randint(1, min(8, max(1, len(work.steps) - 1))) for work in (one, other))
    start = len(one.steps) - before
    if start < 1 or len(other.steps) <= after:
        return False
    match rng.choice([_leave_out, _repeat, None]):
        case None:
            unit = [*one.steps[start:], *other.steps[:after]]
            one.steps[start:], other.steps[:after] = unit[::-1][:before], unit[::-1][before:]
            return unit != unit[::-1]
        case each:
            return each(one, rng, before, start) and each(other, rng, after, 0)


def bundle_miscounted(work: Work, rng: random.Random) -> bool:
    off = rng.choice([-2, -1, -1, 1, 1, 2])
    if off < 0 and len(work.ends) + off < 1:
        return False
    last = work.ends[-1]
    more = [replace(last, behind=last.behind + further) for further in range(1, off + 1)]
    work.ends = work.ends[:off] if off < 0 else [*work.ends, *more]
    return True


def heddles_miscounted(work: Work, rng: random.Random) -> bool:
    work.counted_out[rng.choice(sorted(work.counted_out))] += rng.choice([-1, 1])
    return True


SLIPS: dict[str, Slipping] = {
    "skipped": skipped,
    "doubled": doubled,
    "two in one": two_in_one,
    "no eye": no_eye,
    "wrong shaft": wrong_shaft,
    "swapped": swapped,
    "rotated": rotated,
    "exchanged": exchanged,
    "call skipped": call_skipped,
    "call doubled": call_doubled,
    "call backwards": call_backwards,
    "unit skipped": unit_skipped,
    "unit doubled": unit_doubled,
    "unit mirrored": unit_mirrored,
    "heddle empty": heddle_empty,
    "crossed": crossed,
    "wrong colour": wrong_colour,
    "across border": across_border,
    "bundle miscounted": bundle_miscounted,
    "heddles miscounted": heddles_miscounted,
}


def slipped(work: Work, rng: random.Random, kinds: Sequence[str]) -> Iterator[str]:
    """Make mistakes of these kinds, one after the other; the kinds of those that could be made and left a mark."""
    for kind in kinds:
        before = (list(work.steps), list(work.ends), work.counted_out.copy())
        if SLIPS[kind](work, rng) and before != (work.steps, work.ends, work.counted_out):
            yield kind


def _call(work: Work, rng: random.Random) -> tuple[int, int]:
    number = rng.randrange(len(work.calls))
    stops = (*work.calls[1:], len(work.draft))
    return min(work.calls[number], len(work.steps)), min(stops[number], len(work.steps))


def _leave_out(work: Work, rng: random.Random, length: int, start: int | None = None) -> bool:
    start = _start(work, rng, length) if start is None else start
    if not 0 < length < len(work.steps):
        return False
    del work.steps[start : start + length]
    return True


def _repeat(work: Work, rng: random.Random, length: int, start: int | None = None) -> bool:
    start = _start(work, rng, length) if start is None else start
    if not 0 < length < len(work.steps):
        return False
    work.steps[start + length : start + length] = work.steps[start : start + length]
    return True


def _reorder(
    work: Work,
    rng: random.Random,
    length: int,
    otherwise: Callable[[list[HandStep]], list[HandStep]],
    start: int | None = None,
) -> bool:
    start = _start(work, rng, length) if start is None else start
    if not 0 < length <= len(work.steps):
        return False
    work.steps[start : start + length] = otherwise(work.steps[start : start + length])
    return True


def _start(work: Work, rng: random.Random, length: int) -> int:
    return rng.randint(0, max(0, len(work.steps) - length))
