"""A group in the reed: ends that come from the heddles in their order, dents in theirs. It knows no finder.

Dents and ends count from 1, from the edge at which the group is begun.
"""

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

Shafts = tuple[int, ...]


@dataclass
class Reed:
    """What each dent holds, as hands left it; the ends that hang loose, in no dent."""

    due: tuple[int, ...]
    shafts: tuple[Shafts, ...]
    dents: list[list[int]] = field(default_factory=list)

    def right(self) -> bool:
        """Every end lies in its own dent."""
        return [sorted(dent) for dent in self.dents] == dealt(self.due, range(1, len(self.shafts) + 1))

    @property
    def differs(self) -> int:
        """The first dent that does not hold its own ends, 0 where all do."""
        own = dealt(self.due, range(1, len(self.shafts) + 1))
        own += [[] for _ in range(self.over)]
        return next(
            (n for n, (held, due) in enumerate(zip(self.dents, own, strict=False), 1) if sorted(held) != due), 0
        )

    @property
    def over(self) -> int:
        """Dents by which it ends too far."""
        return len(self.dents) - len(self.due)

    # What a weaver sees who looks.

    def in_dent(self, dent: int) -> tuple[Shafts, ...]:
        """The shafts of the ends in a dent; in which order they lie there nobody can tell."""
        return tuple(sorted(self.shafts[end - 1] for end in self._held(dent)))

    def count(self, first: int, last: int) -> int:
        """The ends in these dents."""
        return sum(len(self._held(dent)) for dent in range(first, last + 1))

    def along(self, first: int, last: int) -> bool:
        """Each of these dents holds as many ends as it should; none there crosses another, none hangs loose beside."""
        return all(self._fine(dent) for dent in range(first, last + 1))

    def _held(self, dent: int) -> list[int]:
        return self.dents[dent - 1] if dent <= len(self.dents) else []

    def _fine(self, dent: int) -> bool:
        held = self._held(dent)
        due = self.due[dent - 1] if dent <= len(self.due) else 0
        before = [end for other in self.dents[: dent - 1] for end in other]
        after = [end for other in self.dents[dent:] for end in other]
        crosses = held and (max(before, default=0) > min(held) or min(after, default=max(held)) < max(held))
        return len(held) == due and not crosses and not self._loose_beside(held, before)

    def _loose_beside(self, held: Sequence[int], before: Sequence[int]) -> bool:
        """An end in no dent hangs between those of this dent and the ones before it."""
        sleyed = {end for dent in self.dents for end in dent}
        loose = set(range(1, len(self.shafts) + 1)) - sleyed
        return any(max(before, default=0) < end < max(held, default=0) for end in loose)

    # What a weaver does.

    def sley(self, first: int, last: int) -> None:
        """Take these ends out of the reed and put each in its own dent."""
        moved = set(range(first, last + 1))
        own = dealt(self.due, range(1, len(self.shafts) + 1))
        lying = {end: n for n, dent in enumerate(self.dents) for end in dent if end not in moved}
        lying |= {end: n for n, dent in enumerate(own) for end in dent if end in moved}
        self.dents = [[] for _ in range(max(lying.values(), default=-1) + 1)]
        for end, dent in sorted(lying.items()):
            self.dents[dent].append(end)


def dealt(order: Sequence[int], ends: Sequence[int]) -> list[list[int]]:
    """Ends in their order, so many to each dent; the rest as many as the fullest holds."""
    dents, steps, left = [], iter(order), list(ends)
    while left:
        held = next(steps, max(order))
        dents.append(left[:held])
        left = left[held:]
    return dents


@dataclass
class Hands:
    """A group about to be sleyed: how many ends go in each dent, in which order the ends are taken."""

    order: list[int]
    ends: list[int]

    def done(self, due: Sequence[int], shafts: Sequence[Shafts]) -> Reed:
        """The group sleyed."""
        return Reed(tuple(due), tuple(shafts), dealt(self.order, self.ends))


ReedSlip = Callable[[Hands, random.Random], None]


def dent_skipped(hands: Hands, rng: random.Random) -> None:
    hands.order.insert(rng.randrange(len(hands.order)), 0)


def dents_skipped(hands: Hands, rng: random.Random) -> None:
    at = rng.randrange(len(hands.order))
    hands.order[at:at] = [0] * rng.randint(2, 4)


def dent_doubled(hands: Hands, rng: random.Random) -> None:
    at = rng.randrange(len(hands.order) - 1)
    hands.order[at : at + 2] = [sum(hands.order[at : at + 2])]


def end_too_many(hands: Hands, rng: random.Random) -> None:
    hands.order[rng.choice([at for at, held in enumerate(hands.order) if held])] += 1


def end_too_few(hands: Hands, rng: random.Random) -> None:
    hands.order[rng.choice([at for at, held in enumerate(hands.order) if held])] -= 1


def ends_crossed(hands: Hands, rng: random.Random) -> None:
    at = rng.randrange(len(hands.ends) - 1)
    hands.ends[at : at + 2] = hands.ends[at : at + 2][::-1]


def dents_changed_places(hands: Hands, rng: random.Random) -> None:
    at = rng.randrange(len(hands.order) - 1)
    start = sum(hands.order[:at])
    one, other = hands.order[at : at + 2]
    ends = hands.ends[start : start + one + other]
    hands.ends[start : start + one + other] = ends[one:] + ends[:one]
    hands.order[at : at + 2] = other, one


def three_rotated(hands: Hands, rng: random.Random) -> None:
    at = rng.randrange(len(hands.ends) - 2)
    hands.ends[at : at + 3] = [hands.ends[at + 2], *hands.ends[at : at + 2]]


def exchanged_at_a_distance(hands: Hands, rng: random.Random) -> None:
    one, other = rng.sample(range(len(hands.ends)), 2)
    hands.ends[one], hands.ends[other] = hands.ends[other], hands.ends[one]


def end_left_out(hands: Hands, rng: random.Random) -> None:
    hands.ends.pop(rng.randrange(len(hands.ends)))


def order_begun_anew(hands: Hands, rng: random.Random) -> None:
    """The repeat of a sley plan is lost, and begun again in the middle."""
    at, on = sorted(rng.sample(range(len(hands.order)), 2))
    hands.order[at:] = hands.order[on:]


LISTED: dict[str, ReedSlip] = {
    "dent skipped": dent_skipped,
    "dents skipped": dents_skipped,
    "dent doubled": dent_doubled,
    "end too many": end_too_many,
    "end too few": end_too_few,
    "ends crossed": ends_crossed,
}
UNLISTED: dict[str, ReedSlip] = {
    "dents changed places": dents_changed_places,
    "three rotated": three_rotated,
    "exchanged at a distance": exchanged_at_a_distance,
    "end left out": end_left_out,
    "order begun anew": order_begun_anew,
}
