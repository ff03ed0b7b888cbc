"""Teach words from recordings that are named after the command they stand for."""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.errors import SoundFileError, TaughtError
from assistant.senses.ear.engine import MOST_BY_VOICE, NOTHING, RATE
from assistant.senses.ear.hear import read
from assistant.senses.ear.taught.features import mel_energies
from assistant.senses.ear.taught.finder import Finder
from assistant.senses.ear.taught.judging import judge
from assistant.senses.ear.taught.store import Taught, keep, kept_in
from assistant.senses.ear.taught.templates import Example
from assistant.words.language import Language

NAMED = re.compile(r"(?P<word>[a-z]+|\d{1,2})-\d+", re.ASCII)  # next-1, 12-3
QUIET, QUIETS = RATE // 10, 5  # a quiet tenth of a second of a recording is put before and after it so many times
QUIET_SHARE = 0.2  # of its stretches are quieter: a gate may have left some without any sound at all
SOUND = (".wav", ".flac", ".ogg")


@dataclass(frozen=True, slots=True)
class Learnt:
    """What came of teaching."""

    taught: Taught
    file: Path  # where it is kept
    faults: tuple[str, ...]  # what was left out, a line each

    def lines(self) -> Iterator[str]:
        """For the weaver to read."""
        yield from self.faults
        counts = Counter(example.word for example in self.taught.examples)
        for word, count in counts.items():
            yield f"{word}: {count} examples"
        yield f"{self.taught.weaver} has taught {len(counts)} words; how they sound is kept in {self.file}"


def teach(folder: Path, weaver: str, language: Language) -> Learnt:
    """Keep the words in a folder of recordings, instead of what this weaver taught before.

    Raises TaughtError where nothing can be learnt, SoundFileError for a file that cannot be read.
    """
    kept_in(weaver)  # a name that will not do is told before the work
    said = [(file, _word(file, language)) for file in _recordings(folder)]
    faults: list[str] = []
    files: list[Path] = []
    examples: list[Example] = []
    for file, word in said:
        found = _alone(file)
        if len(found) == 1:
            files.append(file)
            examples.append(Example(word, mel_energies(found[0])))
        else:
            what = "more than one word" if found else "no word"
            faults.append(f"{file}: {what} on its own was found in it; say it once, with a second of quiet around it")
    judged = judge(examples) if examples else None
    if judged is None or not judged.good:
        raise TaughtError("; ".join([f"nothing could be learnt from {folder}", *faults[:1]]))
    faults += [f"{files[place]}: {why}" for place, why in sorted(judged.faults.items())]
    taught = Taught.of(weaver, examples, judged)
    return Learnt(taught, keep(taught), tuple(faults))


def _recordings(folder: Path) -> list[Path]:
    """Those of the folder, a word's by their numbers."""
    try:
        files = sorted(file for file in folder.iterdir() if file.suffix.lower() in SOUND)
    except OSError as error:
        raise TaughtError(
            f"{folder}: {error.strerror}; give a folder of recordings such as next-1.wav, next-2.wav, next-3.wav"
        ) from error
    if not files:
        raise TaughtError(f"{folder} holds no recordings; name them next-1.wav, next-2.wav and so on")
    return files


def _word(file: Path, language: Language) -> str:
    """The command's kind, or the number in digits, for which a recording stands."""
    named = NAMED.fullmatch(file.stem.lower())
    word = named["word"].lstrip("0") or "0" if named else ""
    if stands_for_something(word, language):
        return word
    raise TaughtError(
        f"{file}: {file.stem} stands for no command; name it after one, and number it: next-1.wav, 3-1.wav; "
        f"there are: {', '.join(language.commands)}, 0 to {MOST_BY_VOICE}"
    )


def stands_for_something(word: str, language: Language) -> bool:
    """Whether it is a command's kind, or a number that is listened for, in digits."""
    return word in language.commands or (word.isdecimal() and int(word) <= MOST_BY_VOICE)


def _alone(file: Path) -> list[NDArray[np.int16]]:
    """The words said on their own in a recording."""
    sound = np.concatenate([NOTHING, *read(file)])
    if not sound.any():
        raise SoundFileError(f"{file}: there is no sound in it; record it anew")
    quiet = np.tile(_quiet(sound), QUIETS)
    return [utterance.samples for utterance in Finder().feed(np.concatenate([quiet, sound, quiet]))]


def _quiet(sound: NDArray[np.int16]) -> NDArray[np.int16]:
    """A stretch of QUIET samples in which little is to be heard."""
    stretches = np.pad(sound, (0, max(0, QUIET - len(sound))))
    stretches = np.lib.stride_tricks.sliding_window_view(stretches, QUIET)[:: QUIET // 10]
    by_loudness = stretches.std(axis=1).argsort()
    return np.asarray(stretches[by_loudness[int(QUIET_SHARE * len(by_loudness))]], np.int16)
