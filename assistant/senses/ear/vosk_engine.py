"""The ear for other languages: vosk with a model of the weaver's choice."""

import json
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.errors import DeviceMissing
from assistant.senses.ear.engine import row_in, spellings, vocabulary
from assistant.senses.ear.utterance import FRAME_S, MARGIN, Utterance
from assistant.senses.portaudio import libraries_quiet
from assistant.senses.sound import EAR_RATE
from assistant.words.language import Language

UNKNOWN = "[unk]"  # vosk's own decoy for all that is in no grammar; some models have none
SILENT = -2  # of vosk's log levels; -1 still warns
ENOUGH = 0.7  # of vosk's confidence, the share of the likely paths that hold the word; it rejects nothing by itself
FILLED = 0.4  # of what was said, by the words found in it; a command found inside something longer fills less
BESIDE_S = 0.12  # of quiet on each side of what was said that is decoded; with more, a word is told less surely
LEFT_OUT = round((MARGIN * FRAME_S - BESIDE_S) * EAR_RATE)  # samples at each end


class VoskEngine:
    """A grammar of commands, decoys and the unknown word; only what is final and a single command, or a row, counts."""

    keen = False

    def __init__(self, language: Language, model: Path):
        """Raises DeviceMissing for a folder that is no model, LanguageError for words that are not in the model."""
        try:
            from vosk import Model, SetLogLevel
        except ImportError as error:
            raise DeviceMissing("hearing with a vosk model needs vosk: pip install 'heddlecall[vosk]'") from error
        SetLogLevel(SILENT)
        self.language = language
        try:
            if not all(each.is_file() or each.is_dir() for each in model.rglob("*")):
                raise ValueError(model)  # a pipe, which would be waited for
            str(model).encode()  # vosk takes UTF-8 only, and of another name complains on its own
            with libraries_quiet():
                self._model = Model(str(model))
        except Exception as error:  # vosk raises nothing more precise
            raise DeviceMissing("{model} is no vosk model that can be read; unpack it anew", model=model) from error
        self._words: dict[int, dict[str, str]] = {}  # those that count, by their spelling in the grammar
        self._grammars: dict[int, str] = {}
        self._listen_for(0)

    def recognise(self, said: Sequence[Utterance], largest: int) -> Sequence[tuple[str, float] | None]:
        return [self._recognised(each.samples, largest) for each in said]

    def _recognised(self, samples: NDArray[np.int16], largest: int) -> tuple[str, float] | None:
        self._listen_for(largest)
        spelling, score = self._find(self._grammars[largest], samples)
        found = self._words[largest].get(spelling)
        return (found, score) if found and score >= ENOUGH else None

    def recognise_row(self, samples: NDArray[np.int16], largest: int) -> tuple[list[str], float] | None:
        """Numbers, commands and decoys in one grammar, in which any may follow any."""
        numbers = spellings(self.language, self.language.numbers[1 : largest + 1], self._knows)
        commands, decoys = vocabulary(self.language, 0, self._knows)
        spelling, score = self._find(self._grammar(commands | decoys | numbers), samples)
        command = commands.get(spelling)
        found = [command] if command else row_in(spelling, numbers)
        return (found, score) if found and score >= ENOUGH else None

    def _find(self, grammar: str, samples: NDArray[np.int16]) -> tuple[str, float]:
        """What is finally heard, and how sure (0 to 1) the least sure word of it is; 0 where more was said."""
        from vosk import KaldiRecognizer

        recogniser = KaldiRecognizer(self._model, EAR_RATE, grammar)
        recogniser.SetWords(True)
        decoded = samples[LEFT_OUT : len(samples) - LEFT_OUT]
        recogniser.AcceptWaveform(decoded.tobytes())
        words = json.loads(recogniser.FinalResult()).get("result", [])
        score = min((float(word["conf"]) for word in words), default=0.0)
        said_s = len(decoded) / EAR_RATE - 2 * BESIDE_S
        alone = bool(words) and words[-1]["end"] - words[0]["start"] >= FILLED * said_s
        return " ".join(word["word"] for word in words), min(score, 1.0) if alone else 0.0

    def _listen_for(self, largest: int) -> None:
        """Make a grammar, the first time."""
        if largest not in self._words:
            wanted, decoys = vocabulary(self.language, largest, self._knows)
            self._words[largest] = wanted
            self._grammars[largest] = self._grammar([*wanted, *decoys])

    def _grammar(self, words: Iterable[str]) -> str:
        unknown = [UNKNOWN] if self._knows(UNKNOWN) else []
        return json.dumps([*words, *unknown], ensure_ascii=False)

    def _knows(self, word: str) -> bool:
        return bool(self._model.vosk_model_find_word(word) >= 0)
