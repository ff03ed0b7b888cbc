"""Where a word ends, told by how far it stands out."""

import numpy as np
import pytest

from assistant.senses.ear.features import BANDS
from assistant.senses.ear.segmenter import FRAME, QUIET_BEFORE, ROW, Span
from assistant.senses.ear.spotter import BEFORE, SURE, Spotter, ended, standing_out
from assistant.senses.sound import EAR_RATE

SPAN = Span(120, 20)
SOUNDS = ((100, 8), (4000, 0.5), (300, 0.3))  # loudness and seconds of a hiss, of a word in it and of what is before


def above(*parts: tuple[float, int]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.concatenate([np.full(length, level) for level, length in parts])


@pytest.mark.parametrize("radio", [0, 3.5, 6])
def test_a_word_has_ended_when_what_goes_on_is_far_below_its_peak(radio: float) -> None:
    assert ended(above((radio, QUIET_BEFORE), (15, 40), (radio, SPAN.quiet_after)), 3, SURE, SPAN) == 40
    assert ended(above((radio, QUIET_BEFORE), (15, 40), (radio, SPAN.quiet_after + 1)), 3, SURE, SPAN) == 0
    assert ended(above((radio, QUIET_BEFORE), (15, 40), (radio, SPAN.quiet_after - 1)), 3, SURE, SPAN) == 0


def test_a_softer_word_after_a_louder_one_is_found() -> None:
    assert (
        ended(above((0, QUIET_BEFORE), (20, 30), (0, QUIET_BEFORE), (5, 25), (0, SPAN.quiet_after)), 3, SURE, SPAN)
        == 25
    )


@pytest.mark.parametrize(
    "parts",
    [
        [(15.0, 40)],  # began before all that is known
        [(15.0, 20), (0, QUIET_BEFORE - 1), (15, 40)],  # right after another
        [(0.0, QUIET_BEFORE), (15, SPAN.longest + 1)],  # too long
        [(0.0, QUIET_BEFORE), (15, 5)],  # a click
        [(0.0, QUIET_BEFORE), (3.5, 40)],  # too faint
        [(0.0, QUIET_BEFORE)],
    ],
)
def test_what_is_no_word_on_its_own(parts: list[tuple[float, int]]) -> None:
    assert ended(above(*parts, (0, SPAN.quiet_after)), 3, SURE, SPAN) == 0


def test_a_word_in_few_bands_stands_out_more_than_a_stir_in_all() -> None:
    busy = np.full(BANDS, -60.0, np.float32)
    few = np.where(np.arange(BANDS) < 6, 1e-5, 1e-6).astype(np.float32)
    assert standing_out(few, busy) == pytest.approx(np.sqrt(6 * 10**2 / BANDS), abs=0.01)
    assert standing_out(np.full(BANDS, 1e-6, np.float32), busy) == pytest.approx(0, abs=0.01)


def test_a_word_right_after_a_softer_sound_is_found_alone_only_as_a_guess() -> None:
    chance = np.random.default_rng(3)
    hiss, word, before = (chance.normal(0, level, round(seconds * EAR_RATE)) for level, seconds in SOUNDS)
    for starts, sound in ((6.0, word), (5.5, before)):
        hiss[round(starts * EAR_RATE) :][: len(sound)] += sound
    samples = hiss.astype(np.int16)
    (both,) = Spotter().feed(samples)
    of_rows = Spotter(guessing=True)
    of_rows.span = ROW
    assert [each.guess for each in of_rows.feed(samples)] == [False]
    guesses = [each for each in Spotter(guessing=True).feed(samples) if each.guess]
    assert both.start_s == pytest.approx(5.5, abs=0.1)
    assert min(abs(each.start_s - 6) + abs(each.end_s - 6.5) for each in guesses) < 0.15
    for each in guesses:
        first, last = (
            round(each.start_s * EAR_RATE) - each.margin * FRAME,
            round(each.end_s * EAR_RATE) + each.margin * FRAME,
        )
        assert each.samples == pytest.approx(samples[first:last])
        assert each.before == pytest.approx(samples[first - BEFORE * FRAME : first])
