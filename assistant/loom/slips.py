"""What a weaver's hands do wrong: each kind of mistake changes the steps, the bundle or the heddles counted out."""

import random
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from assistant.loom.harness import Due, Harness, Shafts, WarpEnd

UNIT = range(2, 17)  # ends of a pattern unit


@dataclass(frozen=True)
class HandStep:
    """An end threaded: into the next heddles of these shafts, or where that says otherwise."""

    shafts: Shafts
    shared: bool = False  # into the eye of the end before
    no_eye: bool = False
    passing: int = 0  # so many heddles left empty before
    ends: int = 1  # taken together


@dataclass
class Work:
    """A group about to be threaded: what the hands will do, in what order they take the ends, what was counted out."""

    draft: tuple[Due, ...]
    calls: tuple[int, ...]  # where each begins, from 0
    shafts: int
    steps: list[HandStep]
    ends: list[WarpEnd]
    counted_out: Counter[int]
    in_heddles: bool = False  # heddles are counted, whatever is in each
    floating: tuple[int, int] = (0, 0)  # ends due in no heddle, before the first and after the last
    left_free: list[int] = field(default_factory=lambda: [0, 0])  # how many the hands leave so

    @classmethod
    def of(
        cls,
        draft: Sequence[Due],
        calls: Sequence[int],
        shafts: int,
        in_heddles: bool = False,
        floating: tuple[int, int] = (0, 0),
    ) -> "Work":
        """Without any mistake."""
        yarns = [due.yarn for due in draft for _ in range(due.ends)]
        before, after = ([yarns[at]] * many for at, many in zip((0, -1), floating, strict=True)) if yarns else ([], [])
        ends = [WarpEnd(float(place), yarn) for place, yarn in enumerate((*before, *yarns, *after), 1)]
        heddles = Counter(shaft for due in draft for shaft in due.shafts)
        steps = [HandStep(due.shafts, ends=due.ends) for due in draft]
        return cls(tuple(draft), tuple(calls), shafts, steps, ends, heddles, in_heddles, floating, [*floating])

    def done(self) -> tuple[Harness, int]:
        """The group threaded until steps or ends run out; ends left over (short: negative)."""
        loom = Harness(self.draft, dict(self.counted_out), [], in_heddles=self.in_heddles, floating=self.floating)
        before, after = self.left_free
        loom.loose, left = self.ends[:before], self.ends[before:]
        for step in self.steps:
            ends, left = left[: step.ends], left[step.ends :]
            if not ends:
                break
            if step.shared and loom.hanging:
                loom.share(ends[0])
            else:
                loom.hang(len(loom.hanging) + 1, ends, () if step.no_eye else step.shafts, step.passing)
        loom.loose += left[:after]
        loom.in_hand = sorted(left[after:])
        return loom, len(self.ends) - before - after - sum(step.ends for step in self.steps)


Slipping = Callable[[Work, random.Random], bool]  # False where it cannot be made here


def skipped(work: Work, rng: random.Random) -> bool:
    return _leave_out(work, rng, 1)


def doubled(work: Work, rng: random.Random) -> bool:
    return _repeat(work, rng, 1)


def two_in_one(work: Work, rng: random.Random) -> bool:
    at = rng.randrange(len(work.steps))
    work.steps.insert(at + 1, replace(work.steps[at], shared=True, ends=1))
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
    shafts = tuple(sorted((*(shaft for shaft in on if shaft != given_up), rng.choice(others))))
    work.steps[at] = HandStep(shafts, ends=work.steps[at].ends)
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


def one_left_out(work: Work, rng: random.Random) -> bool:
    """Of several ends for one heddle one is not taken."""
    return _of_several(work, rng, lambda step: [replace(step, ends=step.ends - 1)])


def parted(work: Work, rng: random.Random) -> bool:
    """The ends for one heddle go into two, one beside the other."""
    return _of_several(work, rng, lambda step: [replace(step, ends=step.ends - 1), replace(step, ends=1, passing=0)])


def into_the_last(work: Work, rng: random.Random) -> bool:
    """An end goes into the heddle of the end before, and its own stays for whatever comes."""
    alone = [at for at, step in enumerate(work.steps) if at and step.ends == 1]
    if not alone:
        return False
    at = rng.choice(alone)
    work.steps[at] = replace(work.steps[at - 1], shared=True, ends=1, passing=0)
    return True


def floating_threaded(work: Work, rng: random.Random) -> bool:
    """An end that should hang free goes into a heddle: the first one for that of the draft, or one of its own."""
    edges = [edge for edge, many in enumerate(work.left_free) if many]
    if not edges:
        return False
    edge = rng.choice(edges)
    work.left_free[edge] -= 1
    if edge or rng.random() < 0.5:
        step = HandStep((rng.randint(1, work.shafts),))
        work.steps.insert(len(work.steps) if edge else 0, step)
    return True


def floating_forgotten(work: Work, rng: random.Random) -> bool:
    """The end that should hang free after the last stays in the hand."""
    if not work.left_free[1]:
        return False
    work.left_free[1] -= 1
    return True


SLIPS_IN_HEDDLES: dict[str, Slipping] = {  # where some heddles hold several ends, or ends float, beside those
    "one of a pair left out": one_left_out,
    "pair in two heddles": parted,
    "into the heddle before": into_the_last,
    "floating end threaded": floating_threaded,
    "floating end forgotten": floating_forgotten,
}
EVERY_SLIP = {**SLIPS, **SLIPS_IN_HEDDLES}


def slips(in_heddles: bool) -> dict[str, Slipping]:
    """Those that can be made."""
    return EVERY_SLIP if in_heddles else SLIPS


def slipped(work: Work, rng: random.Random, kinds: Sequence[str]) -> Iterator[str]:
    """Make mistakes of these kinds, one after the other; the kinds of those that could be made and left a mark."""
    for kind in kinds:
        before = (list(work.steps), list(work.ends), work.counted_out.copy(), list(work.left_free))
        if EVERY_SLIP[kind](work, rng) and before != (work.steps, work.ends, work.counted_out, work.left_free):
            yield kind


def _of_several(work: Work, rng: random.Random, otherwise: Callable[[HandStep], list[HandStep]]) -> bool:
    several = [at for at, step in enumerate(work.steps) if step.ends > 1]
    if not several:
        return False
    at = rng.choice(several)
    work.steps[at : at + 1] = otherwise(work.steps[at])
    return True


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
