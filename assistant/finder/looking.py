"""Looking for the mistake in a group that is off: a search, and the way back through its answers."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from assistant.finder.hypotheses import Observation, two_mistakes
from assistant.finder.mistakes import GroupToSearch
from assistant.finder.questions import Answer, Ask, Question
from assistant.finder.search import Outcome, Search, Verdict
from assistant.warp.notation import Shafts

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
    in_pairs: bool = False  # two mistakes are looked for, since no single one fits

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
        return cls(group, observation, Search.of(group, observation))._settled()

    @property
    def question(self) -> Question | None:
        """What is asked; None where there is a verdict."""
        return self.search.question()

    @property
    def verdict(self) -> Verdict | None:
        """What came out, None while there are questions to ask."""
        return self.search.verdict()

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
        return self.group.shafts if question.ask is Ask.SHAFTS else len(self.group.expected)

    def number(self, number: int) -> "Look":
        """A number was told: the shaft of an end, one of its shafts, or a count."""
        question = self.question
        if question is None or question.ask is not Ask.SHAFTS:
            return self._answer(-number if self.short else number)
        told = (*self.told, number) if number != NOT_A_SHAFT else ()
        if number == NOT_A_SHAFT or len(told) == self.most_shafts:
            return self._answer(tuple(sorted(told)))
        return replace(self, told=told)

    def no_more(self) -> "Look":
        """The end is on no further shaft."""
        return self._answer(tuple(sorted(self.told)))

    def not_sure(self) -> "Look":
        """The weaver cannot tell; where heddles were asked about, none were counted out."""
        question = self.question
        if question is not None and question.ask is Ask.HEDDLES:
            search = replace(self.search, countable=frozenset[int]())
            answers = (*self.answers, (question, None))
            return replace(self, search=search, answers=answers, told=(), short=False)._settled()
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
        return replace(here, search=after, before=(*self.before, here), answers=answers)._settled()

    def _settled(self) -> "Look":
        """On to two mistakes where no single one fits."""
        verdict = self.verdict
        if self.in_pairs or verdict is None or verdict.outcome is Outcome.FOUND:
            return self
        pairs = two_mistakes(self.group, self.observation, self.search.answers, self.search.error)
        return replace(self, search=self.search.among(pairs), in_pairs=True) if pairs else self
