"""Looking for the mistake in a group that is off: a search, and the way back through its answers."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

from assistant.finder.as_before import SearchAsBefore
from assistant.finder.choices import Choice, choices, left
from assistant.finder.heddle import held, one
from assistant.finder.hypotheses import Observation
from assistant.finder.mistakes import GroupToSearch
from assistant.finder.questions import NO, NO_EYE, YES, Answer, Ask, Question, Reason, Side
from assistant.finder.repair import Repair, Way
from assistant.finder.search import Outcome, Search, Verdict
from assistant.warp.notation import Shafts

NOT_A_SHAFT = 0  # said in place of a shaft: there is no such end

AnySearch = Search | SearchAsBefore


@dataclass(frozen=True)
class Look:
    """A search as it stands, with the searches before each answer, and the shafts told so far of the end asked for.

    It follows from what it was begun with and what was told since, in its order: by these two Looks compare. The search
    is worked out once it is looked at.
    """

    group: GroupToSearch
    observation: Observation
    searched: Callable[[], AnySearch] = field(compare=False, repr=False)
    before: tuple["Look", ...] = field(default=(), compare=False, repr=False)
    answers: tuple[tuple[Question, Answer | None], ...] = ()  # since it was begun; None: not sure
    told: Shafts = ()
    short: bool = False  # the number to come is of heddles that lack
    asked: Question | None = field(default=None, compare=False, repr=False)  # whatever the search would ask

    @classmethod
    def begin(
        cls,
        expected: Sequence[Shafts],
        starts: Sequence[int],
        shafts: int,
        over: int,
        heddles: Mapping[int, int] | None,
        yarns: Sequence[str] = (),
        as_before: bool = False,
        in_heddles: bool = False,
        floating: tuple[int, int] = (0, 0),
        perhaps: int = 0,
    ) -> "Look":
        """A search in a group with so many ends over (short: negative), called from these ends on (from 0).

        The shafts of an end are expected the lowest first.

        `heddles` is how many are left (lack: negative) on the shafts looked at; None where none were counted out.
        `yarns` are those of the ends; none need be told where all are of one.
        `as_before`: its questions are chosen as they were in journals up to format 6.
        `in_heddles`, `floating` as of a GroupToSearch, `perhaps` as of an Observation.
        """
        group = GroupToSearch(tuple(expected), tuple(starts), shafts, tuple(yarns), in_heddles, floating)
        observation = Observation(over, dict(heddles) if heddles is not None else None, perhaps)
        return cls(group, observation, cache(lambda: (SearchAsBefore if as_before else Search).of(group, observation)))

    @property
    def search(self) -> AnySearch:
        """The search as it stands."""
        for look in self.before:  # one after the other, so that none waits for a long row of others
            look.searched()
        return self.searched()

    @property
    def question(self) -> Question | None:
        """What is asked; None where there is a verdict."""
        return self.asked or self.search.question()

    def asking(self, question: Question | None) -> "Look":
        """The same with this question asked, whatever the search would ask; None: what the search asks."""
        if question is None and self.asked is not None:
            goes_on = self.search.question() == self.asked
            return replace(self, asked=None, told=self.told if goes_on else (), short=self.short and goes_on)
        return replace(self, asked=question)

    def can_ask(self, question: object) -> bool:
        """Whether there is such a question about this group."""
        if not isinstance(question, Question):
            return False
        if not 0 <= question.lacking <= len(self.group.expected) - question.end:
            return False
        ends, shafts = range(1, len(self.group.expected) + 1), range(1, self.group.shafts + 1)
        match question.ask:
            case Ask.HEDDLES:
                return question.shaft in shafts
            case Ask.COUNT:
                return question.end in ends and question.side is Side.FIRST and question.shaft in shafts
            case _:
                return question.end in ends

    @property
    def verdict(self) -> Verdict | None:
        """What came out, None while there are questions to ask."""
        return self.search.verdict()

    @property
    def leads_on(self) -> bool:
        """A mistake was found."""
        return self.verdict is not None and self.verdict.outcome is Outcome.FOUND

    @property
    def repair(self) -> Repair | None:
        """What sets the group right, where that was found."""
        verdict = self.verdict
        return verdict.hypothesis.repair if verdict and verdict.hypothesis else None

    @property
    def choices(self) -> tuple[Choice, ...]:
        """The ways to set the group right, the cheapest first, and last to leave it; none where nothing was found."""
        verdict, group = self.verdict, self.group
        if verdict is None or verdict.hypothesis is None:
            return ()
        if verdict.certain:
            over = verdict.hypothesis.mistake.over if verdict.hypothesis.mistake else self.observation.over
            return choices(group.expected, verdict.hypothesis.loom, over, group.yarns, group.in_heddles)
        todo = verdict.hypothesis.repair
        if todo.way is Way.NOTHING or isinstance(self.search, SearchAsBefore):
            return (Choice(todo),)
        return (Choice(todo), *self._all_from(todo), left(todo))

    def _all_from(self, todo: Repair) -> list[Choice]:
        """To thread all anew from where a repair begins, where that does not do so."""
        ends = len(self.group.expected)
        anew = Repair(Way.REDO, todo.first, ends - todo.first + 1, ends - todo.first + 1)
        return [Choice(anew)] if todo.way is Way.REDO and todo.first + todo.threaded <= ends else []

    @property
    def again(self) -> Reason | None:
        """Why what is asked is asked again; None where it was not answered before."""
        return self.search.again(self.question) if self.question is not None else None

    @property
    def should_be(self) -> tuple[Shafts, ...]:
        """The shafts of the ends, or heddles, that are asked to be right, from the side named."""
        question = self.question
        if question is None or question.ask is not Ask.RIGHT_UP_TO:
            return ()
        return tuple(map(one, self._asked_to_be_right(question)))

    @property
    def should_hold(self) -> tuple[int, ...]:
        """How many ends each of these heddles should hold; () where ends are counted."""
        question = self.question
        if question is None or question.ask is not Ask.RIGHT_UP_TO or not self.group.in_heddles:
            return ()
        return tuple(map(held, self._asked_to_be_right(question)))

    def _asked_to_be_right(self, question: Question) -> tuple[Shafts, ...]:
        there = self.group.expected[: len(self.group.expected) - question.lacking]
        return (there if question.side is Side.FIRST else there[::-1])[: question.end]

    @property
    def most_shafts(self) -> int:
        """The most shafts that an end of the group is on."""
        return max(map(len, map(one, self.group.expected)))

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

    def number(self, number: int) -> "Look":
        """A number was told: the shaft of an end, one of its shafts, or a count."""
        question = self.question
        if question is None or question.ask is not Ask.SHAFTS:
            return self._answer(-number if self.short else number)
        told = (*self.told, number) if number != NOT_A_SHAFT else ()
        if number == NOT_A_SHAFT or len(told) == self.most_shafts:
            return self.on_shafts(told)
        return replace(self, told=told)

    def on_shafts(self, shafts: Shafts) -> "Look":
        """All the shafts that the end is on; () where there is no such end."""
        return self._answer(tuple(sorted(shafts)))

    def right_so_far(self, right: bool) -> "Look":
        """Whether each of the ends asked about is as it should be."""
        return self._answer(YES if right else NO)

    def no_more(self) -> "Look":
        """The end is on no further shaft."""
        return self.on_shafts(self.told)

    def no_eye(self) -> "Look":
        """The end hangs there between heddles."""
        return self._answer(NO_EYE)

    def not_sure(self) -> "Look":
        """The weaver cannot tell; where heddles were asked about, none were counted out."""
        question = self.question
        if question is not None and question.ask is Ask.HEDDLES:
            answers = (*self.answers, (question, None))
            searched = self._then(lambda search: search.no_heddles())
            return replace(self, searched=searched, answers=answers, told=(), short=False, asked=None)
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
        here = replace(self, told=(), short=False, asked=None)
        answers = (*self.answers, (question, answer))
        searched = self._then(lambda search: search.answer(question, answer))
        return replace(here, searched=searched, before=(*self.before, here), answers=answers, asked=None)

    def _then(self, told: Callable[[AnySearch], AnySearch]) -> Callable[[], AnySearch]:
        """The search after it was told something."""
        return cache(lambda: told(self.search))
