"""An ear in a process of its own, of this checkout or an earlier one: taught and opened as the program does it."""

import re
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from importlib.util import find_spec
from multiprocessing.connection import Connection
from pathlib import Path
from typing import NamedTuple

import soundfile
from parts.plain import PlainPocketsphinx, PlainVosk
from parts.pupils import Lesson, Pupil, listening

import assistant
from assistant.errors import DeviceMissing, TaughtError
from assistant.senses.ear.engine import WordEngine
from assistant.senses.ear.opening import find_model, open_engine
from assistant.senses.lesson.teach import teach
from assistant.senses.sound import EAR_RATE
from assistant.words.language import load

WEAVER = "benchmark"
LOOSEST = 0.05  # of what a word has to reach, where each threshold is tried


class Spent(NamedTuple):
    """What an ear's process came to, so far."""

    opening_s: float  # of the processor, for the last pupil
    hearing_s: float  # of the processor
    heard_s: float  # of sound
    resident_mb: float  # at most, with Python and numpy


def serve(end: int, ear: str) -> None:
    """Tell which code this is; then teach and hear, as asked at this end of a pipe, until the other is closed."""
    asked = Connection(end)
    asked.send(assistant.__file__)
    pupils: list[Pupil] = []
    opening_s = hearing_s = heard_s = 0.0
    with suppress(EOFError):
        while True:
            match asked.recv():
                case "teach", lesson, language, loosest:
                    began = time.process_time()
                    pupil = EARS[ear](lesson, language, loosest)
                    opening_s = time.process_time() - began
                    pupils += [pupil] if pupil else []
                    asked.send((len(pupils) - 1, pupil.turned_away) if pupil else None)
                case "hear", place, sound, largest:
                    began = time.process_time()
                    heard = pupils[place].hears(sound, largest)
                    hearing_s += time.process_time() - began
                    heard_s += len(sound) / EAR_RATE
                    asked.send(heard)
                case _:
                    asked.send(Spent(opening_s, hearing_s, heard_s, _most_resident()))


def _most_resident() -> float:
    """MB; what getrusage tells counts the process that started this one, too."""
    told = re.search(r"VmHWM:\s+(\d+) kB", Path("/proc/self/status").read_text(encoding="utf-8"))
    return int(told[1]) / 1024 if told else float("nan")


def _ours(lesson: Lesson, language: str, loosest: bool) -> Pupil | None:
    """The ear that the program opens without a model."""
    spoken, given = load(language), sum(map(len, lesson.values()))
    if not lesson:
        with suppress(DeviceMissing, ImportError):
            return _opened(open_engine(spoken), 0, loosest)
        return None
    with tempfile.TemporaryDirectory() as folder:
        for label, sounds in lesson.items():
            for number, sound in enumerate(sounds, 1):
                soundfile.write(Path(folder, f"{label}-{number}.wav"), sound, EAR_RATE)
        try:
            kept = len(teach(Path(folder), WEAVER, spoken).taught.examples)
        except TaughtError:  # nothing could be learnt
            return Pupil(lambda sound, largest: [], given)
    return _opened(open_engine(spoken, weaver=WEAVER), given - kept, loosest)


def _vosk(lesson: Lesson, language: str, loosest: bool) -> Pupil | None:
    model = find_model(language)
    return _opened(open_engine(load(language), model), 0, loosest) if model and not lesson else None


def _grammar(lesson: Lesson, language: str, _: bool) -> Pupil | None:
    """A plain grammar: pocketsphinx's in English, vosk's where there is a model."""
    if lesson:
        return None
    if language == "en":
        return Pupil(PlainPocketsphinx(load(language)), 0) if find_spec("pocketsphinx") else None
    model = find_model(language)
    return Pupil(PlainVosk(load(language), model), 0) if model else None


def _opened(engine: WordEngine, turned_away: int, loosest: bool) -> Pupil:
    if loosest and hasattr(engine, "enough"):
        engine.enough = LOOSEST
    return Pupil(listening(engine), turned_away)


EARS: dict[str, Callable[[Lesson, str, bool], Pupil | None]] = {
    "this": _ours,
    "before": _ours,
    "vosk": _vosk,
    "grammar": _grammar,
}
