"""A reed in which hands put ends as English calls tell them, and nothing else: they know no plan.

Dents lie on a line: 1 is the first on the right of the reed's centre, 0 the first on its left.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

NUMBER = r"(\d+(?:\.\d+)?)"


@dataclass
class HandsAtReed:
    """Ends of groups, the first of each at the edge of the first end; a sentence after the other is done."""

    groups: Mapping[str, tuple[int, ...]]  # by name: the numbers of its ends in the warp
    first_edge: str  # where the first end of the warp lies
    in_all: int = 0  # dents of the reed, where that is known
    lies: dict[int, int] = field(default_factory=dict)  # end -> dent on the line
    outward: int = 0  # +1 to the right
    stands: int = 0  # the dent that was filled last, counted from the centre
    marks: list[tuple[float, int]] = field(default_factory=list)  # as they were told
    reach: list[float] = field(default_factory=list)  # from the centre, of either half
    hand: list[int] = field(default_factory=list)  # ends to be taken next
    named: str = ""  # the group, and how many ends of it
    count: int = 0

    def hear(self, text: str) -> None:
        """A call, and the group that it opens."""
        if opened := re.match(r"(.+?), (\d+) ends?: ", text):
            self.named, self.count = opened[1], int(opened[2])
            text = text[opened.end() :]
        for sentence in re.findall(r"[^.]+(?:\.\d[^.]*)*\.", text):
            self._do(sentence.strip().rstrip("."))

    def _do(self, said: str) -> None:
        if found := re.search(r"(?:From|Back to) the centre.* to the (right|left)$", said):
            self.outward, self.stands = (1 if found[1] == "right" else -1), 0
        elif found := re.fullmatch(r"Begin in dent (\d+), counted from the (right|left) end of the reed", said):
            right = int(found[1]) if found[2] == "right" else self.in_all + 1 - int(found[1])
            middle = self.in_all / 2 - right
            assert (0 <= middle + 0.5 <= 1) if self.outward > 0 else (-1 <= middle + 0.5 <= 1)
        elif found := re.fullmatch(rf"From the centre to the edge it is {NUMBER} \w+", said):
            self.reach.append(float(found[1]))
        elif found := re.fullmatch(r"(.+) lies across the centre, (\d+) of its (\d+) ends on this side", said):
            self._part(found[1], int(found[2]), int(found[3]))
        elif found := re.fullmatch(r"That is dent (\d+)(?:, at (\d+) \w+)?", said):
            assert self.stands == int(found[1])
            self.marks += [(float(found[2]), int(found[1]))] if found[2] else []
        elif found := re.fullmatch(r"(\d+) \w+ (?:is|are) at dent (\d+)", said):
            self.marks.append((float(found[1]), int(found[2])))
        elif not said.startswith(("Dents are counted from the centre", "Numbers are ends")):
            self._sley(said)

    # Ends.

    def _part(self, name: str, here: int, in_all: int) -> None:
        ends = self.groups[name]
        assert (len(ends), here) == (in_all, self.count)
        self._take(ends[:here] if self._to_first_edge else ends[-here:])

    def _take(self, ends: tuple[int, ...]) -> None:
        """From the one nearest to the centre outward."""
        assert not self.hand
        assert len(ends) == self.count
        self.hand = list(ends[::-1] if self._to_first_edge else ends)

    @property
    def _to_first_edge(self) -> bool:
        return (self.outward > 0) == (self.first_edge == "right")

    # Dents.

    def _sley(self, said: str) -> None:
        if not self.hand:  # the way was told after the group
            self._take(self.groups[self.named])
        if found := re.fullmatch(r"(\d+) in the next dent; the next group goes on in it", said):
            self._fill(int(found[1]))
        elif found := re.fullmatch(r"(\d+) more in the same dent", said):
            self._put(int(found[1]))
        else:
            for empty, held in self._dents(said):
                self.stands += empty
                if held:
                    self._fill(held)

    def _dents(self, said: str) -> Iterator[tuple[int, int]]:
        if found := re.fullmatch(r"(\d+) dents? of (\d+)", said):
            yield from [(0, int(found[2]))] * int(found[1])
        elif found := re.fullmatch(r"leave (\d+) empty, then 1 dent of (\d+)", said):
            yield int(found[1]), int(found[2])
        elif found := re.fullmatch(r"(\d+) times: leave (\d+) empty, then a dent of (\d+)", said):
            yield from [(int(found[2]), int(found[3]))] * int(found[1])
        else:
            *row, last = said.split(", ")
            times = re.fullmatch(r"once|(\d+) times", last)
            row = row if times else [*row, last]
            told = [re.fullmatch(r"leave (\d+) empty|(\d+)", each) for each in row]
            for each in told * int((times and times[1]) or 1):
                assert each, said
                yield int(each[1] or 0), int(each[2] or 0)

    def _fill(self, ends: int) -> None:
        self.stands += 1
        self._put(ends)

    def _put(self, ends: int) -> None:
        for _ in range(ends):
            end = self.hand.pop(0)
            assert end not in self.lies
            self.lies[end] = self.stands if self.outward > 0 else 1 - self.stands
