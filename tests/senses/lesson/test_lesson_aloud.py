"""A whole lesson aloud, on a clock of its own: the real mouth, finder and judge, and a synthetic weaver."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import cast

import numpy as np
import pytest
from weaver import say

from assistant.rehearsal.aloud import EAR_STEP, QUIET_LEVEL, STEP_S, SimulatedRoom
from assistant.senses.ear.clip import FRAMES
from assistant.senses.ear.embedding import BANDS
from assistant.senses.ear.likeness import Space
from assistant.senses.ear.neural_engine import NeuralEngine
from assistant.senses.ear.taught import Taught
from assistant.senses.ear.words import TrainedWords
from assistant.senses.lesson.lesson import Lesson, LessonWords, Sounds
from assistant.senses.lesson.live import Pupil, Quiet, Said
from assistant.senses.lesson.teach import AT_THE_LOOM, words_to_teach
from assistant.senses.mouth import perform
from assistant.senses.mouth.speaker import Cable
from assistant.session.events import Kind
from assistant.words.language import load
from assistant.words.speech import Say

pytest.importorskip("hibari")

from said import Sound, listen, pause, room

ENGLISH = load("en")
TRAINED = TrainedWords("en")
SPACE = Space(TRAINED)
REACTION_S = 0.7  # from the end of what is said, or the tone, to the word; assumed
LOUD = 300.0  # standard deviation of a room's noise, some 14 dB below the words
ANEW = 700  # a take that was not taught

Speak = Callable[[str, int], Sound]  # the word that is suggested, and how often the weaver has spoken


class Lessons:
    """A lesson in a room, with a weaver who says what is asked for."""

    def __init__(self, mouth: Cable, lesson: Lesson) -> None:
        self.lesson, self.told = lesson, [""]
        self._room = SimulatedRoom(mouth, Pupil(SPACE), seed=1)  # type: ignore[arg-type]
        self._take(lesson.begin())

    @property
    def seconds(self) -> float:
        return self._room.now

    def until_over(self, speak: Speak) -> None:
        quiet, spoken = 0.0, 0
        words = LessonWords(ENGLISH)
        while not self.lesson.over:
            assert self.seconds < 400
            self._step(None)
            quiet = quiet + STEP_S if np.abs(self._room.helper[-1]).max() < QUIET_LEVEL else 0.0
            view = self.lesson.view()
            if view.asked and quiet >= REACTION_S:
                means = next(each for each in ENGLISH.commands if view.asked.startswith(words.means(each).text))
                clip = speak(view.asked.removeprefix(words.means(means).text).strip(), spoken)
                spoken, quiet = spoken + 1, 0.0
                for block in np.pad(clip, (0, -len(clip) % EAR_STEP)).reshape(-1, EAR_STEP):
                    self._step(block)
        self._room.wait_for_quiet()

    def _step(self, spoken: Sound | None) -> None:
        for heard in cast(list[Quiet | Said], self._room.step(spoken)):  # for its ear is a pupil's
            self._take(self.lesson.quiet() if isinstance(heard, Quiet) else self.lesson.said(heard.clip, heard.place))
        self._take(self.lesson.wait(self.seconds, self._room.mouth.speaking()))

    def _take(self, sounds: Sounds) -> None:
        self.told += [sound.text for sound in sounds if isinstance(sound, Say)]
        perform(self._room.mouth, sounds)


@contextmanager
def lessons(*words: str) -> Iterator[Lessons]:
    mouth = Cable(ENGLISH.voice)
    try:
        yield Lessons(mouth, Lesson(words, ENGLISH))
    finally:
        mouth.close()


def engine(lesson: Lesson) -> NeuralEngine:
    return NeuralEngine(ENGLISH, TRAINED, Taught("Aino", tuple(lesson.examples())))


def test_the_words_needed_at_the_loom_are_taught_in_under_three_minutes_and_heard_from_then_on() -> None:
    """In seconds of the rehearsal's own clock."""
    with lessons(*words_to_teach(ENGLISH, None, 0, False)) as rehearsal:
        rehearsal.until_over(say)
        print(f"\n{len(rehearsal.lesson.learnt)} words in {rehearsal.seconds:.0f} s")
    assert rehearsal.lesson.learnt == list(AT_THE_LOOM)
    assert rehearsal.seconds < 180
    assert rehearsal.told[-1].startswith("I have learnt 14 words.")
    ear = engine(rehearsal.lesson)
    for kind in AT_THE_LOOM:
        (heard,) = listen(ear, room(pause(1), say(ENGLISH.commands[kind][0], ANEW), pause(1)))
        assert heard.kind is kind


def test_a_cough_and_a_word_said_for_another_are_asked_for_again() -> None:
    slips = {1: "wonderful", 5: "next"}
    with lessons("next", "repeat", "pause") as rehearsal:
        rehearsal.until_over(lambda word, spoken: say(slips.get(spoken, word), spoken))
    assert "One sounded like your word for next. Once more: repeat" in rehearsal.told
    assert rehearsal.lesson.learnt == ["next", "repeat", "pause"]
    ear = engine(rehearsal.lesson)
    (heard,) = listen(ear, room(pause(1), say("repeat", ANEW), pause(1)))
    assert heard.kind is Kind.REPEAT
    assert all(each.kind is None for each in listen(ear, room(pause(1), say("wonderful", ANEW), pause(1))))


def test_a_loud_room_is_told_and_does_not_keep_the_words_from_being_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("assistant.rehearsal.aloud.ROOM_NOISE", LOUD)
    with lessons("next", "repeat") as rehearsal:
        rehearsal.until_over(say)
    assert "The room is loud, and words may be missed." in rehearsal.told[-2]
    assert rehearsal.lesson.learnt == ["next", "repeat"]


def test_the_pupil_does_not_hear_the_mouth_nor_just_after() -> None:
    pupil = Pupil(SPACE)
    quiet = room(pause(3))
    assert [type(each) for each in pupil.listen(quiet, False)] == [Quiet]
    sound = room(pause(1), say("next", 0), pause(1))
    assert pupil.listen(sound, True) == []
    assert pupil.listen(room(say("next", 0)[:2000], pause(1)), False) == []
    (heard,) = pupil.listen(sound, False)
    assert not isinstance(heard, Quiet)
    assert heard.clip.shape == (FRAMES, BANDS)
