"""Which words are taught; and teaching them from recordings that are named after the command they stand for."""

import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, islice
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.errors import SoundFileError, TaughtError, refusal
from assistant.meaning import Tell, listed
from assistant.senses.ear.clip import clip_of
from assistant.senses.ear.embedding import Mel
from assistant.senses.ear.engine import MOST_BY_VOICE
from assistant.senses.ear.hear import hearing, read
from assistant.senses.ear.judging import Example, judge
from assistant.senses.ear.likeness import Space
from assistant.senses.ear.taught import RENAMED, Taught, alone_with, keep, kept_in, load_taught
from assistant.senses.ear.utterance import Utterance
from assistant.senses.ear.word_finder import WordFinder
from assistant.senses.ear.words import TrainedWords
from assistant.senses.lesson.lesson import LessonWords
from assistant.senses.sound import EAR_RATE, NOTHING
from assistant.session.events import Kind
from assistant.words.language import Language

# Said with both hands full; a place can be marked by key, and volume and speed are set once.
AT_THE_LOOM = (
    *(Kind.NEXT, Kind.REPEAT, Kind.BACK, Kind.FINISHED, Kind.WHERE, Kind.SHORT, Kind.OVER, Kind.UNEVEN),
    *(Kind.FIND, Kind.UNSURE, Kind.REDO, Kind.SETTLE, Kind.PAUSE, Kind.RESUME),
)
NAMED = re.compile(r"(?P<word>[a-z]+|\d{1,2})-\d+", re.ASCII)  # next-1, 12-3
QUIET, QUIETS = EAR_RATE // 10, 5  # a quiet tenth of a second of a recording is put before and after it so many times
HEARD_AT_ONCE = 10 * EAR_RATE  # samples, of whose features the memory is needed
QUIET_SHARE = 0.2  # of its stretches are quieter: a gate may have left some without any sound at all
SOUND = (".wav", ".flac", ".ogg")


def words_to_teach(language: Language, words: str | None, numbers: int, everything: bool) -> list[str]:
    """Those named, with commas between, or those needed at the loom, or every command; and the numbers up to `numbers`.

    Raises TaughtError for a word that stands for nothing, or more numbers than are listened for.
    """
    if not 0 <= numbers <= MOST_BY_VOICE:
        raise TaughtError(
            "--numbers {numbers}: numbers from 1 to {most} can be taught; larger ones are typed",
            numbers=str(numbers),
            most=MOST_BY_VOICE,
        )
    wanted = _named(words, language) if words is not None else list(language.commands if everything else AT_THE_LOOM)
    return list(dict.fromkeys([*map(str, wanted), *(str(n) for n in range(1, numbers + 1))]))


def _named(words: str, language: Language) -> Sequence[str]:
    named = [_renamed(word.strip().lower()) for word in words.split(",") if word.strip()]
    unknown = [word for word in named if not stands_for_something(word, language)]
    if unknown or not named:
        raise TaughtError(
            "--words: {word!r} stands for no command; there are: {known}, 0 to {most}"
            if unknown
            else "--words: no word is named; there are: {known}, 0 to {most}",
            word=unknown[0] if unknown else "",
            known=", ".join(language.over_paper.commands),
            most=MOST_BY_VOICE,
        )
    return [str(int(word)) if word.isdecimal() else word for word in named]


@dataclass(frozen=True, slots=True)
class Learnt:
    """What came of teaching."""

    taught: Taught
    file: Path  # where it is kept
    faults: tuple[Tell, ...]  # what was left out, a line each
    language: Language
    alike: tuple[tuple[str, str], ...] = ()  # words that may be taken for one another, where that was not told yet

    def lines(self) -> Iterator[str]:
        """For the weaver to read."""
        words = LessonWords(self.language)
        yield from map(words.told, self.faults)
        for pair in self.alike:
            yield " ".join(part.text for part in words.alike(*pair))
        counts = Counter((example.word, example.believed) for example in self.taught.examples)
        for word in self.taught.words():
            examples = words.text("taught word", word=word, count=counts[word, False])
            believed = counts[word, True]
            yield words.text("taught and believed", examples=examples, count=believed) if believed else examples
        yield words.text("taught in all", weaver=self.taught.weaver, count=len(self.taught.words()), file=self.file)


def learnt(weaver: str, language: Language) -> Learnt:
    """What is kept of a weaver. Raises TaughtError where there is nothing, or what cannot be used."""
    return Learnt(load_taught(weaver, Space(TrainedWords(language.code))), kept_in(weaver), (), language)


def forget_corrections(weaver: str, language: Language) -> int:
    """Delete what this weaver was believed beside her lessons, and say how many that were.

    Raises TaughtError where there is nothing kept, or it stays.
    """
    space = Space(TrainedWords(language.code))
    with alone_with(weaver):
        taught = load_taught(weaver, space)
        if gone := sum(example.believed for example in taught.examples):
            keep(taught.lesson(), space)
    return gone


def teach(
    folder: Path, weaver: str, language: Language, beforehand: Callable[[float], None] = lambda seconds: None
) -> Learnt:
    """Keep the words in a folder of recordings, instead of what this weaver taught before.

    `beforehand` is called with about the seconds that the work will take, before it is begun.
    Raises TaughtError where nothing can be learnt, SoundFileError for a file that cannot be read.
    """
    kept_in(weaver)  # a name that will not do is told before the work
    said = [(file, _word(file, language)) for file in _recordings(folder)]
    beforehand(hearing(file for file, _ in said))
    faults: list[Tell] = []
    files: list[Path] = []
    words: list[str] = []
    clips: list[Mel] = []
    for file, word in said:
        found = _alone(file)
        if len(found) == 1:
            files.append(file)
            words.append(word)
            clips.append(clip_of(found[0]))
        else:
            faults.append(
                Tell(
                    "{file}: more than one word on its own was found in it; "
                    "say it once, with a second of quiet around it",
                    file=file,
                )
                if found
                else Tell(
                    "{file}: no word on its own was found in it; say it once, with a second of quiet around it",
                    file=file,
                )
            )
    if not clips:
        raise TaughtError(listed([Tell("nothing could be learnt from {folder}", folder=folder), *faults[:1]]))
    space = Space(TrainedWords(language.code))
    examples = [Example(*each) for each in zip(words, clips, space.of(clips), strict=True)]
    judged = judge(examples)
    faults += [Tell("example left out", file=files[at], why=judged.faults[at].tell()) for at in sorted(judged.faults)]
    taught = Taught(weaver, tuple(examples[at] for at in judged.good))
    return Learnt(taught, keep(taught, space), tuple(faults), language, judged.alike)


def _recordings(folder: Path) -> list[Path]:
    """Those of the folder, a word's by their numbers."""
    try:
        files = sorted(file for file in folder.iterdir() if file.suffix.lower() in SOUND)
    except OSError as error:
        raise TaughtError(
            "{folder}: {why}; give a folder of recordings such as next-1.wav, next-2.wav, next-3.wav",
            folder=folder,
            why=refusal(error),
        ) from error
    if not files:
        raise TaughtError(
            "{folder} holds no recordings; name them next-1.wav, next-2.wav and so on",
            folder=folder,
        )
    return files


def _word(file: Path, language: Language) -> str:
    """The command's kind, or the number in digits, for which a recording stands."""
    named = NAMED.fullmatch(file.stem.lower())
    word = _renamed(named["word"].lstrip("0") or "0") if named else ""
    if stands_for_something(word, language):
        return word
    raise TaughtError(
        "{file}: {name} stands for no command; name it after one, and number it: next-1.wav, "
        "3-1.wav; there are: {known}, 0 to {most}",
        file=file,
        name=file.stem,
        known=", ".join(language.over_paper.commands),
        most=MOST_BY_VOICE,
    )


def _renamed(word: str) -> str:
    """The name that a command has now; recordings and habits may be older."""
    return RENAMED.get(word, word)


def stands_for_something(word: str, language: Language) -> bool:
    """Whether it is a command's kind, or a number that is listened for, in digits."""
    return word in language.over_paper.commands or (word.isdecimal() and int(word) <= MOST_BY_VOICE)


def _alone(file: Path) -> list[Utterance]:
    """The words said on their own in a recording, two at most."""
    sound = np.concatenate([NOTHING, *read(file)])
    if not sound.any():
        raise SoundFileError("{file}: there is no sound in it; record it anew", file=file)
    quiet = np.tile(_quiet(sound), QUIETS)
    finder = WordFinder()
    blocks = np.array_split(sound, len(sound) // HEARD_AT_ONCE + 1)
    said = chain.from_iterable(finder.feed(block) for block in (quiet, *blocks, quiet))
    return [*islice(said, 2)]


def _quiet(sound: NDArray[np.int16]) -> NDArray[np.int16]:
    """A stretch of QUIET samples in which little is to be heard."""
    stretches = np.pad(sound, (0, max(0, QUIET - len(sound))))
    stretches = np.lib.stride_tricks.sliding_window_view(stretches, QUIET)[:: QUIET // 10]
    by_loudness = np.array([stretch.std() for stretch in stretches]).argsort()
    return np.asarray(stretches[by_loudness[int(QUIET_SHARE * len(by_loudness))]], np.int16)
