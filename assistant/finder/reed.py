"""The search for a mistake in the reed: which dents to look at or to count next, and what is to be sleyed anew.

It weighs every single mistake of `sleying`, and beside them "something else, from this dent on", of which it knows only
that all before that dent is right: one that stays near it, and one that shifts what follows. So what is in no list is
narrowed down to the first dent that differs.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property
from itertools import accumulate, combinations

import numpy as np

from assistant.finder.questions import Codes, Weights, tally
from assistant.finder.search import Outcome
from assistant.finder.sleying import InDents, Sleying, SleyMistake, in_dents
from assistant.meaning import runs
from assistant.warp.notation import Shafts

WRONG_ANSWERS = 0.05  # of all answers: assumption, no source
SURE = 0.99
NAMED = 0.9  # of what speaks for a repair, from which on the mistake itself is named
ELSEWHERE = 0.1  # of all mistakes, those in no list: assumption, no source
# How often a mistake in no list looks right, at its first dent, and past it where it stays near or shifts what follows:
# assumption, no source.
AT_IT = {"dent": 0.2, "count": 0.5, "along": WRONG_ANSWERS}
NEAR = 3  # dents
CLOSE_BY, FAR_OFF = {"dent": 0.4, "count": 0.5, "along": 0.4}, {"dent": 0.94, "count": 0.94, "along": 0.85}
SHIFTED = {"dent": 0.3, "count": 0.3, "along": 0.5}
OTHER_ANSWERS = 4  # that a look or a count may get by mistake: likewise
WORTH_ASKING = 1e-4  # bits
ENOUGH = 24  # answers, after which sleying anew is the better way
MENDED = 0.99  # how often all is right after a repair: assumption, no source
CUTS = 8  # parts of equal weight between which a count or a look along the reed may stop

# Effort, in the time of counting one end: assumption, no source.
ASKING = 20.0
LOOKING = 1.5  # at one dent of many, looked along


class ReedAsk(StrEnum):
    """A kind of question."""

    DENT = "dent"  # which shafts are the ends in this dent on? () where it is empty
    COUNT = "count"  # how many ends are in these dents?
    ALONG = "along"  # does each of these dents hold what it should, and does no end there cross another? 1 or 0


ReedAnswer = int | tuple[Shafts, ...]  # of DENT: the shafts of each end, in rising order


@dataclass(frozen=True, slots=True)
class ReedQuestion:
    """A question about dents, from the first to the last named."""

    ask: ReedAsk
    first: int
    last: int


class Resley(StrEnum):
    """How a group is set right in the reed."""

    NOTHING = "nothing"
    ONWARD = "onward"  # all ends from a dent on are sleyed anew, so that they lie in theirs
    PAIR = "pair"  # two ends that are crossed


@dataclass(frozen=True, slots=True)
class ReedRepair:
    """The ends that come out and are sleyed anew, each in its own dent; `mistake` is what it was, so far as known."""

    way: Resley
    mistake: SleyMistake
    dent: int = 0  # the first that differs
    first: int = 0  # ends of the group
    last: int = 0


@dataclass(frozen=True, slots=True)
class ReedVerdict:
    """What came out: `found`; or `undecided`, and then the repair sleys anew all that may differ."""

    outcome: Outcome
    right_up_to: int  # the dent up to which all was seen to be right
    repair: ReedRepair


class ReedTable:
    """What each hypothesis answers. The first rows are named mistakes; "something else" is worked out by its dent."""

    def __init__(self, group: Sleying, hypotheses: Sequence[InDents]):
        self.group, self.hypotheses = group, hypotheses
        self.dents = len(group.due)
        self.reach = max(self.dents, *(len(each.held) for each in hypotheses))
        held = np.array([each.held + (0,) * (self.reach - len(each.held)) for each in hypotheses], dtype=np.int32)
        before = np.zeros((len(held), 1), dtype=np.int32)
        self.sums: Codes = np.hstack([before, held.cumsum(axis=1)])  # ends up to each dent
        due = np.array(group.due + (0,) * (self.reach - self.dents), dtype=np.int32)
        fine = held == due
        for row, each in enumerate(hypotheses):
            for dent in filter(None, each.crossed):
                fine[row, dent - 1] = False
        self._fine = np.hstack([before, fine.cumsum(axis=1)])
        self._code: dict[ReedAnswer, int] = {}
        self._held = held
        self._contents: dict[int, Codes] = {}
        self.expected = next(row for row, each in enumerate(hypotheses) if not each.dent)
        onward = [self.onward(dent) for dent in range(1, self.dents + 1)]
        named = [self._repair(each) for each in hypotheses]
        number = {repair: number for number, repair in enumerate(dict.fromkeys((*onward, *named)))}
        self.repairs = tuple(number)
        self.repair_of_named = np.array([number[repair] for repair in named])
        self.repair_of_else = np.array([number[repair] for repair in onward] * 2)  # of what stays near, and shifts

    def onward(self, dent: int) -> ReedRepair:
        """All from a dent on is sleyed anew."""
        return ReedRepair(Resley.ONWARD, SleyMistake.ELSE, dent, self.group.first_end(dent), len(self.group.shafts))

    def _repair(self, each: InDents) -> ReedRepair:
        """What sets it right, whatever the mistake is called."""
        if not each.dent:
            return ReedRepair(Resley.NOTHING, SleyMistake.ELSE)
        if any(each.crossed):
            following = self.group.first_end(each.crossed[1])
            return ReedRepair(Resley.PAIR, SleyMistake.ELSE, each.dent, following - 1, following)
        return self.onward(each.dent)

    def answers(self, asked: ReedQuestion) -> Codes:
        """What each named hypothesis answers."""
        if asked.ask is ReedAsk.DENT:
            return self._content(asked.first)
        if asked.ask is ReedAsk.COUNT:
            return np.asarray(self.sums[:, asked.last] - self.sums[:, asked.first - 1])
        fine = self._fine[:, asked.last] - self._fine[:, asked.first - 1]
        return np.asarray(fine == asked.last - asked.first + 1).astype(np.int32)

    def code(self, asked: ReedQuestion, answer: ReedAnswer) -> int:
        """An answer as the number that stands for it in `answers`."""
        return self._code.get(answer, -1) if asked.ask is ReedAsk.DENT else int(answer)  # type: ignore[arg-type]

    def contents(self, dent: int) -> list[tuple[Shafts, ...]]:
        """What a dent may hold, by any of the hypotheses: the shafts of each end."""
        there = set(self._content(dent).tolist())
        return [ends for ends, code in self._code.items() if code in there and isinstance(ends, tuple)]

    def _content(self, dent: int) -> Codes:
        """The shafts in a dent by each hypothesis, as numbers."""
        if dent not in self._contents:
            starts, counts = self.sums[:, dent - 1].tolist(), self._held[:, dent - 1].tolist()
            known = {pair: self._numbered(pair[0], pair[1]) for pair in set(zip(starts, counts, strict=True))}
            codes = [known[pair] for pair in zip(starts, counts, strict=True)]
            for row, each in enumerate(self.hypotheses):
                if dent in each.crossed:
                    codes[row] = self._crossed(each, dent)
            self._contents[dent] = np.array(codes, dtype=np.int32)
        return self._contents[dent]

    def _numbered(self, start: int, count: int) -> int:
        return self._number(self.group.shafts[start : start + count])

    def _crossed(self, each: InDents, dent: int) -> int:
        """What a dent holds that has given an end for another."""
        ends = list(range(sum(each.held[: dent - 1]), sum(each.held[:dent])))
        if dent == each.crossed[0]:
            ends[-1] += 1
        else:
            ends[0] -= 1
        return self._number(tuple(self.group.shafts[end] for end in ends))

    def _number(self, shafts: Sequence[Shafts]) -> int:
        return self._code.setdefault(tuple(sorted(shafts)), len(self._code))


@dataclass(frozen=True, eq=False)
class ReedSearch:
    """A search as it stands; every answer gives a new one."""

    table: ReedTable
    weights: Weights  # of each named hypothesis, then of "something else" from each dent on; together 1
    asked: tuple[tuple[ReedQuestion, ReedAnswer | None], ...] = ()  # None: not sure

    @classmethod
    def of(cls, group: Sleying, over: int, mended: bool = False) -> "ReedSearch":
        """A search in a group that ends so many dents too far (short of its dent: negative).

        `mended`: something was set right in it already, and nothing else is suspected where it ends in its dent.
        """
        hypotheses, dents = list(in_dents(group, over)), len(group.due)
        named = np.array([each.weight for each in hypotheses])
        weights = np.concatenate([
            named / named.sum() * (1 - ELSEWHERE), np.full(2 * dents, ELSEWHERE / dents / 2)
        ])  # fmt: skip
        table = ReedTable(group, hypotheses)
        if mended and not over:
            weights[table.expected] = weights.sum() * MENDED / (1 - MENDED)
        return cls(table, weights / weights.sum())

    @property
    def question(self) -> ReedQuestion | None:
        """What to ask next: the most bits for the effort; None where there is a verdict."""
        return None if self._settled or len(self.asked) >= ENOUGH else self._next

    @property
    def verdict(self) -> ReedVerdict | None:
        """What came out, None while there are questions to ask."""
        if self.question is not None:
            return None
        return self._settled or self._from_where_it_is_right

    def answer(self, answer: ReedAnswer | None) -> "ReedSearch":
        """The search after an answer to its question; None is "not sure"."""
        asked = self.question
        return self if asked is None else self.told(asked, answer)

    def told(self, asked: ReedQuestion, answer: ReedAnswer | None) -> "ReedSearch":
        """The search after an answer to any question; None is "not sure"."""
        after = replace(self, asked=(*self.asked, (asked, answer)))
        if answer is None:
            return after
        weights = self.weights * self._likelihood(asked, self.table.code(asked, answer))
        return replace(after, weights=weights / weights.sum())

    @property
    def bits(self) -> float:
        """Uncertainty about the repair, in bits."""
        return _entropy(self._repairs)

    @property
    def again(self) -> bool:
        """The question was answered before, and is asked once more."""
        return any(asked == self.question and answer is not None for asked, answer in self.asked)

    @property
    def right_up_to(self) -> int:
        """The last dent up to which every one was looked at or counted, and was as it should be."""
        fine = self._seen_fine(ReedAsk.DENT, ReedAsk.ALONG, ReedAsk.COUNT)
        return next((dent - 1 for dent in range(1, self.table.dents + 1) if dent not in fine), self.table.dents)

    def _seen_fine(self, *by: ReedAsk) -> set[int]:
        """The dents that the last answer about them says are as they should be."""
        fine: set[int] = set()
        for asked, answer in self.asked:
            if answer is None or asked.ask not in by:
                continue
            dents = range(asked.first, asked.last + 1)
            if self.table.code(asked, answer) == self._due(asked):
                fine.update(dents)
            elif len(dents) == 1:
                fine.difference_update(dents)
        return fine

    def _due(self, asked: ReedQuestion) -> int:
        """The answer where all is right."""
        return int(self.table.answers(asked)[self.table.expected])

    @property
    def _named(self) -> Weights:
        return self.weights[: len(self.table.hypotheses)]

    @property
    def _else(self) -> Weights:
        """The weight of "something else" from each dent on, first of what stays near, then of what shifts."""
        return self.weights[len(self.table.hypotheses) :]

    @property
    def _from_dent(self) -> Weights:
        """The weight of "something else" from each dent on, of either kind."""
        return np.asarray(self._else.reshape(2, -1).sum(axis=0))

    def _due_else(self, asked: ReedQuestion) -> Weights:
        """How probable the answer is, where something else begins at each dent, that is given where all is right."""
        dents = np.arange(1, self.table.dents + 1)
        at_it = (asked.first <= dents) if asked.ask is ReedAsk.ALONG else (asked.first == dents)
        staying = np.where(asked.first <= dents + NEAR, CLOSE_BY[asked.ask], FAR_OFF[asked.ask])
        past = [np.where(at_it, AT_IT[asked.ask], as_due) for as_due in (staying, SHIFTED[asked.ask])]
        return np.concatenate([np.where(dents > asked.last, 1 - WRONG_ANSWERS, each) for each in past])

    def _likelihood(self, asked: ReedQuestion, answer: int) -> Weights:
        others = 1 if asked.ask is ReedAsk.ALONG else OTHER_ANSWERS
        due = self._due_else(asked)
        named = np.where(self.table.answers(asked) == answer, 1 - WRONG_ANSWERS, WRONG_ANSWERS / others)
        return np.concatenate([named, due if answer == self._due(asked) else (1 - due) / others])

    # What comes out.

    @cached_property
    def _repairs(self) -> Weights:
        """The probability of each repair, whatever the mistake was."""
        many = len(self.table.repairs)
        return tally(self.table.repair_of_named, self._named, many) + tally(self.table.repair_of_else, self._else, many)

    @cached_property
    def _leading(self) -> int:
        return int(np.argmax(self._repairs))

    @property
    def _from_where_it_is_right(self) -> ReedVerdict:
        """What to do where no more is found out: sley anew from the first dent that may differ."""
        mass = np.zeros(self.table.dents + 1)
        np.add.at(mass, [repair.dent for repair in self.table.repairs], self._repairs)
        right = min(self.right_up_to, int(np.searchsorted(mass[1:].cumsum(), 1 - SURE, side="right")))
        return ReedVerdict(Outcome.UNDECIDED, right, self.table.onward(min(right + 1, self.table.dents)))

    @cached_property
    def _settled(self) -> ReedVerdict | None:
        if self._repairs[self._leading] < SURE or self._to_look_at:
            return None
        if self.table.repairs[self._leading].way is Resley.NOTHING and self._unseen:
            return None
        repair = replace(self.table.repairs[self._leading], mistake=self._mistake)
        return ReedVerdict(Outcome.FOUND, self.right_up_to, repair)

    @property
    def _mistake(self) -> SleyMistake:
        """What it was, where that is known beside how it is set right."""
        speaking = np.where(self.table.repair_of_named == self._leading, self._named, 0.0)
        likeliest = int(np.argmax(speaking))
        known = speaking[likeliest] > NAMED * self._repairs[self._leading] and not self._contradicted(likeliest)
        return self.table.hypotheses[likeliest].mistake if known else SleyMistake.ELSE

    def _contradicted(self, row: int) -> bool:
        """A look at the dent that a named mistake begins with has shown something else."""
        here = self.table.hypotheses[row].dent
        looks = [pair for pair in self.asked if pair[0].first == here and pair[0].ask is ReedAsk.DENT]
        return any(
            answer is not None and self.table.code(asked, answer) != self.table.answers(asked)[row]
            for asked, answer in looks[-1:]
        )

    @cached_property
    def _to_look_at(self) -> list[ReedQuestion]:
        """What has to be looked at before the leading repair is told: nothing unseen is called right."""
        leading, looked = self.table.repairs[self._leading], {asked for asked, _ in self.asked}
        if leading.way is Resley.ONWARD:
            here = ReedQuestion(ReedAsk.DENT, leading.dent, leading.dent)
            return [here] if here not in looked else []
        if leading.way is Resley.PAIR:
            used = [dent for dent, ends in enumerate(self.table.group.due, 1) if ends and dent >= leading.dent][:2]
            along = ReedQuestion(ReedAsk.ALONG, leading.dent, leading.dent)
            dents = [along, *(ReedQuestion(ReedAsk.DENT, dent, dent) for dent in used)]
            return [asked for asked in dents if asked not in looked]
        if leading.way is Resley.NOTHING:
            parts = [asked for unseen in self._unseen for asked in _halves(unseen)]
            return [asked for asked in parts if asked not in looked]
        return []

    @property
    def _unseen(self) -> list[ReedQuestion]:
        """The stretches that no look along the reed has found right."""
        fine = self._seen_fine(ReedAsk.ALONG)
        dents = [dent for dent in range(1, self.table.dents + 1) if dent not in fine]
        return [ReedQuestion(ReedAsk.ALONG, first, last) for first, last in runs(dents).spans]

    # Which question comes next.

    @cached_property
    def _next(self) -> ReedQuestion | None:
        if self._repairs[self._leading] >= SURE and self._to_look_at:
            return self._to_look_at[0]
        answered = [asked for asked, answer in self.asked if answer is not None]
        unsure = {asked for asked, answer in self.asked if answer is None}
        fresh = [asked for asked in self._candidates() if asked not in answered and asked not in unsure]
        once = [asked for asked in dict.fromkeys(answered) if answered.count(asked) == 1 and asked not in unsure]
        return self._best(fresh) or self._best(once)

    def _best(self, questions: Sequence[ReedQuestion]) -> ReedQuestion | None:
        bits = np.array([self._bits(asked) for asked in questions])
        worth = bits / np.array([self._effort(asked) for asked in questions])
        best = int(np.argmax(worth)) if len(worth) else -1
        return questions[best] if best >= 0 and bits[best] > WORTH_ASKING else None

    def _bits(self, asked: ReedQuestion) -> float:
        """Bits that the answer is expected to give about the repair."""
        answers, named = np.unique(self.table.answers(asked), return_inverse=True)
        many, repairs = len(answers), len(self.table.repairs)
        others = 1 if asked.ask is ReedAsk.ALONG else many  # and one that none expects
        expected, due = int(named[self.table.expected]), self._due_else(asked)
        joint = np.zeros((repairs, max(many, others + 1)))
        cells = self.table.repair_of_named * many + named
        joint[:, :many] = tally(cells, self._named, repairs * many).reshape(repairs, many)
        mass = joint.sum(axis=1, keepdims=True)
        joint = joint * (1 - WRONG_ANSWERS) + (mass - joint) * (WRONG_ANSWERS / others)
        as_due = tally(self.table.repair_of_else, self._else * due, repairs)
        unlike = tally(self.table.repair_of_else, self._else * (1 - due) / others, repairs)
        joint += unlike[:, None]
        joint[:, expected] += as_due - unlike
        return _entropy(joint.sum(axis=0)) + _entropy(joint.sum(axis=1)) - _entropy(joint)

    def _effort(self, asked: ReedQuestion) -> float:
        """What asking, finding the dents and looking takes, in the time of counting one end."""
        group = self.table.group
        if asked.ask is ReedAsk.COUNT:
            return ASKING + sum(group.due[asked.first - 1 : asked.last])
        if asked.ask is ReedAsk.ALONG:
            return ASKING + LOOKING * (asked.last - asked.first + 1)
        known = (0, *group.marks, self.table.dents + 1, *(last for seen, _ in self.asked for last in (seen.last,)))
        return ASKING + min(abs(asked.first - dent) for dent in known)

    def _candidates(self) -> Iterator[ReedQuestion]:
        """The questions worth weighing: any dent, counts between marks, looks along what is likely to hold it."""
        dents = self.table.dents
        yield from (ReedQuestion(ReedAsk.DENT, dent, dent) for dent in range(1, dents + 1))
        cuts = self._cuts()
        marks = [0, *self.table.group.marks, dents]
        near = sorted({0, dents, *(min(marks, key=lambda mark: abs(mark - cut)) for cut in cuts)})
        yield from (ReedQuestion(ReedAsk.COUNT, one + 1, other) for one, other in combinations(near, 2))
        borders = sorted({0, dents, *cuts})
        yield from (ReedQuestion(ReedAsk.ALONG, one + 1, other) for one, other in combinations(borders, 2))

    def _cuts(self) -> list[int]:
        """The dents that part the places of the mistake into stretches of about equal weight."""
        mass = np.zeros(self.table.dents + 1)
        np.add.at(mass, [each.dent for each in self.table.hypotheses], self._named)
        mass[1:] += self._from_dent
        sums = list(accumulate(mass[1:].tolist()))
        wanted = np.searchsorted(sums, sums[-1] * np.arange(1, CUTS) / CUTS)
        return [min(int(cut), self.table.dents - 1) for cut in wanted]


def _halves(asked: ReedQuestion) -> Iterator[ReedQuestion]:
    """A look along the reed, and those along its parts, the longest first."""
    parts = [asked]
    while parts:
        yield from parts
        parts = [half for part in parts if part.last > part.first for half in _halved(part)]


def _halved(asked: ReedQuestion) -> tuple[ReedQuestion, ReedQuestion]:
    middle = (asked.first + asked.last) // 2
    return replace(asked, last=middle), replace(asked, first=middle + 1)


def _entropy(chances: Weights) -> float:
    some = chances[chances > 0]
    return float(-(some * np.log2(some)).sum())
