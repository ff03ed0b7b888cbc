"""Looking for the mistake in a group that is off: a search, and the way back through its answers."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from assistant.finder.hypotheses import Observation
from assistant.finder.mistakes import GroupToSearch
from assistant.finder.questions import NO, NO_EYE, YES, Answer, Ask, Question, Side
from assistant.finder.search import Search, Verdict
from assistant.meaning import Tell
from assistant.warp.notation import Shafts
from assistant.warp.passes import Figure

NOT_A_SHAFT = 0  # said in place of a shaft: there is no such end


@dataclass(frozen=True)
class Look:
    """A search as it stands, with the searches before each answer, and the shafts told so far of the end asked for.

    It follows from what it was begun with and what was told since, in its order: by these two Looks compare.
    """

    group: GroupToSearch
    observation: Observation
    search: Search = field(compare=False, repr=False)
    before: tuple["Look", ...] = field(default=(), compare=False, repr=False)
    answers: tuple[tuple[Question, Answer | None], ...] = ()  # since it was begun; None: not sure
    told: Shafts = ()
    short: bool = False  # the number to come is of heddles that lack

    @classmethod
    def begin(
        cls, expected: Sequence[Shafts], starts: Sequence[int], shafts: int, over: int, left: Mapping[int, int] | None
    ) -> "Look":
        """A search in a group with so many ends over (short: negative), called from these ends on (from 0).

        The shafts of an end are expected the lowest first.

        `left` is how many heddles are left (lack: negative) on the shafts looked at; None where none were counted out.
        """
        group = GroupToSearch(tuple(expected), tuple(starts), shafts)
        observation = Observation(over, dict(left) if left is not None else None)
        return cls(group, observation, Search.of(group, observation))

    @property
    def question(self) -> Question | None:
        """What is asked; None where there is a verdict."""
        return self.search.question()

    @property
    def verdict(self) -> Verdict | None:
        """What came out, None while there are questions to ask."""
        return self.search.verdict()

    @property
    def again(self) -> bool:
        """Whether what is asked was answered before, and is asked again because the answer surprised."""
        return self.question is not None and self.search.again(self.question)

    @property
    def should_be(self) -> tuple[Shafts, ...]:
        """The shafts of the ends that are asked to be right, from the side named."""
        question = self.question
        if question is None or question.ask is not Ask.RIGHT_UP_TO:
            return ()
        expected = self.group.expected if question.side is Side.FIRST else self.group.expected[::-1]
        return expected[: question.end]

    @property
    def most_shafts(self) -> int:
        """The most shafts that an end of the group is on."""
        return max(map(len, self.group.expected))

    @property
    def largest(self) -> int:
        """The largest number that may answer."""
        question = self.question
        if question is None:
            return 0
        match question.ask:
            case Ask.SHAFTS:
                return self.group.shafts
            case Ask.RIGHT_UP_TO:
                return YES
            case _:
                return len(self.group.expected)

    @property
    def figures(self) -> tuple[Figure, ...]:
        """What is asked, or where the mistake is, to be read across the room."""
        question, verdict = self.question, self.verdict
        if question is None:
            first = verdict.hypothesis.repair.first if verdict and verdict.hypothesis else 0
            return (Figure(str(first), Tell("caption: from this end on")),) if first else ()
        match question.ask:
            case Ask.SHAFTS:
                return (Figure(f"{question.end}?", Tell(f"caption: from {question.side}")),)
            case Ask.COUNT:
                shaft = Figure(str(question.shaft), Tell("caption: on this shaft"))
                return shaft, Figure(f"{question.end}?", Tell("caption: of the first ends"))
            case Ask.HEDDLES:
                return (Figure(f"{question.shaft}?", Tell("caption: heddles left")),)
            case Ask.RIGHT_UP_TO:
                return (Figure(f"1–{question.end}?", Tell(f"caption: from {question.side}")),)

    def number(self, number: int) -> "Look":
        """A number was told: the shaft of an end, one of its shafts, or a count."""
        question = self.question
        if question is None or question.ask is not Ask.SHAFTS:
            return self._answer(-number if self.short else number)
        told = (*self.told, number) if number != NOT_A_SHAFT else ()
        if number == NOT_A_SHAFT or len(told) == self.most_shafts:
            return self._answer(tuple(sorted(told)))
        return replace(self, told=told)

    def right_so_far(self, right: bool) -> "Look":
        """Whether each of the ends asked about is as it should be."""
        return self._answer(YES if right else NO)

    def no_more(self) -> "Look":
        """The end is on no further shaft."""
        return self._answer(tuple(sorted(self.told)))

    def no_eye(self) -> "Look":
        """The end hangs there between heddles."""
        return self._answer(NO_EYE)

    def not_sure(self) -> "Look":
        """The weaver cannot tell; where heddles were asked about, none were counted out."""
        question = self.question
        if question is not None and question.ask is Ask.HEDDLES:
            search = replace(self.search, countable=frozenset[int]())
            answers = (*self.answers, (question, None))
            return replace(self, search=search, answers=answers, told=(), short=False)
        return self._answer(None)

    def lacking(self) -> "Look":
        """The number to come is of heddles that lack."""
        return replace(self, short=True)

    def back(self) -> "Look | None":
        """As before the last answer; None at the first question."""
        if self.told or self.short:
            return replace(self, told=(), short=False)
        return self.before[-1] if self.before else None

    def _answer(self, answer: Answer | None) -> "Look":
        question = self.question
        if question is None:
            return self
        here = replace(self, told=(), short=False)
        after = self.search.answer(question, answer)
        answers = (*self.answers, (question, answer))
        return replace(here, search=after, before=(*self.before, here), answers=answers)
