"""A group on the loom: heddles on shafts in their order, ends behind them in theirs, a bundle in the hand.

It knows no finder and no session: what these say of a group is judged by how it hangs afterwards. Places are counted
from 1, from the side at which the group is begun (the right) or from the other (the left).
"""

from bisect import bisect_right, insort
from collections.abc import Sequence
from dataclasses import dataclass, field

Shafts = tuple[int, ...]


@dataclass(frozen=True, order=True)
class WarpEnd:
    """An end of the warp, by its place in the order behind the heddles."""

    behind: float
    yarn: str


@dataclass(eq=False)
class Heddle:
    """One heddle."""

    shaft: int


@dataclass(frozen=True)
class Hanging:
    """An end as it hangs: in the eyes of these heddles, in none where it hangs between them."""

    end: WarpEnd
    heddles: tuple[Heddle, ...]

    @property
    def shafts(self) -> Shafts:
        """The shafts it is on, the lowest first."""
        return tuple(sorted(heddle.shaft for heddle in self.heddles))


@dataclass(frozen=True)
class Due:
    """An end of the draft: its shafts, the lowest first, and its yarn."""

    shafts: Shafts
    yarn: str


@dataclass
class Harness:
    """The heddles of a group and what hangs in them, from the right; the rest of its bundle, in order."""

    draft: tuple[Due, ...]
    counted_out: dict[int, int]  # heddles by shaft, as the weaver counted them
    in_hand: list[WarpEnd]
    hanging: list[Hanging] = field(default_factory=list)
    heddles: dict[int, list[Heddle]] = field(default_factory=dict)  # by shaft; beyond those counted out more follow

    def free(self, shaft: int, place: int, passing: int = 0) -> Heddle:
        """The next heddle of a shaft for what hangs at `place`, `passing` so many; one is put in where none is left."""
        row = self.heddles.setdefault(shaft, [])
        at = max(self._used(shaft, self.hanging[: place - 1]), default=-1) + 1 + passing
        stop = min(self._used(shaft, self.hanging[place - 1 :]), default=None)
        if stop is not None and at >= stop:
            row.insert(stop, Heddle(shaft))
            return row[stop]
        row.extend(Heddle(shaft) for _ in range(at + 1 - len(row)))
        return row[at]

    def _used(self, shaft: int, hanging: Sequence[Hanging]) -> list[int]:
        """The places on a shaft, from 0, of the heddles in which these ends hang."""
        row = self.heddles.get(shaft, [])
        return [row.index(one) for hung in hanging for one in hung.heddles if one.shaft == shaft]

    def hang(self, place: int, end: WarpEnd, shafts: Sequence[int], passing: int = 0) -> None:
        """Hang an end at a place, in the next heddle of each shaft."""
        self.hanging.insert(place - 1, Hanging(end, tuple(self.free(shaft, place, passing) for shaft in shafts)))

    def take_out(self, first: int, count: int) -> None:
        """So many ends come out, from the first on, and are in the hand again."""
        for hung in self.hanging[first - 1 : first - 1 + count]:
            insort(self.in_hand, hung.end)
        del self.hanging[first - 1 : first - 1 + count]

    def thread(self, first: int, ends: Sequence[int]) -> None:
        """Thread these ends of the draft from a place on, each behind the last; one that lacks is hung anew.

        A place past the last end that hangs is the next one.
        """
        first = min(first, len(self.hanging) + 1)
        for place, due in enumerate((self.draft[end - 1] for end in ends), first):
            low = self.hanging[place - 2].end.behind if place > 1 else 0.0
            high = self.hanging[place - 1].end.behind if place <= len(self.hanging) else None
            end = self._fitting(due, low, high) or WarpEnd((low + (low + 1 if high is None else high)) / 2, due.yarn)
            self.hang(place, end, due.shafts)

    def _fitting(self, due: Due, low: float, high: float | None) -> WarpEnd | None:
        """The next end in the hand that crosses none; one of another yarn before it is laid aside."""
        for end in self.in_hand[bisect_right(self.in_hand, WarpEnd(low, "")) :]:
            if high is not None and end.behind > high:
                break
            self.in_hand.remove(end)
            if end.yarn == due.yarn:
                return end
        return None

    @property
    def right(self) -> bool:
        """It hangs as the draft says. A heddle left empty between ends changes nothing in the cloth."""
        return len(self.hanging) == len(self.draft) and not any(self.wrong())

    def wrong(self, from_left: bool = False) -> list[bool]:
        """Whether each hanging end, from the side named, is not as the draft says counting from there."""
        draft = self.draft[::-1] if from_left else self.draft
        hanging = self.hanging[::-1] if from_left else self.hanging
        lies = self.lying_wrong(from_left)
        return [at >= len(draft) or hung.shafts != draft[at].shafts or lies[at] for at, hung in enumerate(hanging)]

    def lying_wrong(self, from_left: bool = False) -> list[bool]:
        """Whether each hanging end crosses another, shares an eye with one before it, or has not the yarn due there."""
        draft = self.draft[::-1] if from_left else self.draft
        hanging = self.hanging[::-1] if from_left else self.hanging
        odd = self._odd()[::-1] if from_left else self._odd()
        return [odd[at] or (at < len(draft) and hung.end.yarn != draft[at].yarn) for at, hung in enumerate(hanging)]

    def _odd(self) -> list[bool]:
        """Whether each end crosses another, or shares an eye with one before it."""
        behind = [hung.end.behind for hung in self.hanging]
        eyes = [set(hung.heddles) for hung in self.hanging]
        return [
            behind[at] < max(behind[:at], default=0.0)
            or behind[at] > min(behind[at + 1 :], default=float("inf"))
            or any(eyes[at] & before for before in eyes[max(0, at - 1) : at])
            for at in range(len(behind))
        ]

    # What a weaver sees who looks.

    def shafts(self, place: int, from_left: bool = False) -> Shafts | None:
        """The shafts of the end at a place; () where it is in no eye, None where no end hangs there."""
        if place > len(self.hanging):
            return None
        return self.hanging[-place if from_left else place - 1].shafts

    def on_shaft(self, shaft: int, first: int) -> int:
        """How many of the first ends are on a shaft."""
        return sum(shaft in hung.shafts for hung in self.hanging[:first])

    def heddles_left(self, shaft: int) -> int:
        """How many of those counted out are left past the last end; lacking: negative."""
        return self.counted_out.get(shaft, 0) - max(self._used(shaft, self.hanging), default=-1) - 1

    def right_up_to(self, place: int, from_left: bool = False) -> bool:
        """Whether so many ends hang, and each is as the draft says counting from that side."""
        return place <= len(self.hanging) and not any(self.wrong(from_left)[:place])
