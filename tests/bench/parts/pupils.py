"""Ears as the hearing benchmark has them: what was taught goes in, what is heard comes out.

Whoever tries an engine of her own calls the measuring functions of people.py and rooms.py with `by_engine`:

    people.measure(people.read(folder), {"mine": by_engine(lambda lesson: (MyEngine(lesson), 0))})
"""

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from parts.wanted import Heard, Hears, Samples

from assistant.senses.ear.engine import WordEngine
from assistant.senses.ear.listener import Listener

BLOCK = 480  # samples, as a microphone gives them

Lesson = Mapping[str, Sequence[Samples]]  # what was said for each label of Heard: one word with quiet around it each


class Pupil(NamedTuple):
    """An ear after a lesson."""

    hears: Hears
    turned_away: int  # examples of the lesson


Teach = Callable[[Lesson], Pupil | None]  # a lesson of nothing: the ear untaught; None for what it cannot learn


def by_engine(factory: Callable[[Lesson], tuple[WordEngine, int]]) -> Teach:
    """An ear of an engine of ours: the factory gives it, taught, and how many examples were turned away."""

    def teach(lesson: Lesson) -> Pupil:
        engine, turned_away = factory(lesson)
        return Pupil(listening(engine), turned_away)

    return teach


def listening(engine: WordEngine) -> Hears:
    """The engine in a listener, as at the loom; each sound anew."""

    def hears(sound: Samples, largest: int) -> list[Heard]:
        listener = Listener(engine)
        listener.expect(largest)
        blocks = (sound[at : at + BLOCK] for at in range(0, len(sound), BLOCK))
        heard = [each for block in blocks for each in listener.listen(block, False) if each.kind]
        return [
            Heard(
                each.kind.value if each.kind and each.number is None else str(each.number),
                each.word_end_s,
                each.decided_s,
                each.score,
            )
            for each in heard
        ]

    return hears
