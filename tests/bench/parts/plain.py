"""The rivals of the hearing benchmark: plain grammars of the same words that decode all there is."""

import json
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from parts.wanted import KINDS, NUMBERS, Heard, Samples, said_for

from assistant.senses.ear.engine import spellings
from assistant.senses.sound import EAR_RATE
from assistant.words.language import Language

VOSK_STEP = 1600  # samples at a time


class Part(NamedTuple):
    """A word as the recogniser spells it, and when it ended, in seconds."""

    spelled: str
    end_s: float


class PlainPocketsphinx:
    """Cut where pocketsphinx's own detector finds an end."""

    def __init__(self, language: Language) -> None:
        from pocketsphinx import Decoder

        self._decoder = Decoder(lm=None, loglevel="FATAL")
        self._labels: dict[str, str] = {}
        for search, labels in (("commands", KINDS), ("numbers", NUMBERS)):
            spelled = {said_for(label, language).replace("-", " "): label for label in labels}
            self._decoder.add_jsgf_string(
                search, f"#JSGF V1.0; grammar {search}; public <words> = ({' | '.join(spelled)})+;"
            )
            self._labels |= spelled

    def __call__(self, sound: Samples, largest: int) -> list[Heard]:
        from pocketsphinx import Endpointer

        self._decoder.activate_search("numbers" if largest else "commands")
        ends = Endpointer()
        heard = [
            each
            for decided_at in decoded(self._decoder, ends, sound)
            for each in self._found(ends.speech_start, decided_at / EAR_RATE)
        ]
        if ends.in_speech:
            self._decoder.end_utt()
            heard += self._found(ends.speech_start, len(sound) / EAR_RATE)
        return heard

    def _found(self, start: float, now: float) -> Iterator[Heard]:
        parts = [part for part in self._decoder.seg() or [] if part.word[0] not in "<["]
        told = [Part(part.word.partition("(")[0], start + part.end_frame / 100) for part in parts]
        return put_together(told, self._labels, now)


def decoded(decoder: Any, ends: Any, sound: Samples) -> Iterator[int]:
    """Decode what pocketsphinx's detector takes for speech; after each utterance, the sample at which it ended."""
    step = ends.frame_bytes // 2
    for at in range(0, len(sound) - step, step):
        before = ends.in_speech
        speech = ends.process(sound[at : at + step].tobytes())
        if speech is None:
            continue
        if not before:
            decoder.start_utt()
        decoder.process_raw(speech)
        if not ends.in_speech:
            decoder.end_utt()
            yield at + step


class PlainVosk:
    """Cut where vosk itself finds an end."""

    def __init__(self, language: Language, model: Path) -> None:
        from vosk import Model, SetLogLevel

        SetLogLevel(-2)
        self._model = Model(str(model))
        self._labels: dict[bool, dict[str, str]] = {}
        for asked, labels in ((False, KINDS), (True, NUMBERS)):
            said = {said_for(label, language): label for label in labels}
            spelled = spellings(language, said, lambda word: self._model.vosk_model_find_word(word) >= 0)
            self._labels[asked] = {spelling: said[word] for spelling, word in spelled.items()}

    def __call__(self, sound: Samples, largest: int) -> list[Heard]:
        from vosk import KaldiRecognizer

        labels = self._labels[largest > 0]
        recogniser = KaldiRecognizer(self._model, EAR_RATE, json.dumps([*labels], ensure_ascii=False))
        recogniser.SetWords(True)
        heard: list[Heard] = []
        for at in range(0, len(sound), VOSK_STEP):
            if recogniser.AcceptWaveform(sound[at : at + VOSK_STEP].tobytes()):
                heard += put_together(_parts(recogniser.Result()), labels, (at + VOSK_STEP) / EAR_RATE)
        return [*heard, *put_together(_parts(recogniser.FinalResult()), labels, len(sound) / EAR_RATE)]


def put_together(parts: Iterable[Part], labels: Mapping[str, str], now: float) -> Iterator[Heard]:
    """The words that were heard; one of two parts is put together again."""
    rest = list(parts)
    while rest:
        length = 2 if " ".join(part.spelled for part in rest[:2]) in labels else 1
        spelled, end = " ".join(part.spelled for part in rest[:length]), rest[:length][-1].end_s
        rest = rest[length:]
        if spelled in labels:
            yield Heard(labels[spelled], end, now, 1.0)


def _parts(result: str) -> list[Part]:
    return [Part(word["word"], word["end"]) for word in json.loads(result).get("result", [])]
