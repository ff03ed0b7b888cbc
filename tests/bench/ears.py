"""The ears that the hearing benchmark compares: taught words, the built-in ear, and a plain grammar as their rival."""

import os
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import psutil
from numpy.typing import NDArray

from assistant.languages import load
from assistant.senses.ear.engine import MOST_BY_VOICE, RATE, Engine
from assistant.senses.ear.listener import Listener
from assistant.senses.ear.taught.engine import UNLIKELIEST, TaughtEngine
from assistant.senses.ear.taught.features import mel_energies
from assistant.senses.ear.taught.finder import Finder
from assistant.senses.ear.taught.judging import judge
from assistant.senses.ear.taught.store import Taught
from assistant.senses.ear.taught.templates import Example

ENGLISH = load("en")
KINDS = ("next", "repeat", "back", "where", "done", "short", "over", "redo", "find", "unsure", "pause", "resume")
NUMBERS = [str(number) for number in range(1, MOST_BY_VOICE + 1)]
EARS = ("taught", "built-in", "grammar")
TAUGHT = 3  # examples a word
BLOCK = 480

Samples = NDArray[np.int16]
Heard = tuple[str, float, float]  # a command's kind or a number in digits, when it ended, when that was decided
Hears = Callable[[Samples, int], list[Heard]]  # numbers up to so many, or commands where that is 0


def said_for(label: str) -> str:
    """What is said for a command's kind or a number in digits."""
    if label.isdecimal():
        return ENGLISH.numbers[int(label)]
    return "pause" if label == "pause" else ENGLISH.commands[label][0]


def taught_by(name: str) -> Taught:
    """What an ear keeps that has heard each word and number three times in a quiet room."""
    from spoken import ROOM_DB, silence, sixteen_bits, white, word

    examples = []
    for label in (*KINDS, *NUMBERS):
        for repetition in range(TAUGHT):
            sound = np.concatenate([silence(1), word(name, said_for(label), repetition), silence(1)])
            found = [*Finder().feed(sixteen_bits(sound + white(len(sound), ROOM_DB, repetition)))]
            examples += [Example(label, mel_energies(each.samples)) for each in found[:1]]
    judged = judge(examples)
    for fault in judged.faults.values():
        print(f"{name}: left out in teaching: {fault}", flush=True)
    return Taught(name, tuple(examples[place] for place in judged.good))


def open_ear(ear: str, taught: Taught | None, threshold: float | None = None) -> Hears:
    """One of EARS. `threshold`: the least score of the built-in ear; by how much more unlike a taught word may be."""
    if ear == "grammar":
        return Plain()
    if ear == "taught":
        assert taught is not None
        return Ours(TaughtEngine(ENGLISH, taught, UNLIKELIEST * (threshold or 1)))
    from assistant.senses.ear.pocketsphinx_engine import ENOUGH, PocketsphinxEngine

    return Ours(PocketsphinxEngine(ENGLISH, ENOUGH if threshold is None else threshold))


class Ours:
    """An engine of ours, listening as it does at the loom."""

    def __init__(self, engine: Engine):
        self._engine = Clocked(engine)
        self.spent = self._engine.spent

    def __call__(self, sound: Samples, largest: int) -> list[Heard]:
        listener = Listener(self._engine)
        listener.expect(largest)
        blocks = (sound[at : at + BLOCK] for at in range(0, len(sound), BLOCK))
        heard = [each for block in blocks for each in listener.listen(block, False) if each.kind]
        return [
            (each.kind.value if each.number is None else str(each.number), each.word_end_s, each.decided_s)
            for each in heard
            if each.kind
        ]


class Plain:
    """A grammar of the same words that decodes all there is, cut where pocketsphinx's own detector finds an end."""

    def __init__(self) -> None:
        from pocketsphinx import Decoder

        self._decoder = Decoder(lm=None, loglevel="FATAL")
        self._labels: dict[str, str] = {}
        for search, labels in (("commands", KINDS), ("numbers", NUMBERS)):
            words = " | ".join(map(_spelled, labels))
            self._decoder.add_jsgf_string(search, f"#JSGF V1.0; grammar {search}; public <words> = ({words})+;")
            self._labels |= {_spelled(label): label for label in labels}

    def __call__(self, sound: Samples, largest: int) -> list[Heard]:
        from pocketsphinx import Endpointer

        self._decoder.activate_search("numbers" if largest else "commands")
        ends, heard = Endpointer(), []
        step = ends.frame_bytes // 2
        for at in range(0, len(sound) - step, step):
            before = ends.in_speech
            speech = ends.process(sound[at : at + step].tobytes())
            if speech is None:
                continue
            if not before:
                self._decoder.start_utt()
            self._decoder.process_raw(speech)
            if not ends.in_speech:
                heard += self._found(ends.speech_start, (at + step) / RATE)
        if ends.in_speech:
            heard += self._found(ends.speech_start, len(sound) / RATE)
        return heard

    def _found(self, start: float, now: float) -> Iterator[Heard]:
        """The words in what was said; one of two parts is put together again."""
        self._decoder.end_utt()
        parts = [part for part in self._decoder.seg() or [] if part.word[0] not in "<["]
        spelled = [part.word.partition("(")[0] for part in parts]
        at = 0
        while at < len(parts):
            length = 2 if " ".join(spelled[at : at + 2]) in self._labels else 1
            label = self._labels.get(" ".join(spelled[at : at + length]))
            end = parts[min(at + length, len(parts)) - 1].end_frame / 100
            at += length
            if label:
                yield label, start + end, now


def _spelled(label: str) -> str:
    """As the recogniser's dictionary has it."""
    return said_for(label).replace("-", " ")


@dataclass(frozen=True)
class Cost:
    """What listening costs."""

    share: float  # of a core
    resident_mb: float  # of the whole process, with Python and numpy
    decisions: tuple[float, ...]  # seconds of computing for each word; none where an ear decides as it goes

    def computing(self, share: int) -> float:
        """Seconds within which this share of the decisions, in %, were computed."""
        return float(np.percentile(self.decisions, share)) if self.decisions else 0.0


class Clocked:
    """An engine that notes how long each decision takes."""

    def __init__(self, engine: Engine):
        self.language, self.keen, self.lacks = engine.language, engine.keen, engine.lacks
        self._engine = engine
        self.spent: list[float] = []

    def recognise(self, samples: Samples, largest: int) -> tuple[str, float] | None:
        began = time.thread_time()
        found = self._engine.recognise(samples, largest)
        self.spent.append(time.thread_time() - began)
        return found

    def recognise_row(self, samples: Samples, largest: int) -> tuple[list[str], float] | None:
        return self._engine.recognise_row(samples, largest)


def cost(ear: str, taught: Taught | None, sound: Samples) -> Cost:
    """Of hearing this; to be asked in a process of its own."""
    hears = open_ear(ear, taught)
    began = time.process_time()
    hears(sound, 0)
    share = (time.process_time() - began) / (len(sound) / RATE)
    resident = psutil.Process(os.getpid()).memory_info().rss / 2**20
    return Cost(share, resident, tuple(hears.spent) if isinstance(hears, Ours) else ())
