"""Mel energies against python_speech_features, another implementation of the same definition."""

import numpy as np
import pytest
import python_speech_features as reference

from assistant.senses.ear import features
from assistant.senses.sound import EAR_RATE

SETTINGS = {
    "samplerate": EAR_RATE,
    "winlen": features.WINDOW / EAR_RATE,
    "winstep": features.STEP / EAR_RATE,
    "nfilt": features.BANDS,
    "nfft": features.POINTS,
    "lowfreq": features.LOWEST,
    "highfreq": features.HIGHEST,
    "preemph": features.EMPHASIS,
    "winfunc": np.hamming,
}
SOUND = np.random.default_rng(3).normal(0, 3000, features.WINDOW + 70 * features.STEP).astype(np.int16)


def test_mel_energies_are_those_of_the_reference() -> None:
    energies, _ = reference.fbank(SOUND / 32768, **SETTINGS)
    assert features.mel_energies(SOUND) == pytest.approx(energies, rel=1e-5)


@pytest.mark.parametrize("length", [0, 1, features.WINDOW, features.WINDOW + features.STEP - 1])
def test_the_shortest_sounds_make_one_frame(length: int) -> None:
    energies = features.mel_energies(np.zeros(length, np.int16))
    assert energies.shape == (1, features.BANDS)
    assert (energies == np.float32(features.FAINTEST)).all()
