"""A lesson at the microphone: the quiet of the room, then each word three times, or more with the reason. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto
from math import inf

import numpy as np

from assistant.senses.ear.features import Example, Frames
from assistant.senses.ear.taught import FEWEST, Judged, judge
from assistant.senses.ear.taught_engine import spelling
from assistant.session.events import Kind, Sound, Tone
from assistant.words.language import Language
from assistant.words.phrases import Phrases
from assistant.words.speech import Part, Say

EXAMPLES = 3  # of each word
ROUNDS = 3  # times that they may fail to agree: then two will do, or the word is left out
SEVERAL = 2  # examples that sound like another word: then it is the word, not a slip of the tongue
WORD_SHARE = 75  # percentile of the levels, margins and all, that is taken for the level of a word
PATIENCE_S = 6.0  # without a word, until the weaver is reminded
REMINDERS = 3  # then the lesson waits in silence
LEAST_ABOVE_ROOM = 15.0  # dB: below it, words taught were often not heard in trials
ROOM_SHARE = 70  # percentile of the room's levels: a cough is not its noise, a radio is
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

    def suggestions(self, word: str) -> list[str]:
        """What may be said for it, the best first."""
        return [self._language.numbers[int(word)]] if word.isdecimal() else self._language.commands[word]


class AfterExample(Enum):
    """What comes of an example."""

    MORE = auto()  # one more is wanted
    WHOLE = auto()  # the word is taught
    UNLIKE = auto()  # one did not sound like the others; again
    LIKE = auto()  # one sounded like another word; again
    CLASH = auto()  # the word itself is too near another; all of it again, with a better one
    NONE = auto()  # the word is left out


class Turn:
    """The word that is being taught, a command's kind or a number in digits."""

    def __init__(self, word: str) -> None:
        self.word = word
        self.examples: list[Example] = []  # those that are good so far
        self.compared: list[Example] = []  # good or not, the last time
        self.like = ""  # another word that an example sounded like, the last time they were compared
        self.clashes = 0  # words tried that were too near another
        self._failed = 0

    def said(self, energies: Frames, known: Sequence[Example]) -> AfterExample:
        """One more example; what is known already is not in question."""
        self.examples.append(Example(self.word, energies))
        if len(self.examples) < EXAMPLES:
            return AfterExample.MORE
        clash = self._compare(known)
        if len(self.examples) == EXAMPLES and not clash:
            return AfterExample.WHOLE
        self._failed += 1
        if self._failed == ROUNDS:
            return AfterExample.WHOLE if len(self.examples) >= FEWEST and not clash else AfterExample.NONE
        if clash:
            self.examples, self.clashes = [], self.clashes + 1
            return AfterExample.CLASH
        return AfterExample.LIKE if self.like else AfterExample.UNLIKE

    def level(self) -> float:
        """Of the faintest example, in dB."""
        return min(decibels(example.energies, WORD_SHARE) for example in self.examples)

    def _compare(self, known: Sequence[Example]) -> bool:
        """Keep the examples that are good; whether the word itself is too near another."""
        self.compared = self.examples
        judged = judge([*known, *self.examples], settled=len(known))
        like = [fault.like for fault in judged.faults.values() if fault.like]
        self.examples = [self.examples[place - len(known)] for place in judged.good if place >= len(known)]
        self.like = like[0] if like else ""
        return len(like) >= SEVERAL


def decibels(energies: Frames, share: float) -> float:
    """The level that so many percent of the frames do not exceed."""
    return float(10 * np.log10(np.percentile(energies.sum(axis=1), share)))


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

    `before`: what this weaver taught earlier; `rivals`: the words that were left out then.

    A word taught earlier stays until it is whole again.
    """

    def __init__(
        self,
        words: Sequence[str],
        language: Language,
        before: Sequence[Example] = (),
        rivals: Sequence[Example] = (),
    ) -> None:
        self._plan = list(words)
        self._words = LessonWords(language)
        self._before, self._rivals = _by_word(before), _by_word(rivals)
        self._known = {word: each for word, each in self._before.items() if word not in self._plan}
        self._learnt: set[str] = set()
        self._at, self._turn = 0, Turn(self._plan[0])
        self._judged: Judged | None = None  # what all examples are worth, as long as none is changed
        self._compared = False  # all words with all, once
        self._stage = Stage.MEASURING
        self._room = -inf  # dB; until it was compared with a word
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

    def rivals(self) -> list[Example]:
        """Those that were said last for the words left out because none of them would do."""
        return [example for each in self._rivals.values() for example in each]

    def judged(self) -> Judged:
        """What they are worth, beside each other."""
        self._judged = self._judged or judge(self.examples())
        return self._judged

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

    def room(self, quiet: Frames) -> Sounds:
        """The room without the weaver, as mel energies: the words begin."""
        self._room = decibels(quiet, ROOM_SHARE)
        self._stage = Stage.ASKING
        return self._say(self._words.say("begin"), *self._prompt())

    def said(self, energies: Frames) -> Sounds:
        """The weaver said something on its own."""
        if self._stage is not Stage.ASKING:
            return []
        self._quiet_since, self._reminded = None, 0
        answer = self._turn.said(energies, [example for each in self._known.values() for example in each])
        good = answer in (AfterExample.MORE, AfterExample.WHOLE)
        return [Sound(Tone.HEARD if good else Tone.UNCLEAR), *self._go_on(answer)]

    def wish(self, kind: Kind) -> Sounds:
        """A key: NEXT leaves the word out, BACK begins it again, or the one before; REPEAT asks, LEAVE ends it all."""
        if kind is Kind.LEAVE and not self.over:
            return self._end()
        if self._stage is not Stage.ASKING:
            return []
        if kind is Kind.NEXT:
            return self._leave_out()
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
        suggestions = self._words.suggestions(self._turn.word)[self._turn.clashes :][:1]
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
                return self._say(say("clash", self._turn.like), *self._prompt())
            case AfterExample.NONE:
                self._rivals[self._turn.word] = self._turn.compared
                return self._leave_out(reason, say("left out"))
        return self._say(reason, say("again"), *self._prompt()[1:])

    def _learn(self) -> Sounds:
        self._known[self._turn.word] = self._turn.examples
        self._learnt.add(self._turn.word)
        loud = self._turn.level() - self._room < LEAST_ABOVE_ROOM
        self._room = -inf
        return self._ask_for(self._at + 1, *([self._words.say("loud")] if loud else []))

    def _leave_out(self, *parts: Part) -> Sounds:
        if self._turn.word in self._before:
            self._known[self._turn.word] = self._before[self._turn.word]
        return self._ask_for(self._at + 1, *parts)

    def _ask_for(self, at: int, *parts: Part) -> Sounds:
        """Another word of the plan, or the same anew, after these words."""
        self._judged = None
        if at == len(self._plan):
            if not (lost := self._lost()):
                return self._end(*parts)
            self._plan += lost
            parts = (*parts, self._words.say("unlike"))
        self._at, self._turn = at, Turn(self._plan[at])
        self._known.pop(self._turn.word, None)
        self._learnt.discard(self._turn.word)
        return self._say(*parts, *self._prompt())

    def _lost(self) -> list[str]:
        """The words of which no good example is left beside all the others; once, for the first ones stood alone."""
        if self._compared or not self._learnt:
            return []
        self._compared = True
        examples = self.examples()
        good = {examples[place].word for place in self.judged().good}
        return [word for word in self.learnt if word not in good]

    def _end(self, *parts: Part) -> Sounds:
        self._stage = Stage.OVER
        if not self._learnt:
            return self._say(*parts, self._words.say("nothing learnt"))
        pairs = [self._words.say("close", *pair) for pair in self.judged().close[:MOST_PAIRS]]
        return self._say(*parts, self._words.say("learnt", count=len(self._learnt)), *pairs)

    def _say(self, *parts: Part) -> Sounds:
        say = Say(parts)
        self._said = say.text
        return [say]


def _by_word(examples: Sequence[Example]) -> dict[str, list[Example]]:
    words = dict.fromkeys(example.word for example in examples)
    return {word: [example for example in examples if example.word == word] for word in words}
