"""What every hypothesis answers to every question, as numbers: questions × hypotheses."""

from collections.abc import Container, Iterator, Sequence

import numpy as np

from assistant.session.finder.hypotheses import Hypothesis
from assistant.session.finder.information import Codes, Weights, tally
from assistant.session.finder.mistakes import STAYING
from assistant.session.finder.questions import NO_END, Answer, Ask, Question, Side
from assistant.warp.notation import Shafts

UNHEARD_OF = -1_000_000  # the code of an answer that no hypothesis gives
CUTS = 8  # parts of equal weight between which a count may stop
LIKELY_SHAFTS = 2  # shafts worth counting ends on


class Table:
    """The predictions of all hypotheses of a search."""

    def __init__(self, hypotheses: Sequence[Hypothesis], others: Sequence[Hypothesis] = ()):
        """Of `others` it only matters whether it was one of them, unless the repair is that of a hypothesis."""
        numbers = {each: number for number, each in enumerate(dict.fromkeys(each.repair for each in hypotheses))}
        self._nothing_shifts = all(each.fault in STAYING for one in hypotheses for each in one.mistakes)
        self.other = len(numbers)  # stands for the repairs of the others
        hypotheses = (*hypotheses, *others)
        self.hypotheses = hypotheses
        self._code: dict[Shafts, int] = {NO_END: 0}
        rows = [[self._code.setdefault(end, len(self._code)) for end in each.loom] for each in hypotheses]
        self.lengths: Codes = np.array([len(row) for row in rows], dtype=np.int32)
        self.ends = max((1, *map(len, rows)))
        one_length = len(set(map(len, rows))) == 1  # then each end is asked about from its nearer side only
        near = (self.ends + 1) // 2
        self._ends = {Side.FIRST: near, Side.LAST: self.ends - near} if one_length else dict.fromkeys(Side, self.ends)
        self._sides = {side: np.zeros((self.ends, len(rows)), dtype=np.int16) for side in Side}
        for number, codes in enumerate(rows):
            self._sides[Side.FIRST][: len(codes), number] = codes
            self._sides[Side.LAST][: len(codes), number] = codes[::-1]
        self.repairs: Codes = np.array([numbers.get(each.repair, self.other) for each in hypotheses], dtype=np.int32)
        self._place: Codes = np.array([each.end for each in hypotheses], dtype=np.int32)
        used = {shaft for end in self._code for shaft in end}
        self.shafts = tuple(sorted(used.union(shaft for each in hypotheses for shaft, _ in each.heddles)))
        self._heddles = {shaft: np.zeros(len(rows), dtype=np.int16) for shaft in self.shafts}
        for number, each in enumerate(hypotheses):
            for shaft, count in each.heddles:
                self._heddles[shaft][number] = count
        self._carried = {shaft: np.array([shaft in end for end in self._code]) for shaft in self.shafts}

    def predicted(self, question: Question, among: Codes) -> Codes:
        """What each of these hypotheses answers."""
        chosen = slice(None) if len(among) == len(self.hypotheses) else among  # of all, a view
        match question.ask:
            case Ask.SHAFTS:
                codes: Codes = self._sides[question.side][question.end - 1][chosen]
                return codes
            case Ask.COUNT:
                on_loom = self._sides[Side.FIRST][: question.end, chosen]
                counts: Codes = self._carried[question.shaft][on_loom].sum(axis=0, dtype=np.int16)
                return counts
            case Ask.HEDDLES:
                heddles: Codes = self._heddles[question.shaft][chosen]
                return heddles

    def predictions(self, questions: Sequence[Question], among: Codes) -> Codes:
        """What each of these hypotheses answers to each question: questions × hypotheses."""
        return np.stack([self.predicted(question, among) for question in questions])

    def code(self, question: Question, answer: Answer) -> int:
        """An answer as the number that stands for it in `predicted`."""
        if isinstance(answer, tuple):
            return self._code.get(answer, UNHEARD_OF) if question.ask is Ask.SHAFTS else UNHEARD_OF
        return UNHEARD_OF if question.ask is Ask.SHAFTS else answer

    def candidates(self, weights: Weights, heddles: Container[int]) -> Iterator[Question]:
        """The questions worth weighing; `heddles` are the shafts whose heddles can be counted."""
        yield from (Question(Ask.SHAFTS, end, side) for side, ends in self._ends.items() for end in range(1, ends + 1))
        yield from (Question(Ask.HEDDLES, shaft=shaft) for shaft in self.shafts if shaft in heddles)
        if self._nothing_shifts:
            cuts = self._cuts(weights)
            yield from (Question(Ask.COUNT, end, shaft=shaft) for shaft in self._likely(weights) for end in cuts)

    def _likely(self, weights: Weights) -> list[int]:
        """The shafts that most probably carry an end too many or too few."""
        mass = {shaft: float(weights @ (over != 0)) for shaft, over in self._heddles.items()}
        return [shaft for shaft in sorted(mass, key=lambda shaft: -mass[shaft])[:LIKELY_SHAFTS] if mass[shaft]]

    def _cuts(self, weights: Weights) -> list[int]:
        """The ends that part the places of the mistake into stretches of about equal weight, and the last end."""
        mass = tally(self._place, weights, self.ends + 1)[1:].cumsum()
        parts = np.searchsorted(mass, mass[-1] * np.arange(1, CUTS) / CUTS) + 1
        return sorted({self.ends, *(int(part) for part in parts if part <= self.ends)})
