"""What is still to be played, handed out block by block. No clock, no thread, no device."""

import threading
from collections import deque

import numpy as np
from numpy.typing import NDArray

MOUTH_RATE = 22_050  # samples a second, everywhere in the mouth
BLOCK = 512  # samples handed out at once, 23 ms
FADE_S = 0.003
REMEMBERED = 600  # blocks that have left, at most: some 12 s

Samples = NDArray[np.float32]  # one channel, -1 to 1, at MOUTH_RATE

SILENCE: Samples = np.zeros(0, dtype=np.float32)
_FADE: Samples = (0.5 + 0.5 * np.cos(np.linspace(0, np.pi, round(FADE_S * MOUTH_RATE)))).astype(np.float32)


class Player:
    """A queue of samples with a gain; may be filled by one thread and emptied by another."""

    def __init__(self, gain: float = 1.0):
        self.gain = gain
        self._gain_before = gain
        self._samples = SILENCE
        self._gone: deque[Samples] = deque(maxlen=REMEMBERED)
        self._lock = threading.Lock()

    def left(self) -> int:
        """How many samples are still to be played."""
        return len(self._samples)

    def cut(self) -> None:
        """Drop what is left, but for a short fade."""
        with self._lock:
            rest = self._samples[: len(_FADE)]
            self._samples = rest * _FADE[: len(rest)]

    def play(self, samples: Samples) -> None:
        """Play this after what is left."""
        with self._lock:
            self._samples = np.concatenate([self._samples, samples])

    def fill(self, frames: int) -> Samples:
        """The next block, silence where nothing is left; a new gain is reached at its end."""
        with self._lock:
            samples, self._samples = self._samples[:frames], self._samples[frames:]
        gains = np.linspace(self._gain_before, self.gain, frames, dtype=np.float32)
        self._gain_before = self.gain
        block = gains * np.pad(samples, (0, frames - len(samples)))
        self._gone.append(block)
        return block

    def gone(self) -> Samples:
        """What has left, silence included, since this was last asked; for one caller only."""
        return np.concatenate([SILENCE, *(self._gone.popleft() for _ in range(len(self._gone)))])
