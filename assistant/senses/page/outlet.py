"""A page as where what is said sounds: it is sent a little more than it has played. No socket, no thread."""

import time
from collections.abc import Callable, Mapping
from threading import Lock

import numpy as np

from assistant.senses.mouth.player import MOUTH_RATE, SILENCE, Player, Samples
from assistant.senses.sound import sixteen_bits

AHEAD = round(0.3 * MOUTH_RATE)  # samples that a page is given before it has told of them; at most these are missed
LOST_AFTER_S = (
    1.5  # without a word of it; a page plays nothing that comes later than 0.8 s, so that it is silent by then
)
REMEMBERED_S = 12.0  # of what it was sent, for an ear

Sending = Callable[[bytes | Mapping[str, object]], None]


class PageOutlet:
    """Sound for one page, in 16 bits, and what the page tells of it; both counted in samples since it took over.

    What the page is not known to have played stays here: where the page is lost, it is said elsewhere.
    """

    mute = False

    def __init__(self, send: Sending, clock: Callable[[], float] = time.monotonic) -> None:
        """`send` waits for nothing, and brings all in order; it may be called from any thread."""
        self._send, self._clock = send, clock
        self._gain = 1.0
        self._sound = SILENCE  # what is to be played, from self._from on
        self._from = self._sent = self._got = self._played = 0
        self._told_at = self._passed_at = clock()
        self._passing = Player()  # what was sent, as time passes
        self._lock = Lock()

    @property
    def gain(self) -> float:
        """A factor, which the page applies."""
        return self._gain

    @gain.setter
    def gain(self, gain: float) -> None:
        self._gain = self._passing.gain = gain
        self._send({"gain": round(gain, 4)})

    def alive(self) -> bool:
        """Whether the page has told anything lately."""
        return self._clock() - self._told_at < LOST_AFTER_S

    def sounding(self) -> bool:
        """Whether the page has not yet told that it played all."""
        with self._lock:
            return self._from + len(self._sound) > self._played

    def play(self, samples: Samples) -> None:
        """Play this after what is left."""
        with self._lock:
            self._sound = np.concatenate([self._sound, samples])
            self._give()

    def cut(self) -> None:
        """Drop what is left, but for a short fade."""
        self.rest()

    def rest(self) -> Samples:
        """The same, and what of it was not played, as far as is known: one that tells nothing may have gone on."""
        with self._lock:
            since = round((self._clock() - self._told_at) * MOUTH_RATE)
            played = max(self._from, min(self._got, self._played + since))
            rest, self._sound = self._sound[played - self._from :], SILENCE
            self._pass()
            self._passing.cut()
            if self._sent > self._from:
                self._send({"cut": True})
            self._from = self._sent
        return rest

    def gone(self) -> Samples:
        """What was sent, silence included, as time passed."""
        with self._lock:
            self._pass()
            return self._passing.gone()

    def shut(self) -> None:
        """It has nothing to let go of."""

    def told(self, played: int, got: int) -> None:
        """The page has been sent so much, and so much of it was heard."""
        with self._lock:
            self._told_at = self._clock()
            self._got = max(self._got, min(got, self._sent))
            self._played = max(self._played, min(played, self._got))
            known = max(self._from, self._played)
            self._sound, self._from = self._sound[known - self._from :], known
            self._give()

    def _give(self) -> None:
        piece = self._sound[self._sent - self._from : AHEAD]
        if len(piece):
            self._pass()
            self._passing.play(piece)
            self._sent += len(piece)
            self._send(sixteen_bits(piece).tobytes())

    def _pass(self) -> None:
        """Time has passed at the page, too."""
        now = self._clock()
        frames = round(min(now - self._passed_at, REMEMBERED_S) * MOUTH_RATE)
        self._passed_at = now
        self._passing.fill(frames)
