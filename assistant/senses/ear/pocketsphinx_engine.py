"""The ear built in: pocketsphinx with the US English model that its wheel carries."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.errors import DeviceMissing
from assistant.languages import Language
from assistant.senses.ear.engine import vocabulary

FARTHEST = -150.0  # likeness at which the score is 0
ENOUGH = 0.5  # most commands reach it, most other words that get through the grammar do not


class PocketsphinxEngine:
    """Finds the likeliest word of a grammar, and takes it if its sounds are likely among all the sounds there are."""

    def __init__(self, language: Language):
        """Raises DeviceMissing for a language other than English, LanguageError for words that are not in the model."""
        if language.code != "en":
            raise DeviceMissing(f"the built-in ear hears English only; put a vosk model for {language.name} in models/")
        from pocketsphinx import Decoder

        self.language = language
        self._finder = Decoder(lm=None, loglevel="FATAL")
        self._judge = Decoder(lm=None, loglevel="FATAL", compallsen=True)
        self._words: dict[int, dict[str, str]] = {}  # those that count, by their spelling in the grammar
        self._listen_for(0)

    def recognise(self, samples: NDArray[np.int16], largest: int) -> tuple[str, float] | None:
        self._listen_for(largest)
        _decode(self._finder, samples)
        found = self._finder.hyp()
        if not found or found.hypstr not in self._words[largest]:
            return None
        score = float(np.clip(1 - self._likeness(found.hypstr, samples) / FARTHEST, 0, 1))
        return (self._words[largest][found.hypstr], score) if score >= ENOUGH else None

    def _listen_for(self, largest: int) -> None:
        """Use a grammar of single words, equally likely, making it the first time."""
        search = f"upto{largest}"
        if largest not in self._words:
            wanted, decoys = vocabulary(self.language, largest, self._knows)
            choices = " | ".join(wanted | decoys)
            self._finder.add_jsgf_string(search, f"#JSGF V1.0; grammar {search}; public <word> = {choices};")
            self._words[largest] = wanted
        self._finder.activate_search(search)

    def _likeness(self, words: str, samples: NDArray[np.int16]) -> float:
        """How the words' sounds fare against the likeliest of all sounds: 0 best; decoder's log units a frame of words.

        The silences around count too, so that a word found in a part of what was said fares badly.
        """
        self._judge.set_align_text(words)
        try:
            _decode(self._judge, samples)
            self._judge.set_alignment()
            _decode(self._judge, samples)
            aligned = list(self._judge.get_alignment())
        except RuntimeError:  # pocketsphinx: the words cannot be laid over the sound at all
            return FARTHEST
        spoken = sum(part.duration for part in aligned if part.name[0] not in "<[")
        return float(sum(part.score for part in aligned) / spoken) if spoken else FARTHEST

    def _knows(self, word: str) -> bool:
        return self._finder.lookup_word(word) is not None


def _decode(decoder: Any, samples: NDArray[np.int16]) -> None:
    """Run the search over one utterance, its cepstra normalised over the whole of it."""
    decoder.start_utt()
    decoder.process_raw(samples.tobytes(), full_utt=True)
    decoder.end_utt()
