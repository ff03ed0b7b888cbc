"""How unlike_glimpsed a word is where it stands out of the noise, and how much of it does: worked by hand."""

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.senses.ear.comparing import ABOVE_NOISE, DEEPEST, FARTHEST, Comparison, share_glimpsed, unlike_glimpsed
from assistant.senses.ear.features import BANDS, Example, Templates
from assistant.senses.ear.utterance import MARGIN

NOISE = np.full(4, 1e-4, np.float32)
BESIDE = np.arange(5)
FULL = 1.0


def word(*bands: float) -> NDArray[np.float32]:
    return np.tile(np.asarray(bands, np.float32), (5, 1))


def test_the_word_itself_in_that_noise_is_not_unlike() -> None:
    known = word(FULL, 0.1, 1e-5, 0)
    assert unlike_glimpsed(known + NOISE, NOISE, known, (BESIDE, BESIDE)) == pytest.approx(0, abs=1e-4)


def test_twice_the_energy_in_half_of_what_is_glimpsed_is_a_decibel_and_a_half() -> None:
    known = word(FULL, 0.1, 0, 0)
    said = (known + NOISE) * np.array([2, 1, 1, 1], np.float32)
    assert unlike_glimpsed(said, NOISE, known, (BESIDE, BESIDE)) == pytest.approx(10 * np.log10(2) / 2, rel=1e-4)


@pytest.mark.parametrize("hidden", [1e-4, 1e-4 * 10 ** (ABOVE_NOISE / 10) * 0.99])
def test_another_sound_where_the_word_is_fainter_than_the_noise_makes_no_difference(hidden: float) -> None:
    known = word(FULL, hidden, 0, 0)
    said = known + NOISE
    said[:, 1] = 10
    assert unlike_glimpsed(said, NOISE, known, (BESIDE, BESIDE)) == pytest.approx(0, abs=1e-4)


def test_what_is_far_below_the_loudest_is_not_glimpsed_in_a_still_room() -> None:
    known = word(FULL, FULL * 10 ** (-DEEPEST / 10) / 2, 0, 0)
    said = known.copy()
    said[:, 1] *= 100
    assert unlike_glimpsed(said, NOISE * 1e-6, known, (BESIDE, BESIDE)) == pytest.approx(0, abs=1e-3)


def test_where_nothing_is_glimpsed_a_word_is_as_far_as_can_be() -> None:
    assert unlike_glimpsed(word(0, 0, 0, 0) + NOISE, NOISE, word(0, 0, 0, 0), (BESIDE, BESIDE)) == FARTHEST
    assert unlike_glimpsed(word(1e-9, 0, 0, 0) + NOISE, NOISE, word(FULL, 0, 0, 0), (BESIDE, BESIDE)) == FARTHEST


@pytest.mark.parametrize(
    ("bands", "glimpsed"), [((1, 1, 1, 1), 1), ((0.01, 0.01, 1e-4, 1e-4), 0.5), ((1, 1e-5, 0, 0), 1)]
)
def test_of_the_bands_that_are_not_faint_those_above_the_noise_are_glimpsed(
    bands: tuple[float, ...], glimpsed: float
) -> None:
    assert share_glimpsed(NOISE, word(*bands)) == glimpsed


def test_of_half_a_word_half_was_to_be_heard() -> None:
    noise = np.full(BANDS, 1e-4, np.float32)
    margin, said = np.full((MARGIN, BANDS), 1e-6, np.float32), np.full((20, BANDS), FULL, np.float32)
    templates = Templates([Example("next", np.concatenate([margin, said, margin]))])
    for part in (20, 10):
        heard = np.concatenate([margin, said[:part], margin]) + noise
        assert Comparison(templates, heard, noise, MARGIN).glimpsed(0) == pytest.approx(part / 20)
