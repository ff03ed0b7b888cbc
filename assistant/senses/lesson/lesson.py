"""A lesson at the microphone: a moment of quiet, then each word three times; once more with the reason. Pure.

Two examples will do, and one begins: who goes on early keeps what was said.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.clip import LOUD_SHARE
from assistant.senses.ear.embedding import Mel
from assistant.senses.ear.judging import Example, judge
from assistant.senses.ear.neural_engine import spelling
from assistant.session.events import Kind, Sound, Tone
from assistant.words.language import Language
from assistant.words.phrases import Phrases
from assistant.words.speech import Part, Say

EXAMPLES = 3  # of each word
ROUNDS = 3  # times that they may fail to agree: then what there is will do
PATIENCE_S = 6.0  # without a word, until the weaver is reminded
REMINDERS = 3  # then the lesson waits in silence
LEAST_ABOVE_ROOM = 15.0  # dB: below it, words taught were often not heard in trials
QUIET_FRAMES = 10  # at the beginning of a clip, before any word
MOST_PAIRS = 2  # words close to each other that are told aloud
Sounds = list[Say | Sound]


class LessonWords:
    """The phrases of a lesson, spoken or shown. `word` is always a command's kind, or a number in digits."""

    def __init__(self, language: Language) -> None:
        self._language = language
        self._phrases = Phrases.read(language, "lesson", "errors")
        self.text, self.told = self._phrases.text, self._phrases.told

    def say(self, name: str, *words: str, count: int | None = None) -> Part:
        """A phrase, with the language's own names for the words."""
        places = dict(zip(("word", "other"), (spelling(word, self._language) for word in words), strict=False))
        return Part(self.text(name, count=count, **places))

    def means(self, word: str) -> Part:
        """What it is for."""
        return self.say("number" if word.isdecimal() else f"means {word}")

    def alike(self, word: str, other: str) -> list[Part]:
        """That two words sound alike, and which other one would be better, where the language has one."""
        better = [(each, name) for name in (word, other) for each in self.suggestions(name)[1:2]]
        named = [Part(self.text("better", better=each, word=spelling(name, self._language))) for each, name in better]
        return [self.say("close", word, other), *named[:1]]

    def suggestions(self, word: str) -> list[str]:
        """What may be said for it, the best first."""
        if word.isdecimal():
            return [spelling(word, self._language)]
        return self._language.commands.get(word) or self._language.over_paper.commands[word]


class AfterExample(Enum):
    """What comes of an example."""

    MORE = auto()  # one more is wanted
    WHOLE = auto()  # the word is taught
    UNLIKE = auto()  # one did not sound like the others; again
    LIKE = auto()  # one sounded like another word; again
    CLASH = auto()  # the word itself is like another, told once; all of it again, with a better one or the same


class Turn:
    """The word that is being taught, a command's kind or a number in digits."""

    def __init__(self, word: str) -> None:
        self.word = word
        self.examples: list[Example] = []  # those that are good so far
        self.like = ""  # another word that it, or an example of it, sounded like, the last time they were compared
        self.clashed = False  # this was told
        self._failed = 0

    def said(self, clip: Mel, place: NDArray[np.float32], known: Sequence[Example]) -> AfterExample:
        """One more example; what is known already is not in question."""
        self.examples.append(Example(self.word, clip, place))
        if len(self.examples) < EXAMPLES:
            return AfterExample.MORE
        judged = judge([*known, *self.examples], settled=len(known))
        others = [other for pair in judged.alike if self.word in pair for other in pair if other != self.word]
        if others and not self.clashed:
            self.like, self.examples, self.clashed = others[0], [], True
            return AfterExample.CLASH
        if not judged.faults:
            return AfterExample.WHOLE
        self.like = next((fault.like for fault in judged.faults.values() if fault.like), "")
        self.examples = [self.examples[at - len(known)] for at in judged.good if at >= len(known)]
        self._failed += 1
        if self._failed == ROUNDS and self.examples:
            return AfterExample.WHOLE
        return AfterExample.LIKE if self.like else AfterExample.UNLIKE

    def above_room(self) -> float:
        """By how many dB the faintest example stands out."""
        return min(above_room(example.clip) for example in self.examples)


def above_room(clip: Mel) -> float:
    """By how many dB a word stands out of the quiet before it, which fills the beginning of its clip."""
    return 10 * float(np.percentile(clip, LOUD_SHARE) - np.percentile(clip[:QUIET_FRAMES], LOUD_SHARE))


class Stage(Enum):
    """Measuring the room's noise, asking for words, over."""

    MEASURING, ASKING, OVER = auto(), auto(), auto()


@dataclass(frozen=True, slots=True)
class LessonView:
    """What a screen shows."""

    number: int  # of the word, from 1
    of: int
    asked: str  # what it means, and what may be said for it; "" while no word is asked for
    examples: int  # good ones so far
    said: str  # what the lesson said last
    place: str  # which word of how many; "" while no word is asked for
    heard: str  # how many good examples of how many
    keys: str  # and what they do


class Lesson:
    """Takes the room's noise, words, keys and time; gives what to say.

    `before`: what this weaver taught earlier. A word taught earlier stays until it is whole again.
    """

    def __init__(self, words: Sequence[str], language: Language, before: Sequence[Example] = ()) -> None:
        self._plan = list(words)
        self._words = LessonWords(language)
        self._before = _by_word(before)
        self._known = {word: each for word, each in self._before.items() if word not in self._plan}
        self._learnt: set[str] = set()
        self._at, self._turn = 0, Turn(self._plan[0])
        self._told_alike: set[frozenset[str]] = set()
        self._told_loud = False
        self._stage = Stage.MEASURING
        self._quiet_since: float | None = None
        self._reminded, self._said = 0, ""

    @property
    def over(self) -> bool:
        """Whether there is no more to ask."""
        return self._stage is Stage.OVER

    @property
    def learnt(self) -> list[str]:
        """The words that this lesson taught, so far."""
        return [word for word in dict.fromkeys(self._plan) if word in self._learnt]

    @property
    def missed(self) -> list[str]:
        """The words that it did not."""
        return [word for word in dict.fromkeys(self._plan) if word not in self._learnt]

    def examples(self) -> list[Example]:
        """All that this weaver has taught, in this lesson and before."""
        return [example for each in (self._before | self._known).values() for example in each]

    def view(self) -> LessonView:
        """As it stands now."""
        asked = " ".join(part.text for part in self._prompt()) if self._stage is Stage.ASKING else ""
        number, of, examples, text = self._at + 1, len(self._plan), len(self._turn.examples), self._words.text
        return LessonView(
            number,
            of,
            asked,
            examples,
            self._said,
            place=text("place", number=number, of=of) if asked else "",
            heard=text("examples", examples=examples, of=EXAMPLES),
            keys=text("keys"),
        )

    def begin(self) -> Sounds:
        """Ask for quiet."""
        return self._say(self._words.say("welcome"))

    def quiet(self) -> Sounds:
        """There was a moment of it: the words begin."""
        self._stage = Stage.ASKING
        return self._say(self._words.say("begin"), *self._prompt())

    def said(self, clip: Mel, place: NDArray[np.float32]) -> Sounds:
        """The weaver said something on its own: as clip.py has it, and where it lies among words."""
        if self._stage is not Stage.ASKING:
            return []
        self._quiet_since, self._reminded = None, 0
        answer = self._turn.said(clip, place, [example for each in self._known.values() for example in each])
        good = answer in (AfterExample.MORE, AfterExample.WHOLE)
        return [Sound(Tone.HEARD if good else Tone.UNCLEAR), *self._go_on(answer)]

    def wish(self, kind: Kind) -> Sounds:
        """A key: NEXT goes on with what was said, BACK begins it anew, or the one before; REPEAT asks; LEAVE."""
        if kind is Kind.LEAVE and not self.over:
            self._take()
            return self._end()
        if self._stage is not Stage.ASKING:
            return []
        if kind is Kind.NEXT:
            self._take()
            return self._ask_for(self._at + 1)
        if kind is Kind.BACK:
            return self._ask_for(self._at if self._turn.examples else max(self._at - 1, 0))
        return self._say(*self._prompt()) if kind is Kind.REPEAT else []

    def wait(self, now: float, speaking: bool) -> Sounds:
        """Time passes, in seconds, with the lesson speaking or silent: remind a weaver from whom nothing is heard."""
        if speaking or self._quiet_since is None or self._stage is not Stage.ASKING:
            self._quiet_since = now
        if now - self._quiet_since < PATIENCE_S or self._reminded == REMINDERS:
            return []
        self._quiet_since, self._reminded = now, self._reminded + 1
        return self._say(*([self._words.say("nothing heard")] if self._reminded > 1 else []), *self._prompt())

    def _prompt(self) -> tuple[Part, ...]:
        """What the word means, and what may be said for it, as long as there is a suggestion."""
        suggestions = self._words.suggestions(self._turn.word)[self._turn.clashed :][:1]
        return self._words.means(self._turn.word), *map(Part, suggestions)

    def _go_on(self, answer: AfterExample) -> Sounds:
        """What an example leads to."""
        say = self._words.say
        reason = say("like", self._turn.like) if self._turn.like else say("unlike")
        match answer:
            case AfterExample.MORE:
                return []
            case AfterExample.WHOLE:
                return self._learn()
            case AfterExample.CLASH:
                self._told_alike.add(frozenset((self._turn.word, self._turn.like)))
                return self._say(say("clash", self._turn.like), *self._prompt())
        return self._say(reason, say("again"), *self._prompt()[1:])

    def _learn(self) -> Sounds:
        self._keep()
        loud = not self._told_loud and self._turn.above_room() < LEAST_ABOVE_ROOM
        self._told_loud |= loud
        return self._ask_for(self._at + 1, *([self._words.say("loud")] if loud else []))

    def _keep(self) -> None:
        self._known[self._turn.word] = self._turn.examples
        self._learnt.add(self._turn.word)

    def _take(self) -> None:
        """What there is of the word; one taught before stays as it was."""
        word = self._turn.word
        if word in self._before:
            self._known[word] = self._before[word]
        elif self._stage is Stage.ASKING and self._turn.examples:
            self._keep()

    def _ask_for(self, at: int, *parts: Part) -> Sounds:
        """Another word of the plan, or the same anew, after these words."""
        if at == len(self._plan):
            return self._end(*parts)
        self._at, self._turn = at, Turn(self._plan[at])
        self._known.pop(self._turn.word, None)
        self._learnt.discard(self._turn.word)
        return self._say(*parts, *self._prompt())

    def _end(self, *parts: Part) -> Sounds:
        self._stage = Stage.OVER
        if not self._learnt:
            return self._say(*parts, self._words.say("nothing learnt"))
        alike = [pair for pair in judge(self.examples()).alike if frozenset(pair) not in self._told_alike]
        pairs = [part for pair in alike[:MOST_PAIRS] for part in self._words.alike(*pair)]
        return self._say(*parts, self._words.say("learnt", count=len(self._learnt)), *pairs)

    def _say(self, *parts: Part) -> Sounds:
        say = Say(parts)
        self._said = say.text
        return [say]


def _by_word(examples: Sequence[Example]) -> dict[str, list[Example]]:
    words = dict.fromkeys(example.word for example in examples)
    return {word: [example for example in examples if example.word == word] for word in words}
