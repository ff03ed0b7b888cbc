"""The ear as it was before: words taught are compared with the examples, words untaught are heard by pocketsphinx."""

from importlib import import_module
from itertools import islice

from parts.pupils import Lesson, Pupil, listening

from assistant.words.language import load

EAR = "assistant.senses.ear"


def teach(lesson: Lesson) -> Pupil | None:
    """As `heddlecall teach` took recordings, and `heddlecall thread` opened the ear."""
    return _taught(lesson) if lesson else _untaught()


def _untaught() -> Pupil:
    return Pupil(listening(import_module(f"{EAR}.pocketsphinx_engine").PocketsphinxEngine(load("en"))), 0)


def _taught(lesson: Lesson) -> Pupil:
    features, taught = import_module(f"{EAR}.features"), import_module(f"{EAR}.taught")
    spotter = import_module(f"{EAR}.word_finder").WordFinder
    examples = []
    for label, sounds in lesson.items():
        for sound in sounds:
            found = [*islice(spotter().feed(sound), 2)]
            if len(found) == 1:
                examples.append(features.Example(label, features.mel_energies(found[0].samples)))
    judged = taught.judge(examples) if examples else None
    given = sum(map(len, lesson.values()))
    if judged is None or not judged.good:
        return Pupil(lambda sound, largest: [], given)
    kept = taught.Taught.of("bench", examples, judged)
    engine = import_module(f"{EAR}.taught_engine").TaughtEngine(load("en"), kept)
    return Pupil(listening(engine), given - len(judged.good))
