"""The ear built in: pocketsphinx with the US English model that its wheel carries."""

from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.errors import DeviceMissing
from assistant.languages import Language
from assistant.senses.ear.engine import row_in, spellings, vocabulary

FARTHEST = -150.0  # likeness at which the score is 0
ENOUGH = 0.5  # most commands reach it, most other words that get through the grammar do not
LEAD = 0.05  # of score by which a word must fit better than the likeliest row, not to be taken for it
BETWEEN_NUMBERS = {"silprob": 0.5, "wip": 0.1}  # else short silences are taken for "eight" and "two"
WHOLE_ROW = {"wbeam": 1e-60, "bestpath": False}  # else long rows are given up for one word


class PocketsphinxEngine:
    """Finds the likeliest word of a grammar, and takes it if its sounds are likely among all the sounds there are."""

    keen = False
    lacks = ""

    def __init__(self, language: Language):
        """Raises DeviceMissing for a language other than English, LanguageError for words that are not in the model."""
        if language.code != "en":
            raise DeviceMissing(f"the built-in ear hears English only; put a vosk model for {language.name} in models/")
        from pocketsphinx import Decoder

        self.language = language
        self._finder = Decoder(lm=None, loglevel="FATAL")
        self._judge = Decoder(lm=None, loglevel="FATAL", compallsen=True)
        self._words: dict[int, dict[str, str]] = {}  # those that count, by their spelling in the grammar
        self._numbers: dict[int, dict[str, str]] = {}  # those of rows, by their spelling in the grammar
        self._listen_for(0)

    def recognise(self, samples: NDArray[np.int16], largest: int) -> tuple[str, float] | None:
        self._listen_for(largest)
        found = self._words[largest].get(spelling := _find(self._finder, samples))
        score = self._scores(spelling, samples)[0] if found else 0.0
        return (found, score) if found and score >= ENOUGH else None

    def recognise_row(self, samples: NDArray[np.int16], largest: int) -> tuple[list[str], float] | None:
        """The likeliest row, as sure as its worst number, unless a command or a word to tell apart fits better."""
        self._listen_for_rows(largest)
        numbers = _find(self._row_finder, samples)
        self._listen_for(0)
        word = _find(self._finder, samples)
        row, command = row_in(numbers, self._numbers[largest]), self._words[0].get(word)
        row_score = min(self._scores(numbers, samples)) if row else 0.0
        word_score = self._scores(word, samples)[0] if word else 0.0
        if row and row_score >= max(ENOUGH, word_score - LEAD):
            return row, row_score
        return ([command], word_score) if command and word_score >= ENOUGH else None

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

    def _scores(self, words: str, samples: NDArray[np.int16]) -> tuple[float, float]:
        """How sure (0 to 1) of all the words together, and of the worst of them."""
        together, worst = (float(np.clip(1 - far / FARTHEST, 0, 1)) for far in self._likeness(words, samples))
        return together, worst

    def _likeness(self, words: str, samples: NDArray[np.int16]) -> tuple[float, float]:
        """How the words' sounds fare against the likeliest of all sounds: 0 best; decoder's log units a frame of words.

        Of all together, where the silences around count too, so that a word found in a part of what was said fares
        badly; and of the worst word by itself.
        """
        self._judge.set_align_text(words)
        try:
            _decode(self._judge, samples)
            self._judge.set_alignment()
            _decode(self._judge, samples)
            aligned = list(self._judge.get_alignment())
        except RuntimeError:  # pocketsphinx: the words cannot be laid over the sound at all
            return FARTHEST, FARTHEST
        spoken = [part for part in aligned if part.name[0] not in "<["]
        if not spoken:
            return FARTHEST, FARTHEST
        together = sum(part.score for part in aligned) / sum(part.duration for part in spoken)
        return together, min(part.score / part.duration for part in spoken)

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
