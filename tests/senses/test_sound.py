"""Sound as samples of 16 bits."""

import numpy as np
import pytest

from assistant.senses.sound import FULL_SCALE, sixteen_bits


def test_what_is_beyond_full_scale_is_cut_off_and_fractions_are_dropped() -> None:
    sound = np.array([-np.inf, -1.5, -1, -0.5, 0, 0.99999, 1, 3e38], np.float32)
    samples = sixteen_bits(sound)
    assert samples.dtype == np.int16
    assert samples.tolist() == [-32767, -32767, -32767, -16383, 0, 32766, 32767, 32767]


@pytest.mark.parametrize("full_scale", [1.0, 32_767, 3.0])
def test_full_scale_may_be_any(full_scale: float) -> None:
    assert sixteen_bits(np.array([-2, -1, 0, 1, 2]) * full_scale, full_scale).tolist() == [
        -FULL_SCALE,
        -FULL_SCALE,
        0,
        FULL_SCALE,
        FULL_SCALE,
    ]
