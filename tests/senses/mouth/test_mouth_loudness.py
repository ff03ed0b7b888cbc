"""Loudness as pyloudnorm measures it, an implementation of ITU-R BS.1770-4 by others."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import resample_poly

from assistant.senses.mouth import SPEED
from assistant.senses.mouth.clips import CLIP_LOUDNESS, clean
from assistant.senses.mouth.loudness import BLOCK_S, WHOLE_S, levelled, loudness
from assistant.senses.mouth.player import MOUTH_RATE, Samples
from assistant.senses.mouth.voicebox import Voicebox
from assistant.senses.mouth.voices import choose
from assistant.words.language import codes, load

pyloudnorm = pytest.importorskip("pyloudnorm")

NUMBERS = (1, 2, 6, 13, 15, 50, 77)


def measured(samples: NDArray[np.float32], rate: int) -> float:
    """By pyloudnorm; what is short as one block, which it asks to be shorter than the sound."""
    block = BLOCK_S if len(samples) >= WHOLE_S * rate else (len(samples) - 0.5) / rate
    return float(pyloudnorm.Meter(rate, block_size=block).integrated_loudness(samples.astype(np.float64)))


def sine(hertz: float, seconds: float, rate: int) -> NDArray[np.float32]:
    return np.sin(np.arange(round(seconds * rate)) * 2 * np.pi * hertz / rate).astype(np.float32)


@pytest.mark.parametrize("rate", [22_050, 48_000])
def test_a_sine_of_the_standard_measures_what_the_standard_says(rate: int) -> None:
    assert loudness(sine(997, 3, rate), rate) == pytest.approx(-3.01, abs=0.01)  # BS.1770-4, annex 1


@pytest.mark.parametrize("hertz", [40, 100, 400, 1_500, 4_000, 9_000])
def test_each_frequency_weighs_as_it_does_for_another(hertz: float) -> None:
    tone = 0.1 * sine(hertz, 2, MOUTH_RATE)
    assert loudness(tone, MOUTH_RATE) == pytest.approx(measured(tone, MOUTH_RATE), abs=0.3)


def test_pauses_do_not_make_a_phrase_softer() -> None:
    """EBU Tech 3341, as its third case: what is soft is left out."""
    loud, soft = sine(1_000, 12, MOUTH_RATE), sine(1_000, 2, MOUTH_RATE)
    phrase = np.concatenate([10 ** (-36 / 20) * soft, 10 ** (-23 / 20) * loud, 10 ** (-36 / 20) * soft])
    assert loudness(phrase, MOUTH_RATE) == pytest.approx(-26.01, abs=0.15)  # of its two channels one
    assert loudness(phrase, MOUTH_RATE) == pytest.approx(measured(phrase, MOUTH_RATE), abs=0.1)


@pytest.mark.parametrize("nothing", [np.zeros(0, np.float32), np.zeros(30_000, np.float32)])
def test_silence_has_no_loudness_and_stays_silence(nothing: Samples) -> None:
    assert loudness(nothing, MOUTH_RATE) == -np.inf
    assert not levelled(nothing, CLIP_LOUDNESS, MOUTH_RATE).any()


@pytest.mark.parametrize("code", codes())
def test_clips_as_rendered_are_as_loud_as_each_other(code: str) -> None:
    language = load(code)
    texts = [*map(str, NUMBERS), *(words[0] for words in list(language.commands.values())[:5])]
    with Voicebox() as box:
        voice = choose(box.voices(), language.voice).id
        clips = [clean(box.render(text, voice, SPEED)) for text in texts]
    levels = [measured(clip, MOUTH_RATE) for clip in clips]
    assert max(levels) - min(levels) < 1
    assert np.mean(levels) == pytest.approx(CLIP_LOUDNESS, abs=0.2)
    for clip in clips:
        assert np.abs(resample_poly(clip.astype(np.float64), 4, 1)).max() < 10 ** (-0.9 / 20)  # dBTP
        assert clip[0] == clip[-1] == 0
