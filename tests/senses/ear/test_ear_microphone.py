"""The microphone: an ear that does not keep up hears late, but not ever later."""

import threading
from typing import Any

import numpy as np
import pytest

from assistant.senses.ear import microphone
from assistant.senses.ear.microphone import BLOCK_S, MOST_WAITING, Microphone

RATE = 48_000


class System:
    """Stands for sounddevice, with one microphone whose blocks are brought by hand."""

    class PortAudioError(Exception):
        pass

    def __init__(self) -> None:
        self.bring: Any = None

    def query_devices(self, device: object, kind: str) -> dict[str, Any]:
        return {"name": "made", "default_samplerate": RATE, "max_input_channels": 1}

    def InputStream(self, callback: Any, **_: object) -> "System":  # noqa: N802
        self.bring = callback
        return self

    def start(self) -> None:
        pass

    close = start


class Busy:
    """An ear that hears nothing until it is let, and counts."""

    def __init__(self) -> None:
        self.free, self.asked, self.heard = threading.Event(), threading.Event(), 0

    def listen(self, block: np.ndarray[Any, Any], closed: bool) -> list[None]:
        self.asked.set()
        assert self.free.wait(60)
        self.heard += 1
        return []


def test_what_waits_for_an_ear_that_does_not_keep_up_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    system, ear = System(), Busy()
    monkeypatch.setattr(microphone, "load_portaudio", lambda lacking: system)
    mine: Microphone[None] = Microphone(ear, lambda: False)
    mine.start(lambda heard: None)
    block = np.zeros((round(BLOCK_S * RATE), 1), np.float32)
    system.bring(block, len(block), None, None)
    assert ear.asked.wait(60)
    for _ in range(4 * MOST_WAITING):
        system.bring(block, len(block), None, None)
    ear.free.set()
    mine.close()
    assert ear.heard == MOST_WAITING + 1
