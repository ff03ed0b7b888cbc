"""The ear for other languages: vosk with a model of the weaver's choice."""

import json
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.errors import DeviceMissing
from assistant.languages import Language
from assistant.senses.ear.engine import RATE, vocabulary

UNKNOWN = "[unk]"  # vosk's own decoy for all that is in no grammar; some models have none
SILENT = -2  # of vosk's log levels; -1 still warns
ENOUGH = 0.7  # of vosk's confidence, the share of the likely paths that hold the word


class VoskEngine:
    """A grammar of commands, decoys and the unknown word; only what is final and a single command counts."""

    def __init__(self, language: Language, model: Path):
        """Raises DeviceMissing for a folder that is no model, LanguageError for words that are not in the model."""
        from vosk import Model, SetLogLevel

        SetLogLevel(SILENT)
        self.language = language
        try:
            self._model = Model(str(model))
        except Exception as error:  # vosk raises nothing more precise
            raise DeviceMissing(f"{model} is no vosk model that can be read; unpack it anew") from error
        self._words: dict[int, dict[str, str]] = {}  # those that count, by their spelling in the grammar
        self._grammars: dict[int, str] = {}
        self._listen_for(0)

    def recognise(self, samples: NDArray[np.int16], largest: int) -> tuple[str, float] | None:
        from vosk import KaldiRecognizer

        self._listen_for(largest)
        recogniser = KaldiRecognizer(self._model, RATE, self._grammars[largest])
        recogniser.SetWords(True)
        recogniser.AcceptWaveform(samples.tobytes())
        words = json.loads(recogniser.FinalResult()).get("result", [])
        found = self._words[largest].get(" ".join(word["word"] for word in words))
        score = min((float(word["conf"]) for word in words), default=0.0)
        return (found, min(score, 1.0)) if found and score >= ENOUGH else None

    def _listen_for(self, largest: int) -> None:
        """Make a grammar, the first time."""
        if largest not in self._words:
            wanted, decoys = vocabulary(self.language, largest, self._knows)
            unknown = [UNKNOWN] if self._knows(UNKNOWN) else []
            self._words[largest] = wanted
            self._grammars[largest] = json.dumps([*wanted, *decoys, *unknown], ensure_ascii=False)

    def _knows(self, word: str) -> bool:
        return bool(self._model.vosk_model_find_word(word) >= 0)
