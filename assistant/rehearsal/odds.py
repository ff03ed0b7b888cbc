"""The mistakes of a simulated weaver: how they are drawn, and what becomes of a group on the loom."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import chain, combinations

import numpy as np

from assistant.finder import GroupToSearch, Hypothesis, LeftBehind, Mistake, MistakeKind, left_by, mistakes
from assistant.finder.mistakes import edit
from assistant.warp.model import End, Warp
from assistant.warp.notation import Ends
from assistant.warp.passes import THREAD, Call
from assistant.warp.passes.thread import shafts


@dataclass(frozen=True, slots=True)
class Odds:
    """Every mistake that can be made in threading one group, and how often each is made in doing it once."""

    group: GroupToSearch
    mistakes: tuple[Mistake, ...]
    rates: tuple[float, ...]

    def draw(self, rng: np.random.Generator) -> tuple[Mistake, ...]:
        """What is made this time, in order; of two that overlap the later is left out."""
        total = sum(self.rates)
        if not total:
            return ()
        picked = rng.choice(len(self.mistakes), rng.poisson(total), p=np.array(self.rates) / total)
        made: list[Mistake] = []
        for mistake in sorted({self.mistakes[pick] for pick in picked}, key=self._place):
            if not made or self._follows(mistake, made[-1]):
                made.append(mistake)
        return tuple(made)

    def _place(self, mistake: Mistake) -> tuple[int, int, int]:
        """The bundle last, whose mistake lies in no end."""
        change = edit(mistake, self.group.expected)
        return mistake.kind is MistakeKind.BUNDLE, change.start, change.stop

    def _follows(self, mistake: Mistake, before: Mistake) -> bool:
        """Whether both can be made; a bundle is wound once."""
        overlap = edit(mistake, self.group.expected).start < edit(before, self.group.expected).stop
        return not overlap and {mistake.kind, before.kind} != {MistakeKind.BUNDLE}


def every_odds(warp: Warp, size: int | None, per_1000: float) -> list[Odds]:
    """For each group: all kinds in their usual proportions, so many to 1,000 ends of the warp on average.

    But for heddles counted out wrong: this weaver counts none out.
    """
    groups = [_group(warp, calls) for calls in THREAD.calls_by_group(warp, size)]
    usual = [[pair for pair in mistakes(group) if pair[0].kind is not MistakeKind.HEDDLES] for group in groups]
    scale = per_1000 / 1000 * warp.ends / sum(rate for _, rate in chain.from_iterable(usual))
    return [
        Odds(group, tuple(mistake for mistake, _ in rated), tuple(rate * scale for _, rate in rated))
        for group, rated in zip(groups, usual, strict=True)
    ]


def _group(warp: Warp, calls: Sequence[Call[End]]) -> GroupToSearch:
    expected = tuple(shafts(end) for call in calls for end in call.units)
    return GroupToSearch(expected, tuple(call.start for call in calls), warp.loom.shafts)


@dataclass(frozen=True, slots=True)
class Threaded:
    """A group as it lies: the mistakes made in it, the shafts of every end, and the ends over (short: negative)."""

    expected: Ends
    made: tuple[Mistake, ...]
    loom: Ends
    over: int

    @classmethod
    def once(cls, expected: Ends, made: tuple[Mistake, ...]) -> "Threaded":
        """From the first end to the last, with these mistakes."""
        left = left_by(expected, *made)
        return cls(expected, made, left.loom, left.over)

    @property
    def right(self) -> bool:
        """Every end is where it should be, and there is none too many."""
        return self.loom == self.expected

    @property
    def seen(self) -> LeftBehind:
        """The same, as one who looks for a mistake sees it: no heddles were counted out."""
        return LeftBehind(self.loom, self.over, frozenset(), frozenset())

    def remaining(self) -> tuple[Mistake, ...]:
        """The fewest of the mistakes that leave the group as it lies; all where something else was done to it."""
        subsets = chain.from_iterable(combinations(self.made, many) for many in range(len(self.made)))
        return next((some for some in subsets if left_by(self.expected, *some).loom == self.loom), self.made)

    def repaired(self, found: Hypothesis) -> "Threaded":
        """After doing what was said: ends taken out and threaded again, with those that the bundle lacked fetched."""
        repair, at = found.repair, max(0, found.repair.first - 1)
        before, after = self.loom[:at], self.loom[at + repair.taken_out :]
        too_many = found.mistake.ends if found.mistake and found.mistake.kind is MistakeKind.BUNDLE else 0
        taken_out = len(self.loom) - len(before) - len(after)
        in_hand = max(0, max(0, self.over) + taken_out - too_many)
        threaded = self.expected[at : at + repair.threaded][:in_hand]
        lacking = repair.threaded - len(threaded)
        return replace(self, loom=(*before, *threaded, *after), over=in_hand - len(threaded) - lacking)

    def put_right(self, end: int) -> "Threaded":
        """Threaded as expected from this end on."""
        return replace(self, loom=self.loom[: end - 1] + self.expected[end - 1 :])
