"""Finds words said on their own in a noisy room, by how far the mel bands stand out of the noise in each of them."""

from collections import deque

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.segmenter import BELOW_PEAK, FRAME, Segmenter, frames
from assistant.senses.ear.taught.features import BANDS, WINDOW, mel_energies

SMOOTHED_OVER = 7  # frames
ROOM_OVER = frames(4)  # the room's noise is judged over this long
TALK_OVER = frames(6)  # and what goes on in it over this long
JUDGED_EVERY = frames(0.1)
NOISE_SHARE = 25  # percentile of a band's levels that is taken for its noise
NOISE_AT_LEAST = -68.0  # dB of a band, with full scale at 1
BUSY_SHARE, CALM_SHARE = 70, 30  # percentiles of what stands out: in a steady noise they lie close together
ABOVE_NOISE = 2.0  # dB over the noise share that counts as noise still
HIGHEST = 20.0  # dB to which each band counts
LEAST = 3.0  # dB by which a word stands out, on average over the bands
ABOVE_BUSY, SPREADS = 1.0, 0.5  # and over what else goes on: dB, and parts of how much it changes


class Finder(Segmenter):
    """A segmenter that hears a word at the level of the noise; for engines that can reject what is none."""

    def __init__(self) -> None:
        super().__init__()
        self._window = np.zeros(WINDOW, np.int16)
        self._bands: deque[NDArray[np.float32]] = deque(maxlen=ROOM_OVER)
        self._above: deque[float] = deque([0.0] * frames(0.15), maxlen=TALK_OVER)
        self._noise = np.full(BANDS, NOISE_AT_LEAST)
        self._needed = LEAST

    def _loud(self, frame: NDArray[np.int16], level: float) -> bool:
        self._window = np.concatenate([self._window[FRAME:], frame])
        self._bands.append(mel_energies(self._window)[0])
        if self._frames % JUDGED_EVERY == 1:
            self._judge_room()
        recent = [self._bands[-n] for n in range(1, min(SMOOTHED_OVER, len(self._bands)) + 1)]
        above = float(np.clip(10 * np.log10(np.mean(recent, axis=0)) - self._noise, 0, HIGHEST).mean())
        self._above.append(above)
        return above > self._needed and level > max(self._peak - BELOW_PEAK, self.least)

    def _judge_room(self) -> None:
        """From what was to be heard up to now, but for the word or row that may be being said."""
        said = self._length + self._quiet if 0 < self._length <= self.span.longest else 0
        before = max(JUDGED_EVERY, len(self._bands) - said)
        noise = 10 * np.log10(np.percentile(np.array(self._bands)[:before], NOISE_SHARE, axis=0)) + ABOVE_NOISE
        self._noise = np.maximum(noise, NOISE_AT_LEAST)
        before = max(JUDGED_EVERY, len(self._above) - said)
        busy, calm = np.percentile(np.array(self._above)[:before], [BUSY_SHARE, CALM_SHARE])
        self._needed = max(LEAST, busy + ABOVE_BUSY + SPREADS * (busy - calm))
