"""What is still to be played, handed out block by block. No clock, no thread, no device."""

import threading
from collections import deque
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

MOUTH_RATE = 22_050  # samples a second, everywhere in the mouth
BLOCK = 512  # samples handed out at once, 23 ms
FADE_S = 0.003
REMEMBERED = 600  # blocks that have left, at most: some 12 s

Samples = NDArray[np.float32]  # one channel, -1 to 1, at MOUTH_RATE

SILENCE: Samples = np.zeros(0, dtype=np.float32)
_FADE: Samples = (0.5 + 0.5 * np.cos(np.linspace(0, np.pi, round(FADE_S * MOUTH_RATE)))).astype(np.float32)


class Outlet(Protocol):
    """Where what is said sounds. No call waits."""

    gain: float

    @property
    def mute(self) -> bool:
        """Whether there is no way that anybody hears it, so that nothing need be rendered."""

    def alive(self) -> bool:
        """Whether it takes what is played; what is left in one that does not is still to be said."""

    def sounding(self) -> bool:
        """Whether anything is still to be heard."""

    def play(self, samples: Samples) -> None:
        """Play this after what is left."""

    def cut(self) -> None:
        """Drop what is left, but for a short fade."""

    def rest(self) -> Samples:
        """The same, and what was dropped: so that it may sound elsewhere."""

    def gone(self) -> Samples:
        """What has left, silence included, since this was last asked; for one caller only."""

    def shut(self) -> None:
        """Let go of what it sounds through."""


class Player:
    """A queue of samples with a gain; may be filled by one thread and emptied by another."""

    mute = False

    def __init__(self, gain: float = 1.0):
        self.gain = gain
        self._gain_before: float | None = None  # until something was played
        self._samples = SILENCE
        self._gone: deque[Samples] = deque(maxlen=REMEMBERED)
        self._lock = threading.Lock()

    def alive(self) -> bool:
        """Always."""
        return True

    def sounding(self) -> bool:
        """Whether anything is left."""
        return self.left() > 0

    def left(self) -> int:
        """How many samples are still to be played."""
        return len(self._samples)

    def cut(self) -> None:
        """Drop what is left, but for a short fade."""
        self.rest()

    def rest(self) -> Samples:
        """What was left, which is dropped here but for a short fade, and is what comes after that."""
        with self._lock:
            rest, self._samples = self._samples, self._samples[: len(_FADE)]
            self._samples = self._samples * _FADE[: len(self._samples)]
        return rest[len(_FADE) :]

    def play(self, samples: Samples) -> None:
        """Play this after what is left."""
        with self._lock:
            self._samples = np.concatenate([self._samples, samples])

    def fill(self, frames: int) -> Samples:
        """The next block, silence where nothing is left; a new gain is reached at its end."""
        with self._lock:
            samples, self._samples = self._samples[:frames], self._samples[frames:]
        before = self.gain if self._gain_before is None else self._gain_before
        gains = np.linspace(before, self.gain, frames, dtype=np.float32)
        self._gain_before = self.gain
        block = gains * np.pad(samples, (0, frames - len(samples)))
        self._gone.append(block)
        return block

    def gone(self) -> Samples:
        """What has left, silence included, since this was last asked; for one caller only."""
        return np.concatenate([SILENCE, *(self._gone.popleft() for _ in range(len(self._gone)))])

    def shut(self) -> None:
        """It has nothing to let go of."""


class Nowhere(Player):
    """Where there is no loudspeaker, or none is to sound."""

    mute = True

    def alive(self) -> bool:
        """Never."""
        return False

    def play(self, samples: Samples) -> None:
        """Drop it."""
