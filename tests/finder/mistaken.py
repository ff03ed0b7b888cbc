"""Groups threaded with one mistake, and the weaver who looks at them and answers, sometimes wrongly."""

import random
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from assistant.finder import (
    NO_END,
    YES,
    Answer,
    Ask,
    GroupToSearch,
    Mistake,
    MistakeKind,
    Observation,
    Question,
    Repair,
    Search,
    Side,
    Verdict,
    answered,
)
from assistant.finder.mistakes import LeftBehind, left_by, mistakes
from assistant.finder.repair import repair
from assistant.warp.notation import Ends
from assistant.warp.sequence import load

SEQUENCES = Path(__file__).parents[2] / "sequences"


@cache
def examples(smallest: int = 8, largest: int = 120) -> list[tuple[Ends, int]]:
    """The threading of every kind of group in the example warps, with the shafts of the loom."""
    warps = [load(path) for path in sorted(SEQUENCES.glob("*.yaml"))]
    kinds = [(tuple(end.shafts for end in group.ends), warp.loom.shafts) for warp in warps for group in warp.groups]
    kinds = [kind for kind in kinds if all(kind[0])]  # none floats
    return [kind for kind in dict.fromkeys(kinds) if smallest <= len(kind[0]) <= largest]


def invented(rng: random.Random, smallest: int = 8, largest: int = 120) -> tuple[Ends, int]:
    """A threading: by chance, straight, pointed, or a block by chance that repeats."""
    ends, shafts = rng.randint(smallest, largest), rng.randint(2, 24)
    straight = list(range(1, shafts + 1))
    repeat = rng.choice([
        [rng.randint(1, shafts) for _ in range(ends)],
        straight,
        straight + straight[-2:0:-1],
        [rng.randint(1, shafts) for _ in range(rng.randint(2, 24))],
    ])  # fmt: skip
    return tuple((repeat[at % len(repeat)],) for at in range(ends)), shafts


def called(threading: tuple[Ends, int], per_call: int) -> GroupToSearch:
    """The group, called so many ends at a time."""
    ends, shafts = threading
    return GroupToSearch(ends, tuple(range(0, len(ends), per_call)), shafts)


def any_group(rng: random.Random, ready: list[tuple[Ends, int]]) -> GroupToSearch:
    """Half the time one of those ready, half invented; 1 to 12 ends a call, mostly 4."""
    return called(rng.choice(ready) if rng.random() < 0.5 else invented(rng), rng.choice([4, 4, 4, *range(1, 13)]))


@dataclass(frozen=True)
class Case:
    """A group, the mistake made in it, what it left, and what was noticed at closing."""

    group: GroupToSearch
    mistake: Mistake
    left: LeftBehind
    observation: Observation

    @property
    def repair(self) -> Repair:
        """What would set it right."""
        return repair(self.group.expected, self.left.loom, self.left.over)

    @property
    def noticed(self) -> bool:
        """Whether closing showed that something is wrong."""
        return bool(self.left.over or any((self.observation.heddles or {}).values()))

    def answer(self, question: Question) -> Answer:
        """What is true."""
        loom = self.left.loom
        match question.ask:
            case Ask.SHAFTS if question.end > len(loom):
                return NO_END
            case Ask.SHAFTS:
                return loom[question.end - 1 if question.side is Side.FIRST else -question.end]
            case Ask.COUNT:
                return sum(question.shaft in end for end in loom[: question.end])
            case Ask.HEDDLES:
                return dict(self.left.heddles).get(question.shaft, 0)
            case Ask.RIGHT_UP_TO:
                return answered(question, self.left, self.group.expected)

    def wrong_answer(self, question: Question, rng: random.Random) -> Answer:
        """What a weaver who miscounts by one end, or misreads the shafts, says: never the truth."""
        truth = self.answer(question)
        if question.ask is Ask.RIGHT_UP_TO:
            return 1 - int(truth == YES)
        if isinstance(truth, int):
            return truth + rng.choice([-1, 1])
        loom = self.left.loom
        at = question.end if question.side is Side.FIRST else len(loom) + 1 - question.end
        near = [loom[end - 1] for end in (at - 1, at + 1) if 1 <= end <= len(loom) and loom[end - 1] != truth]
        far = [end for end in {NO_END, *self.group.expected} if end != truth]
        return rng.choice(near) if near and rng.random() < 0.5 else rng.choice(sorted(far))


def closed(group: GroupToSearch, mistake: Mistake, rng: random.Random, counted_out: bool) -> Case:
    """The group closed; where heddles were counted out, none, half or all of the shafts are looked at."""
    left = left_by(group.expected, mistake)
    if not counted_out:
        return Case(group, mistake, left, Observation(left.over))
    heddles, share = dict(left.heddles), rng.choice([0, 0.5, 1, 1])
    looked = {shaft: heddles.get(shaft, 0) for shaft in range(1, group.shafts + 1) if rng.random() < share}
    return Case(group, mistake, left, Observation(left.over, looked))


def cases(rng: random.Random, wanted: int, kind: MistakeKind | None = None, noticed: bool = True) -> Iterator[Case]:
    """Single mistakes, as often as they are made, of which closing shows something (or does not)."""
    ready = examples()
    while wanted:
        group = any_group(rng, ready)
        made = [(each, rate) for each, rate in mistakes(group)
                if kind in (None, each.kind)]  # fmt: skip
        for _ in range(20):
            mistake = rng.choices([each for each, _ in made], [rate for _, rate in made])[0]
            case = closed(group, mistake, rng, rng.random() < 0.5)
            if case.noticed is noticed:
                wanted -= 1
                yield case
                break


@dataclass(frozen=True)
class Told:
    """How a search went."""

    search: Search
    verdict: Verdict
    questions: int
    counted: int  # ends

    def found(self, case: Case) -> bool:
        """What came out sets the group right."""
        if self.verdict.hypothesis is None:
            return False
        todo, loom, expected = self.verdict.hypothesis.repair, case.left.loom, case.group.expected
        at = max(todo.first - 1, 0)
        return loom[:at] + expected[at : at + todo.threaded] + loom[at + todo.taken_out :] == expected


def search(case: Case, rng: random.Random, error: float, begin: Search | None = None) -> Told:
    """Ask until there is a verdict."""
    at = begin or Search.of(case.group, case.observation, error)
    questions = counted = 0
    while (verdict := at.verdict()) is None:
        question = at.question()
        assert question is not None
        counted += at.landmark.counted(question)
        questions += 1
        wrong = rng.random() < error
        at = at.answer(question, case.wrong_answer(question, rng) if wrong else case.answer(question))
    return Told(at, verdict, questions, counted)
