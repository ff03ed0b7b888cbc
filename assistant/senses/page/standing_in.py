"""Pages that stand in for a sense of the computer's, one at a time. Used in the thread of the server alone."""

import asyncio
from abc import ABC, abstractmethod
from collections.abc import Callable
from enum import StrEnum

from assistant.senses.page.client import Client, Wish

LOOKED_AFTER_S = 0.25  # the page that stands in


class Became(StrEnum):
    """What became of the page that stood in last."""

    HERE = "here"  # it does
    HOME = "home"  # the weaver had the computer do it again
    LOST = "lost"


class Whereabouts(StrEnum):
    """Who does it, as a page is told."""

    HERE = "here"
    OTHER = "other"
    COMPUTER = "computer"


class StandIn(ABC):
    """One sense, and the page that stands in for it.

    Each page that takes over has a turn of its own. One that was lost may have its own turn back, where nobody took
    over since and the weaver did not send it home.
    """

    def __init__(self, became: Callable[[Became], None]) -> None:
        """`became` waits for nothing."""
        self._became = became
        self._client: Client | None = None
        self._turn = 0
        self._due: asyncio.TimerHandle | None = None

    def place(self, client: Client) -> Whereabouts:
        """Who does it, for a page."""
        if self._client is None:
            return Whereabouts.COMPUTER
        return Whereabouts.HERE if self._client is client else Whereabouts.OTHER

    def wish(self, client: Client, wish: Wish) -> None:
        """A page would like to stand in, or not to."""
        if not wish.on:
            self._go_home(client, Became.HOME)
        elif not wish.turn or wish.turn == self._turn:
            self._turn += 1
            before, self._client = self._client, client
            self._begin(client)
            if before and before is not client:
                self._end(before)
            self._became(Became.HERE)
            self._look_after()

    def leave(self, client: Client) -> None:
        """A page is gone."""
        self._go_home(client, Became.LOST)

    def _go_home(self, client: Client, why: Became) -> None:
        if self._client is client:
            self._client = None
            self._turn += why is Became.HOME
            self._come_home()
            self._end(client)
            self._became(why)

    def _look_after(self) -> None:
        if self._due:
            self._due.cancel()
        if self._client and not self._alive():
            self.leave(self._client)
        if self._client:
            self._due = asyncio.get_running_loop().call_later(LOOKED_AFTER_S, self._look_after)

    @abstractmethod
    def _begin(self, client: Client) -> None:
        """It does, from now on, in this turn."""

    @abstractmethod
    def _end(self, client: Client) -> None:
        """It does no longer; it may be gone."""

    @abstractmethod
    def _come_home(self) -> None:
        """The computer does."""

    @abstractmethod
    def _alive(self) -> bool:
        """Whether the page told anything lately."""
