"""Half duplex: the ear is closed while the mouth speaks, and for a moment after."""

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.engine import RATE

# Samples not listened to after the mouth has spoken. An echo that still sounds when the ear opens is no word, for that
# begins after 50 ms of quiet; this is only for devices that are later than they say (see tests/bench/own_voice.py).
CLOSED_AFTER = round(0.1 * RATE)


class Gate:
    """Lets through what is to be listened to."""

    def __init__(self) -> None:
        self._closed = 0  # samples still not to be listened to

    def open_part(self, block: NDArray[np.int16], closed: bool) -> NDArray[np.int16]:
        """The end of a block, all of it or nothing; `closed`: the mouth was speaking meanwhile."""
        self._closed = len(block) + CLOSED_AFTER if closed else self._closed
        dropped = min(self._closed, len(block))
        self._closed -= dropped
        return block[dropped:]
