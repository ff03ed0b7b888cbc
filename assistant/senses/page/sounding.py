"""Where the mouth sounds: at the computer, or on one of the pages. Used in the thread of the server alone."""

from collections.abc import Callable

from assistant.senses.mouth.clips import tone
from assistant.senses.mouth.speaker import Speaker
from assistant.senses.page.client import Client, Played
from assistant.senses.page.outlet import PageOutlet
from assistant.senses.page.standing_in import Became, StandIn
from assistant.session.events import Tone


class Sounding(StandIn):
    """One mouth, and the pages at which it may sound."""

    def __init__(
        self, mouth: Speaker, soon: Callable[[Callable[[], None]], None], became: Callable[[Became], None]
    ) -> None:
        """`soon` does something in the thread of the server, in the order it is called."""
        super().__init__(became)
        self._mouth, self._soon = mouth, soon
        self._outlet: PageOutlet | None = None

    def played(self, client: Client, played: Played) -> None:
        """A page tells how far it is."""
        if self._client is client and self._outlet and played.turn == self._turn:
            self._outlet.told(played.samples, played.got)

    def _begin(self, client: Client) -> None:
        client.give({"turn": self._turn})
        self._outlet = PageOutlet(lambda sent: self._soon(lambda: client.give(sent)))
        self._mouth.sound_at(self._outlet)
        if not self._mouth.speaking():
            self._outlet.play(tone(Tone.HEARD))

    def _end(self, client: Client) -> None:
        client.give({"turn": 0})

    def _come_home(self) -> None:
        self._mouth.sound_at(self._mouth.desk)
        self._outlet = None

    def _alive(self) -> bool:
        return self._outlet is not None and self._outlet.alive()
