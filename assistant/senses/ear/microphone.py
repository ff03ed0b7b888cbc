"""The microphone: one input stream, open through a sitting."""

import threading
import time
from collections.abc import Callable
from contextlib import suppress
from queue import Empty, SimpleQueue
from typing import Any, Generic, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from assistant.errors import DeviceMissing
from assistant.senses.portaudio import NO_MICROPHONE, Heartbeat, answered, close, first_line, lasting, load_portaudio
from assistant.senses.resampling import resampler
from assistant.senses.sound import EAR_RATE, sixteen_bits

BLOCK_S = 0.03
MOST_WAITING = round(5 / BLOCK_S)  # blocks; on a machine that does not keep up, what is older is let go
MOST_CHANNELS = 2  # sound servers offer 32, which cost more than all the listening

# Samples, of every channel of a device, or as the ear takes them; and whether the mouth was speaking.
Captured = tuple[NDArray[Any], bool]

T = TypeVar("T")  # what comes of listening


class Listens(Protocol[T]):
    """Makes something of sound."""

    def listen(self, block: NDArray[np.int16], closed: bool) -> list[T]:
        """What came of this block, mono at 16 kHz; `closed`: the mouth was speaking meanwhile."""


class Ear(Generic[T]):
    """Lets a listener hear what is brought, in a thread of its own; of a microphone elsewhere, in place of one here.

    `closed` tells whether the mouth speaks. It is asked when a block arrives.
    """

    def __init__(self, listener: Listens[T], closed: Callable[[], bool]):
        self.by_page = False  # what is brought comes from elsewhere
        self.name = ""  # of a microphone here, as the system has it
        self._listener, self._closed = listener, closed
        self._blocks: SimpleQueue[Captured | None] = SimpleQueue()
        self._thread: threading.Thread | None = None

    def start(self, on_heard: Callable[[T], None]) -> None:
        """Begin to listen; what comes of it is told in a thread of the ear's own."""
        self._thread = threading.Thread(target=self._listen, args=(on_heard,), name="ear", daemon=True)
        self._thread.start()

    def bring(self, block: NDArray[np.int16]) -> None:
        """A block of sound has come from elsewhere, mono at 16 kHz."""
        if self.by_page:
            self._keep(block)

    def close(self) -> None:
        """Stop listening."""
        self._blocks.put(None)
        if self._thread:
            self._thread.join()

    def _keep(self, samples: NDArray[Any]) -> None:
        if self._blocks.qsize() >= MOST_WAITING:
            with suppress(Empty):
                self._blocks.get_nowait()
        self._blocks.put((samples, self._closed()))

    def _listen(self, on_heard: Callable[[T], None]) -> None:
        while block := self._blocks.get():
            samples, closed = block
            for heard in self._listener.listen(self._mono(samples), closed):
                on_heard(heard)

    def _mono(self, samples: NDArray[Any]) -> NDArray[np.int16]:
        return samples


class Microphone(Ear[T]):
    """An ear with a device of the system, by number or part of its name; None for its usual one."""

    def __init__(self, listener: Listens[T], closed: Callable[[], bool], device: str | int | None = None):
        """Raises DeviceMissing without PortAudio or a device."""
        super().__init__(listener, closed)
        self._sounddevice = answered(lambda: load_portaudio(NO_MICROPHONE))
        self._device = device
        self._stream: Any = None
        self._heartbeat = Heartbeat(time.monotonic())
        answered(self.reopen)

    def alive(self) -> bool:
        """Whether blocks still come and are made something of."""
        recognising = self._thread is None or self._thread.is_alive()
        return recognising and self._stream is not None and self._heartbeat.alive(time.monotonic())

    def awake(self) -> bool:
        """Whether anything has come since it was opened."""
        return self._heartbeat.awake

    def shut(self) -> None:
        """Let go of the device."""
        stream, self._stream = self._stream, None
        close(stream)

    def reopen(self) -> None:
        """Open the device anew. Raises DeviceMissing while it is away."""
        self.shut()
        try:
            about = self._sounddevice.query_devices(self._device, "input")
            self.name, self._device = about["name"], lasting(self._device, about)
            rate = int(about["default_samplerate"])
            self._resample = resampler(rate, EAR_RATE)
            self._heartbeat = Heartbeat(time.monotonic())
            self._stream = self._sounddevice.InputStream(
                samplerate=rate,
                blocksize=round(BLOCK_S * rate),
                device=self._device,
                channels=min(MOST_CHANNELS, about["max_input_channels"]),
                callback=self._arrive,
            )
            self._stream.start()
        except (self._sounddevice.PortAudioError, ValueError) as error:
            self.shut()
            raise DeviceMissing(
                "no microphone found ({why}); plug one in or choose another"
                if self._device is None
                else "no microphone {device!r} ({why}); plug one in or choose another",
                device=self._device,
                why=first_line(error),
            ) from error

    def close(self) -> None:
        """Stop listening."""
        self.shut()
        super().close()

    def _arrive(self, samples: NDArray[np.float32], _frames: int, _times: Any, _status: Any) -> None:
        """Called by PortAudio, in its own thread, for every block."""
        self._heartbeat.block(time.monotonic())
        if not self.by_page:
            self._keep(samples.copy())

    def _mono(self, samples: NDArray[Any]) -> NDArray[np.int16]:
        if samples.ndim == 1:
            return samples
        return sixteen_bits(self._resample.resample_chunk(samples.mean(axis=1, dtype=np.float32)))
