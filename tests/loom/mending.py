"""A weaver at the loom who closes a group that did not come out, answers the finder, and does what it says."""

import random
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from harness import Due, Loom
from slips import SLIPS, Work, slipped

from assistant.finder import NO_EYE, NOT_A_SHAFT, Answer, Ask, Choice, Look, Question, Way
from assistant.finder.heddle import holding
from assistant.rehearsal.at_the_loom import mistaken, seen, set_right
from assistant.rehearsal.closing import ROUNDS
from assistant.warp.sequence import load

SEQUENCES = Path(__file__).parents[2] / "sequences"
SMALLEST, LARGEST = 8, 120  # ends of a group
MOST_SHAFTS = 24


@dataclass(frozen=True)
class Group:
    """A group of the draft: its ends, where its calls begin, the shafts of the loom."""

    draft: tuple[Due, ...]
    calls: tuple[int, ...]
    shafts: int
    in_heddles: bool = False  # some hold several ends, or ends float at its edges: heddles are counted
    floating: tuple[int, int] = (0, 0)

    @classmethod
    def called(cls, draft: Sequence[Due], shafts: int, size: int) -> "Group":
        """Called so many ends at a time."""
        return cls(tuple(draft), tuple(range(0, len(draft), size)), shafts)

    def look(self, over: int, left: dict[int, int] | None) -> Look:
        """A search begun where so many ends are over, and heddles left."""
        expected = [holding(due.shafts, due.ends) for due in self.draft]
        yarns = [due.yarn for due in self.draft]
        return Look.begin(
            expected, self.calls, self.shafts, over, left, yarns, in_heddles=self.in_heddles, floating=self.floating
        )


def example_groups() -> list[tuple[tuple[Due, ...], int]]:
    """Every group of the example warps, of each kind one, with the shafts of its loom."""
    warps = [load(path) for path in sorted(SEQUENCES.glob("*.yaml"))]
    groups = [
        (tuple(Due(tuple(sorted(end.shafts)), str(end.yarn)) for end in group.ends), warp.loom.shafts)
        for warp in warps
        for group in warp.groups
        if not any(end.joins or end.floats for end in group.ends)
    ]
    return [group for group in dict.fromkeys(groups) if SMALLEST <= len(group[0]) <= LARGEST]


def any_group(rng: random.Random, examples: Sequence[tuple[tuple[Due, ...], int]]) -> Group:
    """Half the time one of the examples, half invented; 1 to 12 ends a call, mostly 4."""
    draft, shafts = rng.choice(examples) if rng.random() < 0.5 else invented(rng)
    return Group.called(draft, shafts, rng.choice([4, 4, 4, *range(1, 13)]))


def invented(rng: random.Random) -> tuple[tuple[Due, ...], int]:
    """A threading: by chance, straight, pointed, or a block by chance that repeats; of one yarn, or striped."""
    ends, shafts = rng.randint(SMALLEST, LARGEST), rng.randint(2, MOST_SHAFTS)
    straight = list(range(1, shafts + 1))
    repeat = rng.choice([
        [rng.randint(1, shafts) for _ in range(ends)],
        straight,
        straight + straight[-2:0:-1],
        [rng.randint(1, shafts) for _ in range(rng.randint(2, 24))],
    ])  # fmt: skip
    stripe = rng.choice([ends, ends, rng.randint(1, 12)])
    yarn = ["one", "other"]
    return tuple(Due((repeat[at % len(repeat)],), yarn[at // stripe % 2]) for at in range(ends)), shafts


def with_pairs(rng: random.Random) -> Group:
    """An invented group, of which some heddles hold several ends: at its edges, in each repeat, or here and there."""
    draft, shafts = invented(rng)
    at_edges, each, some = rng.choice([0, 2, 4]), rng.choice([0, 0, 2, 3, 4, 6]), rng.choice([0.0, 0.0, 0.1, 0.3])

    def ends(at: int) -> int:
        several = at < at_edges or at >= len(draft) - at_edges or (each and at % each == 0) or rng.random() < some
        return rng.choice([2, 2, 2, 3]) if several else 1

    held = tuple(replace(due, ends=ends(at)) for at, due in enumerate(draft))
    floating = rng.choice([(0, 0), (1, 0), (0, 1), (1, 1), (2, 2)])
    return replace(Group.called(held, shafts, rng.choice([4, 4, *range(1, 13)])), in_heddles=True, floating=floating)


@dataclass
class Mended:
    """What came of a group: the kinds of mistakes made, how the searches went, how it hangs."""

    kinds: tuple[str, ...]
    right: bool = False
    called_right: bool = False  # settled, or closed even after what was done
    found: bool = True  # no search led nowhere
    searches: int = 0
    questions: int = 0
    most: int = 0  # questions in one search
    counted: int = 0  # ends
    whole: int = 0  # ends, where every look that is asked for again begins at its side
    again: int = 0  # questions asked again that were answered
    in_a_row: int = 0  # of these, the very next
    out: int = 0  # ends that came out
    anew: int = 0  # ends that would have come out, threading anew from the first that comes out
    halved: int = 0  # ends counted by plain bisection for each search
    ways: list[Way] = field(default_factory=list)
    asked: list[tuple[Question, Answer | None]] = field(default_factory=list)


def mend(group: Group, kinds: Sequence[str], rng: random.Random, wrong_answers: float = 0.0) -> Mended | None:
    """Thread a group with mistakes of these kinds, and look for them until it closes; None where none left a mark."""
    work = Work.of(group.draft, group.calls, group.shafts, group.in_heddles, group.floating)
    made = tuple(slipped(work, rng, kinds))
    loom, over = work.done()
    counts_heddles = rng.random() < 0.5
    left = {shaft: loom.heddles_left(shaft) for shaft in range(1, group.shafts + 1)} if counts_heddles else None
    if not made or (loom.right and not over and not any((left or {}).values())):
        return None
    told = Mended(made)
    for _ in range(ROUNDS):
        told.halved += halved(loom)
        choice = search(group.look(over, left), loom, told, rng, wrong_answers)
        if choice is None:
            told.found = False
            break
        told.out, told.anew = told.out + choice.repair.taken_out, told.anew + threaded_anew(loom, choice)
        told.ways.append(choice.repair.way)
        over, left = set_right(loom, choice), None
        if choice.repair.way is Way.NOTHING or not over:
            told.called_right = True
            break
    told.right = loom.right
    return told


def halved(loom: Loom) -> int:
    """The ends counted by looking at the middle of what is left, from the nearest end known, until one is left."""
    low, high, at, counted = 1, len(loom.draft) + 1, 0, 0
    while low < high:
        middle = (low + high) // 2
        counted, at = counted + min(middle, abs(middle - at)), middle
        if loom.shafts(middle) == loom.draft[middle - 1].shafts:
            low = middle + 1
        else:
            high = middle
    return counted


def threaded_anew(loom: Loom, choice: Choice) -> int:
    """The ends that come out where all from the first concerned on is threaded anew."""
    return max(0, len(loom.hanging) + 1 - choice.repair.first) if choice.repair.taken_out or choice.repair.heddle else 0


def search(look: Look, loom: Loom, told: Mended, rng: random.Random, wrong_answers: float) -> Choice | None:
    """Answer what is asked; the cheapest that is to be done then, None where that leads nowhere."""
    asked: list[Question] = []
    while (question := look.question) is not None:
        told.again += question in asked and not look.again
        told.in_a_row += asked[-1:] == [question] and not look.again
        asked.append(question)
        counted = look.search.landmark.counted(question)
        told.counted += counted
        told.whole += question.end if look.again and question.ask is Ask.RIGHT_UP_TO else counted
        answer = seen(loom, question)
        if rng.random() < wrong_answers:
            answer = mistaken(loom, question, answer, rng)
        told.asked.append((question, answer))
        look = answered(look, answer)
    told.searches += 1
    told.questions += len(asked)
    told.most = max(told.most, len(asked))
    return look.choices[0] if look.choices else None


def answered(look: Look, answer: Answer | None) -> Look:
    """The look after an answer, told number by number."""
    question = look.question
    if answer is None or question is None:
        return look.not_sure()
    if answer == NO_EYE:
        return look.no_eye()
    if isinstance(answer, int):
        return (look.lacking() if answer < 0 and question.ask is Ask.HEDDLES else look).number(abs(answer))
    for number in answer or (NOT_A_SHAFT,):
        look = look.number(number)
    return look.no_more() if look.told else look


def kinds_of(rng: random.Random, many: int, kinds: Sequence[str] = tuple(SLIPS)) -> list[str]:
    """So many mistakes, of kinds by chance."""
    return [rng.choice(kinds) for _ in range(many)]
