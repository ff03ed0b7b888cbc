"""A group on the loom: heddles on shafts in their order, ends behind them in theirs, a bundle in the hand.

It knows no finder and no session: what these say of a group is judged by how it hangs afterwards. Places are counted
from 1, from the side at which the group is begun (the right) or from the other (the left).
"""

from bisect import bisect_right, insort
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

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
    """An end as it hangs: in the eyes of these heddles, in none where it hangs between them.

    Where heddles are counted, with whatever ends are in the same.
    """

    end: WarpEnd
    heddles: tuple[Heddle, ...]
    beside: tuple[WarpEnd, ...] = ()

    @property
    def ends(self) -> tuple[WarpEnd, ...]:
        """All of them."""
        return (self.end, *self.beside)

    @property
    def span(self) -> tuple[float, float]:
        """The first and the last of their places behind the heddles."""
        places = [end.behind for end in self.ends]
        return min(places), max(places)

    @property
    def shafts(self) -> Shafts:
        """The shafts it is on, the lowest first."""
        return tuple(sorted(heddle.shaft for heddle in self.heddles))


@dataclass(frozen=True)
class Due:
    """An end of the draft: its shafts, the lowest first, and its yarn; so many ends alike where they share a heddle."""

    shafts: Shafts
    yarn: str
    ends: int = 1


@dataclass
class Harness:
    """The heddles of a group and what hangs in them, from the right; the rest of its bundle, in order.

    `in_heddles`: who looks counts heddles, whatever is in each; an end in none is not counted.
    """

    draft: tuple[Due, ...]
    counted_out: dict[int, int]  # heddles by shaft, as the weaver counted them
    in_hand: list[WarpEnd]
    hanging: list[Hanging] = field(default_factory=list)
    heddles: dict[int, list[Heddle]] = field(default_factory=dict)  # by shaft; beyond those counted out more follow
    in_heddles: bool = False
    floating: tuple[int, int] = (0, 0)  # ends due in no heddle, before the first and after the last
    loose: list[WarpEnd] = field(default_factory=list)  # in none, where heddles are counted

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

    def hang(self, place: int, ends: Sequence[WarpEnd], shafts: Sequence[int], passing: int = 0) -> None:
        """Hang an end, or several together, at a place, in the next heddle of each shaft."""
        if self.in_heddles and not shafts:
            self.loose += ends
            return
        heddles = tuple(self.free(shaft, place, passing) for shaft in shafts)
        self.hanging.insert(place - 1, Hanging(ends[0], heddles, tuple(ends[1:])))

    def share(self, end: WarpEnd) -> None:
        """Put an end into the heddles of the one before."""
        before = self.hanging[-1]
        if self.in_heddles:
            self.hanging[-1] = replace(before, beside=(*before.beside, end))
        else:
            self.hanging.append(Hanging(end, before.heddles))

    def take_out(self, first: int, count: int) -> None:
        """So many ends, or heddles with all in them, come out, from the first on; they are in the hand again."""
        low = self.hanging[first - 2].span[1] if first > 1 else 0.0
        high = self.hanging[first - 1 + count].span[0] if first - 1 + count < len(self.hanging) else float("inf")
        out = [end for hung in self.hanging[first - 1 : first - 1 + count] for end in hung.ends]
        for end in (*out, *self._hanging_between(low, high)):
            insort(self.in_hand, end)
        self.loose = [end for end in self.loose if end not in self.in_hand]
        del self.hanging[first - 1 : first - 1 + count]

    def _hanging_between(self, low: float, high: float) -> list[WarpEnd]:
        """The ends in no heddle from one place behind the heddles to another, but for those due before the first."""
        loose = sorted(end for end in self.loose if low < end.behind < high)
        return loose[self.floating[0] if low == 0 else 0 :]

    def thread(self, first: int, ends: Sequence[int]) -> None:
        """Thread these ends of the draft from a place on, each behind the last; one that lacks is hung anew.

        A place past the last end that hangs is the next one.
        """
        first = min(first, len(self.hanging) + 1)
        for place, due in enumerate((self.draft[end - 1] for end in ends), first):
            self.hang(place, self._taken(due, due.ends, place, place), due.shafts)

    def one_more(self, place: int) -> None:
        """Put an end that lacks into the heddle at a place; one is hung anew where none fits."""
        hung = self.hanging[place - 1]
        (end,) = self._taken(self.draft[place - 1], 1, place + 1, place + 1)
        self.hanging[place - 1] = replace(hung, beside=(*hung.beside, end))

    def one_out(self, place: int) -> WarpEnd:
        """Take the last of the ends in a heddle out."""
        *stay, last = sorted(self.hanging[place - 1].ends)
        self.hanging[place - 1] = replace(self.hanging[place - 1], end=stay[0], beside=tuple(stay[1:]))
        return last

    def join(self, place: int) -> None:
        """What is in the heddle after this one goes into it, too."""
        hung = self.hanging[place - 1]
        self.hanging[place - 1] = replace(hung, beside=(*hung.beside, *self.hanging.pop(place).ends))

    def thread_last(self, heddles: int) -> None:
        """Thread the last heddles of the draft anew, those that lack some of their ends among them."""
        at = len(self.draft) - heddles + 1
        self.take_out(at, max(0, len(self.hanging) - at + 1))
        self.thread(at, range(at, len(self.draft) + 1))

    def float_ends(self) -> None:
        """Who looks at both edges has so many ends hang free there as should, hung anew where none is in the hand."""
        for due, before in zip(self.floating, (True, False), strict=True):
            there = [end for end in self.loose if self._is_at(end, before)]
            for lacking in range(len(there) + 1, due + 1):
                edge = self.hanging[0].span[0] if before else self.hanging[-1].span[1]
                if not before and self.in_hand and self._is_at(self.in_hand[-1], before):
                    self.loose.append(self.in_hand.pop())
                else:
                    self.loose.append(WarpEnd(edge / (lacking + 1) if before else edge + 0.01 * lacking, ""))

    def _is_at(self, end: WarpEnd, before: bool) -> bool:
        """Whether it lies before all that hang, or after."""
        return end.behind < self.hanging[0].span[0] if before else end.behind > self.hanging[-1].span[1]

    def _taken(self, due: Due, ends: int, place: int, following: int) -> list[WarpEnd]:
        """So many ends for one place, after what hangs before it and before what hangs from `following` on."""
        low = self.hanging[place - 2].span[1] if place > 1 else 0.0
        high = self.hanging[following - 1].span[0] if following <= len(self.hanging) else None
        taken: list[WarpEnd] = []
        for _ in range(ends):
            new = WarpEnd((low + (low + 1 if high is None else high)) / 2, due.yarn)
            taken.append(self._fitting(due, low, high) or new)
            low = taken[-1].behind
        return taken

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
        return len(self.hanging) == len(self.draft) and not any(self.wrong()) and self._floats()

    def _floats(self) -> bool:
        """As many ends hang in no heddle as should, and where they should."""
        if not self.in_heddles:
            return True
        there = [sum(self._is_at(end, before) for end in self.loose) for before in (True, False)]
        return there == [*self.floating] and len(self.loose) == sum(self.floating)

    def wrong(self, from_left: bool = False) -> list[bool]:
        """Whether each hanging end, from the side named, is not as the draft says counting from there."""
        draft = self.draft[::-1] if from_left else self.draft
        hanging = self.hanging[::-1] if from_left else self.hanging
        lies = self.lying_wrong(from_left)
        return [at >= len(draft) or hung.shafts != draft[at].shafts or lies[at] for at, hung in enumerate(hanging)]

    def lying_wrong(self, from_left: bool = False) -> list[bool]:
        """Whether each hanging end crosses another, shares an eye with one before it, or has not the yarn due there.

        Where heddles are counted, whether each holds other ends than are due.
        """
        draft = self.draft[::-1] if from_left else self.draft
        hanging = self.hanging[::-1] if from_left else self.hanging
        odd = self._odd()[::-1] if from_left else self._odd()
        return [
            odd[at] or (at < len(draft) and [end.yarn for end in hung.ends] != [draft[at].yarn] * draft[at].ends)
            for at, hung in enumerate(hanging)
        ]

    def _odd(self) -> list[bool]:
        """Whether each end crosses another, or shares an eye with one before it."""
        span = [hung.span for hung in self.hanging]
        eyes = [set(hung.heddles) for hung in self.hanging]
        return [
            span[at][0] < max((last for _, last in span[:at]), default=0.0)
            or span[at][1] > min((first for first, _ in span[at + 1 :]), default=float("inf"))
            or any(eyes[at] & before for before in eyes[max(0, at - 1) : at])
            for at in range(len(span))
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
