"""The ear for other languages: vosk with a model of the weaver's choice."""

import json
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.errors import DeviceMissing
from assistant.languages import Language
from assistant.senses.ear.engine import RATE, meanings, others, spellings

UNKNOWN = "[unk]"  # vosk's own decoy for all that is in no grammar
ENOUGH = 0.7  # of vosk's confidence, the share of the likely paths that hold the word


class VoskEngine:
    """A grammar of commands, decoys and the unknown word; only what is final and a single command counts."""

    def __init__(self, language: Language, model: Path):
        """Raises DeviceMissing for a folder that is no model, LanguageError for words that are not in the model."""
        from vosk import Model, SetLogLevel

        SetLogLevel(-1)
        self.language = language
        try:
            self._model = Model(str(model))
        except Exception as error:  # vosk raises nothing more precise
            raise DeviceMissing(f"{model} is no vosk model that can be read; unpack it anew") from error
        self._words, self._grammars = {}, {}
        for numbers in (False, True):
            self._words[numbers] = spellings(language, meanings(language, numbers), self._knows)
            decoys = spellings(language, filter(self._knows_all, others(language, numbers)), self._knows)
            self._grammars[numbers] = json.dumps([*self._words[numbers], *decoys, UNKNOWN], ensure_ascii=False)

    def recognise(self, samples: NDArray[np.int16], numbers: bool) -> tuple[str, float] | None:
        from vosk import KaldiRecognizer

        recogniser = KaldiRecognizer(self._model, RATE, self._grammars[numbers])
        recogniser.SetWords(True)
        recogniser.AcceptWaveform(samples.tobytes())
        words = json.loads(recogniser.FinalResult()).get("result", [])
        found = self._words[numbers].get(" ".join(word["word"] for word in words))
        score = min((float(word["conf"]) for word in words), default=0.0)
        return (found, min(score, 1.0)) if found and score >= ENOUGH else None

    def _knows(self, word: str) -> bool:
        return bool(self._model.vosk_model_find_word(word) >= 0)

    def _knows_all(self, words: str) -> bool:
        return all(map(self._knows, words.split()))
