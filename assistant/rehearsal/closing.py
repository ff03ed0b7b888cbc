"""A simulated weaver threads a warp group by group, with mistakes, and looks for those that a count shows."""

import random
from dataclasses import dataclass, field

from assistant.finder import NO_EYE, NOT_A_SHAFT, YES, Ask, Choice, Look, Search
from assistant.loom.harness import Harness
from assistant.loom.slips import Work
from assistant.rehearsal.at_the_loom import mistaken, seen, set_right
from assistant.rehearsal.slipping import Fate, Hands
from assistant.rehearsal.talk import Talk
from assistant.session.events import Kind
from assistant.session.modes import search
from assistant.session.rule import MOST_OVER
from assistant.session.view import ModeName
from assistant.warp.notation import Shafts

ROUNDS = 6  # closings that do not come out, at the last of which the whole group is threaded anew


@dataclass(slots=True)
class Searched:
    """One search: how uncertain the repair was before the first question, in bits, and how many were asked."""

    bits: float = 0.0
    questions: int = 0


@dataclass(slots=True)
class ThreadingUp:
    """A whole warp being threaded, every group closed."""

    talk: Talk
    hands: Hands
    rng: random.Random
    wrong_answers: float  # of all answers, from 0 to 1
    counts_heddles: bool  # out for each group, so that those left or lacking are seen
    searched: list[Searched] = field(default_factory=list)

    def run(self) -> list[Harness]:
        """Thread every group until it is closed; how each hangs then."""
        works = dict(enumerate(self.hands.every_group()))
        hanging = {group: work.done()[0] for group, work in works.items() if not work.draft}  # which all float
        self.talk(Kind.SIT_DOWN)
        while self.talk.mode is not ModeName.COMPLETE:
            group = self.talk.group
            hanging[group] = self._thread(group, works.pop(group) if group in works else self.hands.anew(group))
        self.talk(Kind.NEXT)
        return [hanging[group] for group in sorted(hanging)]

    def _thread(self, group: int, work: Work) -> Harness:
        """Thread a group from its first end, and go on until it is closed, or is to be threaded anew."""
        loom, over = work.done()
        fate, looks_at_heddles = Fate.HARMLESS, self.counts_heddles
        for searches in range(1, ROUNDS + 1):
            if self._comes_out(loom, over, looks_at_heddles):
                break
            self.hands.notice(group)
            fate, looks_at_heddles = Fate.FOUND, False
            found = self._find(loom) if searches < ROUNDS else None
            self.talk(Kind.NEXT if found else Kind.REDO)
            if found is None:
                self.hands.gone(group, Fate.ANEW)
                break
            over = set_right(loom, found)
            if self.talk.is_past(group):
                break
        if self.talk.is_past(group) and loom.right:
            self.hands.gone(group, fate)
        return loom

    def _comes_out(self, loom: Harness, over: int, looks_at_heddles: bool) -> bool:
        """Thread what is called, and close the group, or tell at which call the bundle was used up, or of heddles."""
        size, view = len(loom.draft), self.talk.report.session.view
        course, group = self.talk.report.session.place.course, self.talk.group
        stop = size - course.last_of(group, -over) if over < 0 else size
        while self.talk.mode is ModeName.CALLING:
            counted, called = view().counted, view().counted + view().calling
            if stop < called < size:
                self.talk(Kind.FINISHED)
                self.talk(Kind.NUMBER, max(0, stop - counted))
            else:
                self.talk(Kind.NEXT)
        if self.talk.mode is ModeName.OFF:
            return False
        if over:
            kind, most = (Kind.OVER, MOST_OVER) if over > 0 else (Kind.SHORT, course.ends(group))
            self.talk(kind, min(abs(over), most))
            return False
        left = {shaft: loom.heddles_left(shaft) for shaft in sorted(loom.counted_out)} if looks_at_heddles else {}
        if shaft := next((shaft for shaft, heddles in left.items() if heddles), None):
            self.talk(Kind.HEDDLE_LEFT if left[shaft] > 0 else Kind.HEDDLE_MISSING, abs(left[shaft]))
            self.talk(Kind.NUMBER, shaft)
            return False
        self.talk(Kind.NEXT)
        return True

    def _find(self, loom: Harness) -> Choice | None:
        """Look for the mistake by answering what is asked; the cheapest repair, None where that leads nowhere."""
        if self.talk.mode is ModeName.OFF:
            self.talk(Kind.FIND)
        begun = self._look.search if self._look else None
        searched = Searched(begun.bits if isinstance(begun, Search) else 0.0)
        self.searched.append(searched)
        while self.talk.mode is ModeName.ASKING and (look := self._look):
            searched.questions += 1
            self._answer(look, loom)
        return self._look.choices[0] if self._look and self.talk.mode is ModeName.FOUND else None

    def _answer(self, look: Look, loom: Harness) -> None:
        """Tell what is seen, or sometimes something else."""
        question = look.question
        if question is None or (question.ask is Ask.HEDDLES and not self.counts_heddles):
            self.talk(Kind.UNSURE)
            return
        answer = seen(loom, question)
        if self.rng.random() < self.wrong_answers:
            answer = mistaken(loom, question, answer, self.rng)
        if question.ask is Ask.RIGHT_UP_TO:
            self.talk(Kind.NEXT if answer == YES else Kind.FIND)
        elif isinstance(answer, int):
            self.talk(Kind.NUMBER if answer >= 0 else Kind.SHORT, abs(answer))
        elif answer == NO_EYE:
            self.talk(Kind.UNSURE)  # no word says that it hangs so
        else:
            self._tell_shafts(look, answer)

    def _tell_shafts(self, look: Look, answer: Shafts) -> None:
        for shaft in answer or (NOT_A_SHAFT,):
            self.talk(Kind.NUMBER, shaft)
        if 0 < len(answer) < look.most_shafts:
            self.talk(Kind.NEXT)

    @property
    def _look(self) -> Look | None:
        """What the helper asks, or has found."""
        look = search(self.talk.report.session.place.mode)
        return look if isinstance(look, Look) else None
