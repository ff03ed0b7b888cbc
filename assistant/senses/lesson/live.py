"""Teach words at the microphone: joins mouth, microphone, keys and a screen to a lesson."""

import sys
import time
from collections.abc import Callable, Sequence
from contextlib import ExitStack, closing
from dataclasses import dataclass
from queue import Empty, SimpleQueue

import numpy as np
from numpy.typing import NDArray

from assistant.errors import TaughtError
from assistant.meaning import Tell
from assistant.senses.devices import Devices
from assistant.senses.ear.clip import clip_of
from assistant.senses.ear.embedding import Mel
from assistant.senses.ear.judging import Example
from assistant.senses.ear.likeness import Space
from assistant.senses.ear.listener import Gate
from assistant.senses.ear.microphone import Microphone
from assistant.senses.ear.taught import Taught, keep, kept_in, load_taught
from assistant.senses.ear.word_finder import WordFinder
from assistant.senses.ear.words import TrainedWords
from assistant.senses.lesson.lesson import Lesson, LessonWords, Sounds
from assistant.senses.lesson.screen import LessonScreen, lesson_screen
from assistant.senses.lesson.teach import Learnt
from assistant.senses.mouth import SPEED, VOLUME, Mouth, perform
from assistant.senses.mouth.loudspeaker import Loudspeaker, open_mouth
from assistant.senses.mouth.speaker import Speaker
from assistant.senses.pedal.keys import Keyboard, LiveKeys
from assistant.senses.portaudio import abandon, libraries_quiet, rescan
from assistant.senses.sound import EAR_RATE, NOTHING
from assistant.words.language import Language
from assistant.words.phrases import Phrases

QUIET = round(1.5 * EAR_RATE)  # samples by which the room is judged
TICK_S = 0.2  # between looks at the time and after the devices
LAST_WORDS_S = 15.0  # at most to let the mouth finish


@dataclass(frozen=True, slots=True)
class Quiet:
    """The room was heard, while nobody was to speak."""


@dataclass(frozen=True, slots=True)
class Said:
    """A word: as clip.py has it, and where it lies among words."""

    clip: Mel
    place: NDArray[np.float32]


class Pupil:
    """Takes sound block by block; knows no clock but the samples.

    Each word is looked for as if nothing but the room had been heard before: in a lesson so much is said that the
    finder would take the weaver for what goes on in the room.
    """

    def __init__(self, space: Space) -> None:
        self._space = space
        self._room = NOTHING
        self._finder: WordFinder | None = None  # of the next word, once something is to be heard
        self._gate = Gate()

    def listen(self, block: NDArray[np.int16], closed: bool) -> list[Quiet | Said]:
        """What is in this block, mono at 16 kHz; `closed`: the mouth is speaking, so do not listen."""
        heard = self._gate.open_part(block, closed)
        if len(heard) < len(block):
            self._finder = None
        if not len(heard):
            return []
        return self._find(heard) if len(self._room) >= QUIET else self._measure(heard)

    def _find(self, heard: NDArray[np.int16]) -> list[Quiet | Said]:
        self._finder = self._finder or self._begin()
        clips = [clip_of(word) for word in self._finder.feed(heard)]
        if not clips:
            return []
        self._finder = None
        return [Said(clip, place) for clip, place in zip(clips, self._space.of(clips), strict=True)]

    def _measure(self, quiet: NDArray[np.int16]) -> list[Quiet | Said]:
        self._room = np.concatenate([self._room, quiet])
        return [Quiet()] if len(self._room) >= QUIET else []

    def _begin(self) -> WordFinder:
        finder = WordFinder()
        for _ in finder.feed(self._room):
            pass
        finder.skip(len(self._room))  # a word begins after some quiet, not where the ear has just been opened
        return finder


@dataclass(frozen=True, slots=True)
class LessonGear:
    """How to speak, to hear and to show."""

    voice: str | None = None
    speed: int = SPEED
    volume: int = VOLUME
    loudspeaker: str | int | None = None
    microphone: str | int | None = None
    plain: bool = False


def teach_aloud(weaver: str, words: Sequence[str], language: Language, gear: LessonGear) -> Learnt:
    """Teach these words now, beside what this weaver taught before; kept once the lesson is over, or left.

    Raises TaughtError where nothing was learnt, DeviceMissing without a microphone.
    """
    kept_in(weaver)  # a name that will not do is told before the work
    space = Space(TrainedWords(language.code))
    before, damaged = _before(weaver, LessonWords(language), space)
    lesson, screen = Lesson(words, language, before), lesson_screen(gear.plain)
    with libraries_quiet(), ExitStack() as senses:
        mouth, silent = open_mouth(language.voice, gear.voice, gear.loudspeaker, gear.speed, gear.volume)
        senses.enter_context(closing(mouth))
        devices = Devices(rescan, abandon, mouth.speaking)
        told = Phrases.read(language, "phrases", "errors").told
        notice = "; ".join(filter(None, (damaged, told(silent) if silent else "")))
        teaching = Teaching(lesson, mouth, screen, devices, notice, weaver, language, space)
        ear = Microphone(Pupil(space), mouth.speaking, gear.microphone)
        senses.enter_context(closing(ear))
        devices.watch("microphone", ear)
        if isinstance(mouth, Speaker) and isinstance(mouth.desk, Loudspeaker):
            devices.watch("loudspeaker", mouth.desk)
        senses.enter_context(closing(devices))
        keys = LiveKeys(Keyboard(held=sys.stdin.isatty()), lambda event: teaching.post(lambda: lesson.wish(event.kind)))
        senses.enter_context(closing(keys))
        keys.counting(False)
        keys.start()
        screen.run(lambda: teaching.run(ear), keys.press)
    if teaching.learnt is None:
        raise TaughtError("nothing was learnt, and nothing is changed")
    return teaching.learnt


class Teaching:
    """One lesson: what happens comes in by `post` from any thread, what is said goes out in the thread of `run`."""

    def __init__(
        self,
        lesson: Lesson,
        mouth: Mouth,
        screen: LessonScreen,
        devices: Devices,
        notice: str,
        weaver: str,
        language: Language,
        space: Space,
    ) -> None:
        self._lesson, self._mouth, self._screen, self._weaver = lesson, mouth, screen, weaver
        self._language, self._space = language, space
        self._told = Phrases.read(language, "phrases", "errors").told
        self._devices = devices
        self._notice, self._gone = notice, ""
        self._inbox: SimpleQueue[Callable[[], Sounds]] = SimpleQueue()
        self.learnt: Learnt | None = None

    def post(self, act: Callable[[], Sounds]) -> None:
        """Something happened to the lesson."""
        self._inbox.put(act)

    def run(self, ear: Microphone[Quiet | Said]) -> None:
        """Until the lesson is over; what was learnt is kept before it is told."""
        self._carry_out(self._lesson.begin())
        ear.start(lambda heard: self.post(lambda: self._take(heard)))
        while not self._lesson.over:
            try:
                act = self._inbox.get(timeout=TICK_S)
            except Empty:
                act = self._wait
            sounds = act()
            if self._lesson.over and self._lesson.learnt:
                self.learnt = _kept(self._lesson, self._weaver, self._language, self._space)
            self._carry_out(sounds)
        end = time.monotonic() + LAST_WORDS_S
        while self._mouth.speaking() and time.monotonic() < end:
            time.sleep(0.05)

    def _take(self, heard: Quiet | Said) -> Sounds:
        return self._lesson.quiet() if isinstance(heard, Quiet) else self._lesson.said(heard.clip, heard.place)

    def _wait(self) -> Sounds:
        self._gone = "; ".join(self._told(Tell(f"no {name}")) for name in sorted(self._devices.lost()))
        return self._lesson.wait(time.monotonic(), self._mouth.speaking())

    def _carry_out(self, sounds: Sounds) -> None:
        perform(self._mouth, sounds)
        trouble = self._told(self._mouth.trouble) if self._mouth.trouble else ""
        notices = filter(None, (self._notice, trouble, self._gone))
        self._screen.show(self._lesson.view(), "; ".join(notices))


def _before(weaver: str, words: LessonWords, space: Space) -> tuple[tuple[Example, ...], str]:
    """What this weaver taught before; and what is to be told where it cannot be used, else ""."""
    file = kept_in(weaver)
    if not file.exists():
        return (), ""
    try:
        return load_taught(weaver, space).examples, ""
    except TaughtError:
        return (), words.text("taught before is unusable", file=file)


def _kept(lesson: Lesson, weaver: str, language: Language, space: Space) -> Learnt:
    taught = Taught(weaver, tuple(lesson.examples()))
    faults = (Tell("not learnt", words=", ".join(lesson.missed)),) if lesson.missed else ()
    return Learnt(taught, keep(taught, space), faults, language)
