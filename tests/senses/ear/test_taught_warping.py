"""The warping distance against dtw-python (Giorgino 2009), and what a distance has to be."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from assistant.senses.ear.comparing import reachable, warp

Sound = NDArray[np.float32]


def wander(seed: int, frames: int) -> Sound:
    return np.random.default_rng(seed).normal(size=(frames, 5)).cumsum(axis=0).astype(np.float32)


def stacked(sounds: list[Sound]) -> tuple[Sound, NDArray[np.intp]]:
    lengths = np.array([len(sound) for sound in sounds])
    filled = [np.pad(sound, ((0, lengths.max() - len(sound)), (0, 0))) for sound in sounds]
    return np.stack(filled, axis=1), lengths


def reference(known: Sound, sound: Sound) -> tuple[float, list[int], list[int]] | None:
    """What dtw-python finds: the sum of distances, and the frames side by side; None where there is no path."""
    from dtw import asymmetricP1, dtw

    try:
        found = dtw(known.astype(float), sound.astype(float), step_pattern=asymmetricP1)
    except ValueError:
        return None
    return found.distance, list(found.index1), list(found.index2)


@settings(max_examples=25)
@given(st.integers(1, 60), st.lists(st.integers(1, 60), min_size=1, max_size=4), st.integers(0, 1000))
def test_as_dtw_python_has_it(said: int, lengths: list[int], seed: int) -> None:
    sound, known = wander(seed, said), [wander(seed + n + 1, length) for n, length in enumerate(lengths)]
    warped = warp(sound, *stacked(known))
    for place, one in enumerate(known):
        found, theirs = warped.distances[place], reference(one, sound)
        if theirs:
            along = warped.path(place)
            assert found * len(one) == pytest.approx(theirs[0], rel=1e-4, abs=1e-3)
            assert (list(along[1]), list(along[0])) == theirs[1:]
        else:
            assert np.isinf(found)


@settings(max_examples=15)
@given(st.integers(1, 12), st.integers(1, 12), st.integers(0, 6), st.integers(0, 1000))
def test_with_free_ends_as_dtw_python_has_the_best_of_all_cuts(said: int, length: int, free: int, seed: int) -> None:
    sound, known = wander(seed, said), wander(seed + 1, length)
    cuts = [sound[at:end] for at in range(free + 1) for end in range(max(at + 1, said - free), said + 1)]
    theirs = min((found[0] for cut in cuts if len(cut) and (found := reference(known, cut))), default=np.inf)
    assert warp(sound, *stacked([known]), free, free).distances[0] * length == pytest.approx(theirs, rel=1e-4, abs=1e-3)
    assert reachable(said, np.array([length]), free, free)[0] or np.isinf(theirs)


def test_what_is_twice_as_long_is_within_reach_and_more_is_not() -> None:
    assert [*reachable(10, np.array([4, 5, 20, 21]))] == [False, True, True, False]
    assert [*reachable(10, np.array([2, 3]), before=3, after=2)] == [False, True]


@settings(max_examples=15)
@given(st.integers(1, 12), st.integers(1, 12), st.integers(0, 6), st.integers(0, 11), st.integers(0, 1000))
def test_what_is_reached_is_as_dtw_python_has_the_best_of_all_beginnings(
    said: int, length: int, free: int, least: int, seed: int
) -> None:
    sound, known = wander(seed, said), wander(seed + 1, length)
    least = min(least, length - 1)
    theirs = min(
        (
            found[0] / reached
            for at in range(min(free, said - 1) + 1)
            for reached in range(least + 1, length + 1)
            if (found := reference(known[:reached], sound[at:]))
        ),
        default=np.inf,
    )
    ours = warp(sound, *stacked([known]), before=free).reached(least)
    assert ours[0] == pytest.approx(theirs, rel=1e-4, abs=1e-3)


def test_what_is_said_before_and_after_may_be_left_out() -> None:
    sound = wander(1, 40)
    around = np.concatenate([wander(2, 7), sound, wander(3, 5)])
    warped = warp(around, *stacked([sound]), 7, 5)
    assert warped.distances == pytest.approx(0, abs=0.01)
    assert warp(around, *stacked([sound]), 6, 5).distances > 0.1
    assert warp(around, *stacked([sound]), 7, 4).distances > 0.1
    assert list(warped.path(0)[0]) == list(range(7, 47))


def test_the_same_is_at_no_distance_whatever_its_pace() -> None:
    """Every second frame twice: half as fast again."""
    sound = wander(1, 40)
    slower = np.repeat(sound, np.where(np.arange(40) % 2, 2, 1), axis=0)
    same, slow = warp(sound, *stacked([sound, slower])).distances
    assert same == pytest.approx(0, abs=0.01)
    assert slow == pytest.approx(0, abs=0.01)


def test_what_is_more_than_twice_as_long_is_out_of_reach() -> None:
    sound = wander(1, 30)
    assert np.isinf(warp(sound, *stacked([np.repeat(sound, 3, axis=0)])).distances[0])
    assert np.isinf(warp(np.repeat(sound, 3, axis=0), *stacked([sound])).distances[0])
