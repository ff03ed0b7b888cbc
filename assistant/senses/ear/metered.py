"""Measures the room while a listener listens."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.engine import RATE
from assistant.senses.ear.faults import GRAVE, SOUNDLESS, WELL, Fault, faults
from assistant.senses.ear.listener import Heard, Listener
from assistant.senses.ear.room import Measures, Room

JUDGED_EVERY_S = 1.0


OnFault = Callable[[Fault | None, str], None]


class Metered:
    """A listener and the room it listens in.

    Whenever the gravest fault changes it is told, None where there is none any more, with the phrase to say about it:
    each fault is spoken of once, but for a microphone that went dead again.
    """

    def __init__(
        self, listener: Listener, on_fault: OnFault = lambda fault, phrase: None, every_s: float = JUDGED_EVERY_S
    ):
        self.measures = Measures()  # brought up to date every so many seconds; may be read from any thread
        self._room = Room()
        self._every = round(every_s * RATE)
        self._listener, self._on_fault = listener, on_fault
        self._fault: Fault | None = None
        self._spoken_of: set[Fault] = set()
        self._unjudged = 0  # samples

    def listen(self, block: NDArray[np.int16], closed: bool) -> list[Heard]:
        """What was decided in this block, mono at 16 kHz; `closed`: the mouth is speaking, so do not listen."""
        self._room.take(block, closed)
        self._unjudged += len(block)
        if self._unjudged >= self._every:
            self._unjudged = 0
            self._judge()
        heard = self._listener.listen(block, closed)
        for each in heard:
            self._room.count(each.kind is not None)
        return heard

    def _judge(self) -> None:
        self.measures = self._room.measures()
        before, self._fault = self._fault, next((f for f in faults(self.measures) if f in GRAVE), None)
        if self._fault is not before:
            self._on_fault(self._fault, self._phrase(before))

    def _phrase(self, before: Fault | None) -> str:
        """What is to be said now, "" where it was said already."""
        if self._fault and self._fault not in self._spoken_of:
            self._spoken_of.add(self._fault)
            return GRAVE[self._fault]
        if not self._fault and before in SOUNDLESS:
            self._spoken_of.remove(before)
            return WELL
        return ""
