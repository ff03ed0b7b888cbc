"""Ears as the hearing benchmark has them: a lesson goes in, what is heard comes out.

Whoever tries an engine that is not opened by the program gives it to what measures:

    people.measure(people.read(folder)["george"], {"mine": by_engine(lambda lesson: (MyEngine(lesson), 0))})
"""

import time
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple, Protocol

from parts.wanted import Heard, Hears, Samples

from assistant.senses.ear.engine import WordEngine
from assistant.senses.ear.listener import Listener

BLOCK = 480  # samples, as a microphone gives them

Lesson = Mapping[str, Sequence[Samples]]  # what was said for each label of Heard: one word with quiet around it each


class Pupil(NamedTuple):
    """An ear after a lesson."""

    hears: Hears
    turned_away: int  # examples of the lesson


class Teach(Protocol):
    """An ear."""

    def __call__(self, lesson: Lesson, language: str = "en") -> Pupil | None:
        """After a lesson, or untaught where that is empty; None for what this ear cannot do."""


def by_engine(factory: Callable[[Lesson], tuple[WordEngine, int]]) -> Teach:
    """An ear of an engine of ours, in English: the factory gives it, taught, and how many examples it turned away."""

    def teach(lesson: Lesson, language: str = "en") -> Pupil | None:
        if language != "en":
            return None
        engine, turned_away = factory(lesson)
        return Pupil(listening(engine), turned_away)

    return teach


def listening(engine: WordEngine) -> Hears:
    """The engine in a listener, as at the loom; each sound anew. What computing takes makes a decision later."""

    def hears(sound: Samples, largest: int) -> list[Heard]:
        listener = Listener(engine)
        listener.expect(largest)
        heard: list[Heard] = []
        for at in range(0, len(sound), BLOCK):
            began = time.thread_time()
            found = listener.listen(sound[at : at + BLOCK], False)
            late = time.thread_time() - began
            for each in filter(lambda each: each.kind, found):
                label = str(each.number) if each.number is not None else str(each.kind or "")
                heard.append(Heard(label, each.word_end_s, each.decided_s + late, each.score))
        return heard

    return hears
