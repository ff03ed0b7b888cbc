"""The signals are told apart by ear: by pitch, contour and rhythm, measured here on the samples."""

import math
from itertools import combinations, pairwise

import numpy as np
import pytest

from assistant.senses.mouth.clips import stand_in, tone
from assistant.senses.mouth.player import MOUTH_RATE, Samples
from assistant.session.events import Tone

ALL = {**{which.value: tone(which) for which in Tone}, "stand-in": stand_in()}
WINDOW = MOUTH_RATE // 50  # 20 ms


def seconds(samples: Samples) -> float:
    return len(samples) / MOUTH_RATE


def loudness(samples: Samples) -> Samples:
    """Root mean square of each 20 ms."""
    whole = samples[: len(samples) // WINDOW * WINDOW].reshape(-1, WINDOW)
    return np.asarray(np.sqrt(np.mean(whole**2, axis=1)))


def notes(samples: Samples) -> int:
    """How many times the sound rises out of quiet."""
    sounding = np.concatenate([[False], loudness(samples) > 0.25 * loudness(samples).max()])
    return int(np.sum(sounding[1:] & ~sounding[:-1]))


def pitch(samples: Samples) -> float:
    """The strongest frequency, in Hz."""
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), 8 * MOUTH_RATE))
    return float(np.argmax(spectrum)) / 8


def semitones(lower: float, higher: float) -> float:
    return 12 * math.log2(higher / lower)


def contour(samples: Samples) -> float:
    """How far the pitch moves from the first to the last third, in semitones."""
    third = len(samples) // 3
    return semitones(pitch(samples[:third]), pitch(samples[-third:]))


def test_heard_is_over_before_it_disturbs() -> None:
    assert seconds(tone(Tone.HEARD)) < 0.09


def test_no_two_have_the_same_rhythm() -> None:
    rhythms = {name: (notes(samples), seconds(samples)) for name, samples in ALL.items()}
    assert {name: count for name, (count, _) in rhythms.items()} == {
        "heard": 1,
        "even": 2,
        "off": 4,
        "unclear": 1,
        "stand-in": 2,
    }
    for (_, first), (_, second) in combinations(rhythms.values(), 2):
        assert max(first, second) / min(first, second) > 1.25


def test_no_two_move_alike() -> None:
    assert abs(contour(tone(Tone.HEARD))) < 0.5
    assert contour(tone(Tone.EVEN)) == pytest.approx(7, abs=0.5)  # a fifth up, in two steps
    assert contour(tone(Tone.OFF)) < -2  # down
    unclear = contour(tone(Tone.UNCLEAR))
    assert 3 < unclear < 6.5  # up, gliding
    assert abs(contour(stand_in())) < 0.5


def test_no_two_are_strongest_at_the_same_pitch() -> None:
    pitches = sorted(map(pitch, ALL.values()))
    for lower, higher in pairwise(pitches):
        assert semitones(lower, higher) > 1


def test_off_is_the_most_striking_but_not_louder() -> None:
    lengths = {which: seconds(tone(which)) for which in Tone}
    assert max(lengths, key=lambda which: lengths[which]) == Tone.OFF
    loudest = {which: loudness(tone(which)).max() for which in Tone}
    assert loudest[Tone.OFF] <= 1.6 * min(loudest.values())


@pytest.mark.parametrize("samples", ALL.values(), ids=ALL)
def test_it_begins_and_ends_softly_and_never_distorts(samples: Samples) -> None:
    assert np.abs(samples).max() < 0.5
    assert np.abs(samples[:22]).max() < 0.1 * np.abs(samples).max()  # the first millisecond
    assert np.abs(samples[-22:]).max() < 0.1 * np.abs(samples).max()
