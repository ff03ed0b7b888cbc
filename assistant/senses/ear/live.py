"""The microphone by itself, without a session: what is heard, and the room."""

from collections.abc import Iterator
from contextlib import contextmanager
from queue import Empty, SimpleQueue

from assistant.senses.devices import Devices
from assistant.senses.ear.engine import MOST_BY_VOICE, Engine
from assistant.senses.ear.listener import Heard, Listener
from assistant.senses.ear.metered import Metered
from assistant.senses.ear.microphone import Microphone
from assistant.senses.ear.room import Measures
from assistant.senses.portaudio import abandon, rescan
from assistant.senses.quiet import libraries_quiet

MEASURED_EVERY_S = 0.1


class LiveEar:
    """Listens until it is closed; a microphone that went away is taken up again, as long as somebody asks."""

    def __init__(self, engine: Engine, numbers: bool, microphone: str | int | None):
        """Raises DeviceMissing without a microphone."""
        self._heard: SimpleQueue[Heard] = SimpleQueue()
        self._metered = Metered(listener_for(engine, numbers), every_s=MEASURED_EVERY_S)
        self._microphone = Microphone(self._metered, lambda: False, microphone)
        self._devices = Devices(rescan, abandon)
        self._devices.watch("microphone", self._microphone)
        self._microphone.start(self._heard.put)
        self.gone = False

    @property
    def name(self) -> str:
        """Of the microphone, as the system has it."""
        return self._microphone.name

    @property
    def measures(self) -> Measures:
        """The room lately."""
        return self._metered.measures

    def next(self, within_s: float) -> Heard | None:
        """What is heard next, if anything is."""
        self.gone = bool(self._devices.lost())
        try:
            return self._heard.get(timeout=within_s)
        except Empty:
            return None

    def close(self) -> None:
        """Stop listening."""
        self._devices.close()
        self._microphone.close()


@contextmanager
def live(engine: Engine, numbers: bool, microphone: str | int | None) -> Iterator[LiveEar]:
    """A live ear, closed at the end."""
    with libraries_quiet():
        ear = LiveEar(engine, numbers, microphone)
        try:
            yield ear
        finally:
            ear.close()


def listener_for(engine: Engine, numbers: bool) -> Listener:
    """Listens for commands, or for numbers."""
    listener = Listener(engine)
    listener.expect(MOST_BY_VOICE if numbers else 0)
    return listener
