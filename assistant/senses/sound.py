"""Sound as the ear takes it: samples of 16 bits, one channel, 16,000 a second."""

import numpy as np
from numpy.typing import NDArray

from assistant.meaning import Tell
from assistant.outfile import FileKind

WAV = FileKind(Tell("a WAV file"), lambda data: data[:4] == b"RIFF" and data[8:12] == b"WAVE")

EAR_RATE = 16_000  # samples a second, wherever words are listened for
NOTHING = np.zeros(0, np.int16)
FULL_SCALE = 32_767  # the highest sample


def sixteen_bits(sound: NDArray[np.floating], full_scale: float = 1.0) -> NDArray[np.int16]:
    """Sound of any shape as samples of 16 bits, those at `full_scale` as FULL_SCALE.

    What is beyond it, or below its negative, is cut off there; fractions are dropped. There must be no NaN in it.
    """
    return np.asarray(np.clip(sound, -full_scale, full_scale) * (FULL_SCALE / full_scale), np.int16)
