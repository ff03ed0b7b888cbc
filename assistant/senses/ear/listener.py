"""From samples to what was said: the part that microphone, sound files and a cable in memory share.

Half duplex where the mouth is to be heard: the ear is closed while it speaks, and for a moment after.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.believed import Correction, Corrections
from assistant.senses.ear.engine import MOST_BY_VOICE, WordEngine, meanings, name
from assistant.senses.ear.own_voice import OwnVoice
from assistant.senses.ear.room import GRAVE, SOUNDLESS, WELL, Measures, RoomMeter, SoundFault, faults
from assistant.senses.ear.utterance import ROW, WORD, Utterance
from assistant.senses.ear.word_finder import WordFinder
from assistant.senses.sound import EAR_RATE
from assistant.session.events import Kind

# Samples not listened to after the mouth has spoken. An echo that still sounds when the ear opens is no word, for that
# begins after 50 ms of quiet; this is only for devices that are later than they say (see tests/bench/own_voice.py).
CLOSED_AFTER = round(0.1 * EAR_RATE)
AT_ONCE = round(0.02 * EAR_RATE)  # samples; what is found in them is weighed together
WEIGHED_S = 0.15  # from the first end that may be a word's, in which a likelier one is waited for
SURELY = 0.9  # a word so likely is not waited with
JUDGED_EVERY_S = 1.0  # the room

OnFault = Callable[[SoundFault | None, str], None]


class Gate:
    """Lets through what is to be listened to."""

    def __init__(self) -> None:
        self._closed = 0  # samples still not to be listened to

    def open_part(self, block: NDArray[np.int16], closed: bool) -> NDArray[np.int16]:
        """The end of a block, all of it or nothing; `closed`: the mouth was speaking meanwhile."""
        self._closed = len(block) + CLOSED_AFTER if closed else self._closed
        dropped = min(self._closed, len(block))
        self._closed -= dropped
        return block[dropped:]


@dataclass(frozen=True, slots=True)
class Heard:
    """What was said; `kind` None: something that was not understood. Seconds since the stream began."""

    kind: str | None  # a Kind, or the name of what is meant only over paper
    word: str
    number: int | None
    score: float  # how sure, 0 to 1
    start_s: float
    word_end_s: float
    decided_s: float
    row: tuple[int, ...] = ()  # READ, or what stands so often: the numbers, in order


class Listener:
    """Takes sound block by block, gives what was said in it; knows no clock but the samples."""

    def __init__(
        self,
        engine: WordEngine,
        own: OwnVoice | None = None,
        corrected: Callable[[Correction], None] = lambda correction: None,
    ):
        """`own` rejects the mouth's own voice, and keeps the ear open while it speaks unless it leaks.

        `corrected` is called where what was not understood was said again.
        """
        self._engine, self._own = engine, own
        self._finder = WordFinder(guessing=engine.keen)
        self._weighed: list[tuple[Utterance, Heard]] = []  # what may be one word, found with several ends
        self._corrections = Corrections(corrected)
        self._expected = (0, False)  # the largest number, and whether in rows; set from any thread
        self._gate = Gate()

    def expect(self, largest: int, row: bool = False) -> None:
        """Listen for numbers up to `largest` from now on, singly or in rows, or for commands where it is 0."""
        self._expected = (min(largest, MOST_BY_VOICE), row and largest > 0)

    def listen(self, block: NDArray[np.int16], closed: bool) -> list[Heard]:
        """What was decided in this block, mono at 16 kHz; `closed`: the mouth is speaking, so do not listen."""
        largest, row = self._expected
        self._finder.span = ROW if row else WORD
        understand = self._read if row else self._understand
        if self._own:
            self._own.follow(block)
            self._finder.least = self._own.level if closed else -np.inf
            closed = closed and self._own.leaks
        heard = self._gate.open_part(block, closed)
        decided = [] if len(heard) == len(block) else [*self._decided(0)]
        self._finder.skip(len(block) - len(heard))
        for at in range(0, len(heard), AT_ONCE):
            said = [each for each in self._finder.feed(heard[at : at + AT_ONCE]) if not self._own_voice(each)]
            if said:
                understood = zip(said, understand(said, largest), strict=True)
                self._weighed += [(each, found) for each, found in understood if found.kind or not each.guess]
            decided += self._decided(WEIGHED_S)
        return decided

    def _decided(self, after_s: float) -> Iterator[Heard]:
        """The likeliest of what may be one word, found with several ends, once no likelier one is to be waited for.

        A guess that is not understood was no word. Whatever is surely one is told, unless a guess at it was understood.
        """
        if not self._weighed:
            return
        best, heard = max(self._weighed, key=lambda each: each[1].score)
        whole = heard.kind and (heard.score >= SURELY or not all(each.guess for each, _ in self._weighed))
        if whole or self._finder.now_s - self._weighed[0][0].decided_s >= after_s:
            self._weighed = []
            if heard.kind:
                self._finder.leave_out(best)
            self._corrections.follow(best, name(heard.kind, heard.number), self._expected[0])
            yield replace(heard, decided_s=self._finder.now_s)

    def _own_voice(self, said: Utterance) -> bool:
        return self._own is not None and self._own.explains(said)

    def _read(self, said: Sequence[Utterance], largest: int) -> Iterator[Heard]:
        """Rows of numbers, or commands beside them."""
        language = self._engine.language
        for each in said:
            words, score = self._engine.recognise_row(each.samples, largest) or ([], 0.0)
            row = tuple(language.numbers.index(word) for word in words if word in language.numbers)
            commands = [meanings(language, 0)[word][0] for word in words if word not in language.numbers]
            kind = commands[0] if commands else Kind.READ if row else None
            yield Heard(kind, " ".join(words), None, score, each.start_s, each.end_s, each.decided_s, row)

    def _understand(self, said: Sequence[Utterance], largest: int) -> Iterator[Heard]:
        wanted = meanings(self._engine.language, largest)
        for each, found in zip(said, self._engine.recognise(said, largest), strict=True):
            word, score = found or ("", 0.0)
            kind, number = wanted.get(word, (None, None))
            yield Heard(kind, word, number, score, each.start_s, each.end_s, each.decided_s)


class Metered:
    """A listener and the room it listens in.

    Whenever the gravest fault changes it is told, None where there is none any more, with the phrase to say about it:
    each fault is spoken of once, but for a microphone that went dead again.
    """

    def __init__(
        self,
        listener: Listener,
        on_fault: OnFault = lambda fault, phrase: None,
        grave: Mapping[SoundFault, str] = GRAVE,
        every_s: float = JUDGED_EVERY_S,
    ):
        """`grave`: the faults that are told, and what is said of each."""
        self.measures = Measures()  # brought up to date every so many seconds; may be read from any thread
        self._room = RoomMeter()
        self._every = round(every_s * EAR_RATE)
        self._listener, self._on_fault, self._grave = listener, on_fault, grave
        self._fault: SoundFault | None = None
        self._spoken_of: set[SoundFault] = set()
        self._unjudged = 0  # samples

    def listen(self, block: NDArray[np.int16], closed: bool) -> list[Heard]:
        """What was decided in this block, mono at 16 kHz; `closed`: the mouth is speaking, so do not listen."""
        self._room.take(block, closed)
        self._unjudged += len(block)
        if self._unjudged >= self._every:
            self._unjudged = 0
            self._judge()
        heard = self._listener.listen(block, closed)
        for each in heard:
            self._room.count(each.kind is not None, each.start_s, each.decided_s)
        return heard

    def _judge(self) -> None:
        self.measures = self._room.measures()
        before, self._fault = self._fault, next((f for f in faults(self.measures) if f in self._grave), None)
        if self._fault is not before:
            self._on_fault(self._fault, self._phrase(before))

    def _phrase(self, before: SoundFault | None) -> str:
        """What is to be said now, "" where it was said already."""
        if self._fault and self._fault not in self._spoken_of:
            self._spoken_of.add(self._fault)
            return self._grave[self._fault]
        if not self._fault and before in SOUNDLESS:
            self._spoken_of.remove(before)
            return WELL
        return ""
