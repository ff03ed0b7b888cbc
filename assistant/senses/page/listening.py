"""Whose microphone is listened to: the computer's, or that of one of the pages. In the thread of the server alone."""

import time
from collections.abc import Callable
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from assistant.senses.page.client import Client
from assistant.senses.page.standing_in import Became, StandIn

LOST_AFTER_S = 1.5  # without a block of sound; one comes every 30 ms
TURN = "listening"


class EarElsewhere(Protocol):
    """The ear, as a page knows it."""

    by_page: bool  # so that the computer's own microphone is not listened to

    def bring(self, block: NDArray[np.int16]) -> None:
        """A block of sound has come, mono at 16 kHz; waits for nothing."""


class EarByPage(StandIn):
    """One ear, and the pages through which it may listen."""

    def __init__(self, ear: EarElsewhere, became: Callable[[Became], None]) -> None:
        super().__init__(became)
        self._ear = ear
        self._came = 0.0  # when a block came last

    def hear(self, client: Client, block: bytes) -> None:
        """A page has sent sound; one that is listened to no longer may not know it yet."""
        if self._client is client:
            self._came = time.monotonic()
            self._ear.bring(np.frombuffer(block, "<i2").astype(np.int16))

    def _begin(self, client: Client) -> None:
        self._came = time.monotonic()
        self._ear.by_page = True
        client.let_hear()
        client.give({TURN: self._turn})

    def _end(self, client: Client) -> None:
        client.give({TURN: 0})

    def _come_home(self) -> None:
        self._ear.by_page = False

    def _alive(self) -> bool:
        return time.monotonic() - self._came < LOST_AFTER_S
