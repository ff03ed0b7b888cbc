"""A simulated weaver threads a warp group by group, with mistakes, and looks for those that a closing count shows."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from assistant.finder import (
    NO,
    NOT_A_SHAFT,
    YES,
    Answer,
    Ask,
    GroupToSearch,
    Hypothesis,
    Look,
    Question,
    Search,
    Way,
    answered,
)
from assistant.rehearsal.odds import Odds, Threaded
from assistant.rehearsal.talk import Talk
from assistant.session.events import Kind
from assistant.session.modes import search
from assistant.session.rules import MOST_OVER
from assistant.session.view import ModeName

TIMES_OFF = 3  # closings that do not come out, at the last of which the whole group is threaded anew


@dataclass(slots=True)
class Tried:
    """One threading of a group, as it lies now, and what came of its closings."""

    group: int  # its number in the warp, from 0
    threaded: Threaded
    times_off: int = 0
    found: int = 0  # of its mistakes, those set right by what the search led to


@dataclass(slots=True)
class Searched:
    """One search: how uncertain the repair was before the first question, in bits, and how many were asked."""

    bits: float = 0.0
    questions: int = 0


@dataclass(slots=True)
class ThreadingUp:
    """A whole warp being threaded, every group closed."""

    talk: Talk
    odds: Sequence[Odds]
    rng: np.random.Generator
    wrong_answers: float  # of all answers, from 0 to 1
    tried: list[Tried] = field(default_factory=list)
    searched: list[Searched] = field(default_factory=list)

    def run(self) -> list[Threaded]:
        """Thread every group until it is closed; how each lies then."""
        session = self.talk.report.session
        numbers = {line.name: number for number, line in enumerate(session.summary())}
        lying: dict[int, Threaded] = {}
        self.talk(Kind.SIT_DOWN)
        while self.talk.mode is not ModeName.COMPLETE:
            tried = self._thread(numbers[session.group.name])
            self.tried.append(tried)
            lying[tried.group] = tried.threaded
        self.talk(Kind.NEXT)
        return [lying[number] for number in sorted(lying)]

    def _thread(self, number: int) -> Tried:
        """Thread a group from its first end, and go on until it is closed, or is to be threaded anew."""
        odds = self.odds[number]
        tried = Tried(number, Threaded.once(odds.group.expected, odds.draw(self.rng)))
        while not self._comes_out(tried.threaded):
            tried.times_off += 1
            found = self._find(odds, tried.threaded) if tried.times_off < TIMES_OFF else None
            if not found:
                self.talk(Kind.REDO)
                break
            tried.threaded = tried.threaded.repaired(found)
            tried.found = len(tried.threaded.made) - len(tried.threaded.remaining())
            self.talk(Kind.NEXT)
            if found.repair.way is Way.NOTHING:
                break
        return tried

    def _comes_out(self, now: Threaded) -> bool:
        """Thread what is called, and close the group, or tell at which call the bundle was used up."""
        size, view = len(now.expected), self.talk.report.session.view
        stop = size + min(0, now.over)
        while self.talk.mode is ModeName.CALLING:
            counted, called = view().counted, view().counted + view().calling
            if stop < called < size:
                self.talk(Kind.FINISHED)
                self.talk(Kind.NUMBER, max(0, stop - counted))
            else:
                self.talk(Kind.NEXT)
        if self.talk.mode is ModeName.CLOSING and now.over:
            kind, most = (Kind.OVER, MOST_OVER) if now.over > 0 else (Kind.SHORT, size)
            self.talk(kind, min(abs(now.over), most))
        if self.talk.mode is ModeName.OFF:
            return False
        self.talk(Kind.NEXT)
        return True

    def _find(self, odds: Odds, now: Threaded) -> Hypothesis | None:
        """Look for the mistake by answering what is asked; None where that leads nowhere."""
        self.talk(Kind.FIND)
        begun = self._look.search if self._look else None
        searched = Searched(begun.bits if isinstance(begun, Search) else 0.0)
        self.searched.append(searched)
        while self.talk.mode is ModeName.ASKING and self._look and (question := self._look.question):
            searched.questions += 1
            self._answer(self._look, self._told(odds.group, now, question))
        verdict = self._look.verdict if self._look else None
        return verdict.hypothesis if verdict else None

    def _told(self, group: GroupToSearch, now: Threaded, question: Question) -> Answer | None:
        """The true answer, or sometimes another; None where the weaver cannot tell."""
        if question.ask is Ask.HEDDLES:
            return None
        right = answered(question, now.seen, group.expected)
        if self.rng.random() >= self.wrong_answers:
            return right
        others = _others(group, question, right)
        return others[self.rng.integers(len(others))] if others else right

    def _answer(self, look: Look, answer: Answer | None) -> None:
        if answer is None:
            self.talk(Kind.UNSURE)
            return
        for number in (answer or (NOT_A_SHAFT,)) if isinstance(answer, tuple) else (answer,):
            self.talk(Kind.NUMBER, number)
        if isinstance(answer, tuple) and 0 < len(answer) < look.most_shafts:
            self.talk(Kind.NEXT)

    @property
    def _look(self) -> Look | None:
        """What the helper asks, or has found."""
        return search(self.talk.report.session.place.mode)


def _others(group: GroupToSearch, question: Question, right: Answer) -> list[Answer]:
    """What else might be told: another shaft, or another end's shafts; one end more or less."""
    if question.ask is Ask.RIGHT_UP_TO:
        return [NO if right == YES else YES]
    if isinstance(right, int):
        return [count for count in (right - 1, right + 1) if 0 <= count <= question.end]
    single = [(shaft,) for shaft in range(1, group.shafts + 1)]
    return [end for end in sorted({*single, *group.expected}) if end != right]
