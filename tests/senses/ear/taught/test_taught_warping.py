"""The warping distance against dtw-python (Giorgino 2009), and what a distance has to be."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from assistant.senses.ear.taught.warping import distances

Sound = NDArray[np.float32]


def wander(seed: int, frames: int) -> Sound:
    return np.random.default_rng(seed).normal(size=(frames, 5)).cumsum(axis=0).astype(np.float32)


def stacked(sounds: list[Sound]) -> tuple[Sound, NDArray[np.intp]]:
    lengths = np.array([len(sound) for sound in sounds])
    return np.stack([np.pad(sound, ((0, lengths.max() - len(sound)), (0, 0))) for sound in sounds]), lengths


@settings(max_examples=25)
@given(st.integers(1, 60), st.lists(st.integers(1, 60), min_size=1, max_size=4), st.integers(0, 1000))
def test_as_dtw_python_has_it(said: int, lengths: list[int], seed: int) -> None:
    """It counts the first frame once where Sakoe & Chiba count it twice: that is allowed for."""
    from dtw import dtw, symmetricP1

    sound, known = wander(seed, said), [wander(seed + n + 1, length) for n, length in enumerate(lengths)]
    for found, one in zip(distances(sound, *stacked(known)), known, strict=True):
        try:
            total = dtw(sound.astype(float), one.astype(float), step_pattern=symmetricP1).distance
        except ValueError:  # no path between the ends
            assert np.isinf(found)
        else:
            first = np.linalg.norm(sound[0] - one[0])
            assert found * (said + len(one)) == pytest.approx(total + first, rel=1e-4, abs=1e-3)


def test_the_same_is_at_no_distance_whatever_its_pace() -> None:
    """Every second frame twice: half as fast again."""
    sound = wander(1, 40)
    slower = np.repeat(sound, np.where(np.arange(40) % 2, 2, 1), axis=0)
    same, slow = distances(sound, *stacked([sound, slower]))
    assert same == pytest.approx(0, abs=0.01)
    assert slow == pytest.approx(0, abs=0.01)


def test_what_is_more_than_twice_as_long_is_out_of_reach() -> None:
    sound = wander(1, 30)
    assert np.isinf(distances(sound, *stacked([np.repeat(sound, 3, axis=0)])))[0]
    assert np.isinf(distances(np.repeat(sound, 3, axis=0), *stacked([sound])))[0]
