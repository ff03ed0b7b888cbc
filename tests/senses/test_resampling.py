"""Another rate without soxr, beside soxr (a reference library, PyPI)."""

import numpy as np
import pytest
import soxr
from numpy.typing import NDArray

from assistant.senses.resampling import Polyphase, resampled, resampler

RATES = [(48_000, 16_000), (44_100, 16_000), (22_050, 16_000), (16_000, 22_050), (8_000, 16_000), (24_000, 16_000)]


def some_sound(rate: int, lowest_rate: int) -> NDArray[np.float32]:
    """A second of noise up to three quarters of what the lower rate can hold."""
    spectrum = np.fft.rfft(np.random.default_rng(1).standard_normal(rate))
    spectrum[round(0.75 * lowest_rate / 2) :] = 0
    return np.fft.irfft(spectrum, rate).astype(np.float32)


@pytest.mark.parametrize(("rate", "wanted"), RATES)
def test_the_same_sound_as_soxr_makes(rate: int, wanted: int) -> None:
    sound = some_sound(rate, min(rate, wanted))
    ours, theirs = Polyphase(rate, wanted).resample_chunk(sound, last=True), soxr.resample(sound, rate, wanted)
    assert len(ours) == len(theirs)
    inner = slice(wanted // 20, -wanted // 20)
    difference = float(np.std(ours[inner] - theirs[inner]) / np.std(theirs[inner]))
    assert 20 * np.log10(difference) < -60


@pytest.mark.parametrize(("rate", "wanted"), RATES)
@pytest.mark.parametrize("block", [1, 480, 441, 7000])
def test_block_by_block_as_in_one(rate: int, wanted: int, block: int) -> None:
    sound = some_sound(rate, min(rate, wanted))[: 2_000 if block == 1 else None]
    stream = Polyphase(rate, wanted)
    parts = [stream.resample_chunk(sound[at : at + block]) for at in range(0, len(sound), block)]
    parts.append(stream.resample_chunk(np.zeros(0, np.float32), last=True))
    np.testing.assert_allclose(
        np.concatenate(parts), Polyphase(rate, wanted).resample_chunk(sound, last=True), atol=1e-5
    )


def test_what_the_lower_rate_cannot_hold_is_left_out() -> None:
    high = np.sin(2 * np.pi * 9_000 * np.arange(48_000) / 48_000).astype(np.float32)
    assert np.abs(Polyphase(48_000, 16_000).resample_chunk(high, last=True)[800:-800]).max() < 1e-3


def test_without_soxr_it_is_used(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("assistant.senses.resampling.soxr", None)
    assert isinstance(resampler(48_000, 16_000), Polyphase)
    assert len(resampled(np.zeros(4_800, np.float32), 48_000, 16_000)) == 1_600
