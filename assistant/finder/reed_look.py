"""Looking for the mistake of a group in the reed: a search, and the way back through its answers."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import chain

from assistant.finder.choices import Choice, left
from assistant.finder.looking import NOT_A_SHAFT
from assistant.finder.questions import NO, YES, Reason
from assistant.finder.reed import ReedAnswer, ReedAsk, ReedQuestion, ReedSearch, ReedVerdict, Resley
from assistant.finder.repair import Repair, Way
from assistant.finder.sleying import Sleying
from assistant.warp.model import Edge, Warp
from assistant.warp.notation import Shafts
from assistant.warp.outward import Leg, Outward
from assistant.warp.passes.sley import MARK
from assistant.warp.passes.thread import shafts

MOST_DENTS = 500  # of a group: more would make each question wait


@dataclass(frozen=True)
class ReedLook:
    """A search in one group as it stands, with those before each answer, and the shafts told so far of a dent.

    Dents are numbered from where its leg of the warp begins. As Looks do, these compare by what the search was
    begun with and what was told since; it is worked out once it is looked at.
    """

    group: str
    start: Edge  # the side from which dents count
    sleying: Sleying
    before: int  # dents before the first of the group
    held: str  # ends in each dent, as the sley plan has them
    ends_before: int  # likewise
    shafts: int  # of the loom
    over: int  # dents by which it ended too far when the search was begun
    from_edge: bool  # the leg begins at an edge of the warp, where what lies before the group may move
    searched: Callable[[], ReedSearch] = field(compare=False, repr=False)
    earlier: tuple["ReedLook", ...] = field(default=(), compare=False, repr=False)
    answers: tuple[tuple[ReedQuestion, ReedAnswer | None], ...] = ()  # since it was begun; None: not sure
    repairs: int = 0
    told: Shafts = ()
    asked: ReedQuestion | None = field(default=None, compare=False, repr=False)  # whatever the search would ask

    @classmethod
    def begin(cls, warp: Warp, leg: Leg, number: int, over: int) -> "ReedLook":
        """A search in the group of this number, from 0, which ends so many dents too far (short: negative)."""
        group, unit, lying = warp.groups[number], MARK[warp.unit], leg.lying
        ends_before = sum(len(warp.groups[each].ends) for each in range(leg.groups.start, number))
        ends = range(ends_before + 1, ends_before + len(group.ends) + 1)
        first, last = (lying.dent(end) for end in (ends[0], ends[-1]))
        due = tuple(len(set(lying.held(dent)) & set(ends)) for dent in range(first, last + 1))
        apart = [lying.dent_at(mark) for mark in range(unit, int(lying.width) + 1, unit)]
        marks = tuple(dent - first + 1 for dent in apart if first <= dent < last)
        sleying = Sleying(due, tuple(shafts(end) for end in group.ends), marks)
        held = "; ".join(", ".join(map(str, sley.repeat)) for sley in lying.repeats(ends))
        searched = cache(lambda: ReedSearch.of(sleying, over))
        from_edge = not isinstance(warp, Outward)
        where = leg.start, sleying, first - 1, held, ends_before, warp.loom.shafts, over, from_edge
        return cls(group.name, *where, searched)

    @property
    def search(self) -> ReedSearch:
        """The search as it stands."""
        for look in self.earlier:  # one after the other, so that none waits for a long row of others
            look.searched()
        return self.searched()

    @property
    def last_dent(self) -> int:
        """The dent that the group should end in."""
        return self.before + len(self.sleying.due)

    @property
    def question(self) -> ReedQuestion | None:
        """What is asked; None where there is a verdict."""
        return self.asked or self.search.question

    def asking(self, question: ReedQuestion | None) -> "ReedLook":
        """The same with this question asked, whatever the search would ask; None: what the search asks."""
        if question is None and self.asked is not None:
            return replace(self, asked=None, told=self.told if self.search.question == self.asked else ())
        return replace(self, asked=question)

    def can_ask(self, question: object) -> bool:
        """Whether there is such a question about this group."""
        return isinstance(question, ReedQuestion) and 0 < question.first <= question.last <= len(self.sleying.due)

    @property
    def verdict(self) -> ReedVerdict | None:
        """What came out, None while there are questions to ask."""
        return None if self.asked else self.search.verdict

    @property
    def leads_on(self) -> bool:
        """There is something to be done: even where asking leads no further, all that may differ is sleyed anew."""
        return self.verdict is not None

    @property
    def choices(self) -> tuple[Choice, ...]:
        """What sets the group right, and to leave it, as repairs of the ends that come out."""
        verdict = self.verdict
        if verdict is None:
            return ()
        if verdict.repair.way is Resley.NOTHING:
            return (Choice(Repair(Way.NOTHING)),)
        out = verdict.repair.last - verdict.repair.first + 1
        todo = Repair(Way.REDO, verdict.repair.first, out, out)
        return Choice(todo), left(todo)

    @property
    def again(self) -> Reason | None:
        """Why what is asked is asked again; None where it was not answered before."""
        asked = self.question
        return Reason.DECIDING if any(each == asked and told is not None for each, told in self.answers) else None

    @property
    def largest(self) -> int:
        """The largest number that may answer."""
        match self.question:
            case ReedQuestion(ReedAsk.DENT):
                return self.shafts
            case ReedQuestion(ReedAsk.COUNT):
                return len(self.sleying.shafts)
            case ReedQuestion(ReedAsk.ALONG):
                return YES
            case _:
                return 0

    def number(self, number: int) -> "ReedLook":
        """A number was told: a shaft of an end in a dent, or a count."""
        asked = self.question
        if asked is None or asked.ask is not ReedAsk.DENT:
            return self.answer(number)
        return replace(self, told=(*self.told, number)) if number != NOT_A_SHAFT else self._in_dent(())

    def no_more(self) -> "ReedLook":
        """No further end is in the dent."""
        return self._in_dent(self.told)

    def right_so_far(self, right: bool) -> "ReedLook":
        """Whether each of the dents asked about is as it should be."""
        return self.answer(YES if right else NO)

    def not_sure(self) -> "ReedLook":
        """The weaver cannot tell."""
        return self.answer(None)

    def _in_dent(self, told: Shafts) -> "ReedLook":
        """Which shafts are those of one end is not told: what may be there by any mistake tells, where that fits."""
        asked = self.question
        known = self.search.table.contents(asked.first) if asked else ()
        fitting = (ends for ends in known if sorted(chain.from_iterable(ends)) == sorted(told))
        return self.answer(next(fitting, tuple((shaft,) for shaft in sorted(told))))

    def answer(self, answer: ReedAnswer | None) -> "ReedLook":
        """After an answer to the question that is asked; None: not sure."""
        asked = self.question
        if asked is None:
            return self
        here = replace(self, told=(), asked=None)
        searched = cache(lambda: self.search.told(asked, answer))
        answers = (*self.answers, (asked, answer))
        return replace(here, searched=searched, earlier=(*self.earlier, here), answers=answers)

    def back(self) -> "ReedLook | None":
        """As before the last answer; None at the first question."""
        if self.told:
            return replace(self, told=())
        return self.earlier[-1] if self.earlier else None

    def mended(self, ends_in: int) -> "ReedLook":
        """After a repair, when the group ends in this dent: what else is not right?"""
        over, group = ends_in - self.last_dent, self.sleying
        searched = cache(lambda: ReedSearch.of(group, over, mended=True))
        return replace(self, over=over, searched=searched, earlier=(), answers=(), told=(), repairs=self.repairs + 1)
