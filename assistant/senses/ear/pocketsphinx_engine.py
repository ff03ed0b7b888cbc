"""The ear built in: pocketsphinx with the US English model that its wheel carries."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.errors import DeviceMissing
from assistant.meaning import Tell
from assistant.senses.ear.engine import row_in, spellings, vocabulary
from assistant.senses.sound import NOTHING
from assistant.words.language import Language

FARTHEST = -150.0  # decoder's log units a frame of words, less those of the likeliest sounds, where the score is 0
FARTHEST_SOUND = -325.0  # and that of the least likely sound of a word; right words have some odd ones
ENOUGH = 0.55  # score of a word; nearly all commands reach it, most other words that get through the grammar do not
ENOUGH_IN_ROW = 0.5  # numbers in a row run into each other, and no command is at stake
STOPS = frozenset("BDGKPT")
LONGEST_STOP, LONGEST_SOUND = 25, 45  # frames of 10 ms; a word laid over another one is stretched somewhere
LEAD = 0.05  # of score by which a word must fit better than the likeliest row, not to be taken for it
BETWEEN_NUMBERS = {"silprob": 0.5, "wip": 0.1}  # else short silences are taken for "eight" and "two"
WHOLE_ROW = {"wbeam": 1e-60, "bestpath": False}  # else long rows are given up for one word


@dataclass(frozen=True, slots=True)
class Fit:
    """How well words fit what was said, 0 to 1; at 1 none of all sounds would fit better."""

    together: float  # with the silences around, so that a word found in a part of what was said fares badly
    worst_word: float
    worst_sound: float
    in_time: bool  # no sound lasts longer than it can

    @property
    def sure(self) -> float:
        """Of a single word."""
        return min(self.together, self.worst_sound) if self.in_time else 0.0

    @property
    def of_row(self) -> float:
        """Of words that run into each other, where sounds suffer."""
        return min(self.together, self.worst_word)


NO_FIT = Fit(0.0, 0.0, 0.0, False)


class PocketsphinxEngine:
    """Finds the likeliest word of a grammar, and takes it if all its sounds are likely and none lasts too long."""

    keen = False
    lacks: Tell | None = None

    def __init__(self, language: Language, enough: float = ENOUGH):
        """`enough`: the score a word must reach.

        Raises DeviceMissing for a language other than English, LanguageError for words that are not in the model.
        """
        if language.code != "en":
            raise DeviceMissing(
                "the built-in ear hears English only; put a vosk model for {language} in models/",
                language=Tell(language.name),
            )
        from pocketsphinx import Decoder

        self.language = language
        self._enough = enough
        self._finder = Decoder(lm=None, loglevel="FATAL")
        self._judge = Decoder(lm=None, loglevel="FATAL", compallsen=True)
        self._words: dict[int, dict[str, str]] = {}  # those that count, by their spelling in the grammar
        self._numbers: dict[int, dict[str, str]] = {}  # those of rows, by their spelling in the grammar
        self._listen_for(0)

    def recognise(
        self, samples: NDArray[np.int16], largest: int, before: NDArray[np.int16] = NOTHING
    ) -> tuple[str, float] | None:
        self._listen_for(largest)
        found = self._words[largest].get(spelling := _find(self._finder, samples))
        score = self._fit(spelling, samples).sure if found else 0.0
        return (found, score) if found and score >= self._enough else None

    def recognise_row(self, samples: NDArray[np.int16], largest: int) -> tuple[list[str], float] | None:
        """The likeliest row, as sure as its worst number, unless a command or a word to tell apart fits better."""
        self._listen_for_rows(largest)
        numbers = _find(self._row_finder, samples)
        self._listen_for(0)
        word = _find(self._finder, samples)
        row, command = row_in(numbers, self._numbers[largest]), self._words[0].get(word)
        row_score = self._fit(numbers, samples).of_row if row else 0.0
        fit = self._fit(word, samples) if word else NO_FIT
        if row and row_score >= max(ENOUGH_IN_ROW, fit.together - LEAD):
            return row, row_score
        return ([command], fit.sure) if command and fit.sure >= self._enough else None

    def _listen_for(self, largest: int) -> None:
        """Use a grammar of single words, equally likely, making it the first time."""
        search = f"upto{largest}"
        if largest not in self._words:
            wanted, decoys = vocabulary(self.language, largest, self._knows)
            choices = " | ".join(wanted | decoys)
            self._finder.add_jsgf_string(search, f"#JSGF V1.0; grammar {search}; public <word> = {choices};")
            self._words[largest] = wanted
        self._finder.activate_search(search)

    @cached_property
    def _row_finder(self) -> Any:
        from pocketsphinx import Decoder

        return Decoder(lm=None, loglevel="FATAL", **BETWEEN_NUMBERS, **WHOLE_ROW)

    def _listen_for_rows(self, largest: int) -> None:
        """Use a grammar of numbers one after the other, making it the first time."""
        search = f"rows{largest}"
        if largest not in self._numbers:
            self._numbers[largest] = spellings(self.language, self.language.numbers[1 : largest + 1], self._knows)
            choices = " | ".join(self._numbers[largest])
            grammar = f"#JSGF V1.0; grammar {search}; public <row> = <number>+; <number> = {choices};"
            self._row_finder.add_jsgf_string(search, grammar)
        self._row_finder.activate_search(search)

    def _fit(self, words: str, samples: NDArray[np.int16]) -> Fit:
        """How the words, laid over the sound, fare against the likeliest of all sounds."""
        self._judge.set_align_text(words)
        try:
            _decode(self._judge, samples)
            self._judge.set_alignment()
            _decode(self._judge, samples)
            laid = self._judge.get_alignment()
        except RuntimeError:  # pocketsphinx: the words cannot be laid over the sound at all
            return NO_FIT
        # Copied while the alignment is held: pocketsphinx frees its parts with it.
        parts = [(part.name, part.score, part.duration, [_sound(each) for each in part]) for part in laid]
        spoken = [part for part in parts if part[0][0] not in "<["]
        if not spoken:
            return NO_FIT
        together = sum(score for _, score, _, _ in parts) / sum(frames for _, _, frames, _ in spoken)
        sounds = [sound for *_, those in spoken for sound in those]
        return Fit(
            together=_score(together, FARTHEST),
            worst_word=_score(min(score / frames for _, score, frames, _ in spoken), FARTHEST),
            worst_sound=_score(min(score / frames for _, score, frames in sounds), FARTHEST_SOUND),
            in_time=all(frames <= _longest(name) for name, _, frames in sounds),
        )

    def _knows(self, word: str) -> bool:
        return self._finder.lookup_word(word) is not None


def _find(decoder: Any, samples: NDArray[np.int16]) -> str:
    """What the search finds in one utterance; "" where nothing fits."""
    _decode(decoder, samples)
    found = decoder.hyp()
    return found.hypstr if found else ""


def _decode(decoder: Any, samples: NDArray[np.int16]) -> None:
    """Run the search over one utterance, its cepstra normalised over the whole of it."""
    decoder.start_utt()
    decoder.process_raw(samples.tobytes(), full_utt=True)
    decoder.end_utt()


def _sound(part: Any) -> tuple[str, float, int]:
    """The name of a sound in a word, its score, and its length in frames."""
    return part.name, part.score, part.duration


def _score(likeness: float, farthest: float) -> float:
    return float(np.clip(1 - likeness / farthest, 0, 1))


def _longest(sound: str) -> int:
    return LONGEST_STOP if sound in STOPS else LONGEST_SOUND
