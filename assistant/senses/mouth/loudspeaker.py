"""The loudspeaker: one output stream, open from the first call to the last."""

import time
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.errors import DeviceMissing
from assistant.senses.mouth import LOUDEST, SPEED, VOLUME
from assistant.senses.mouth.player import BLOCK, RATE
from assistant.senses.mouth.speaker import Speaker
from assistant.senses.portaudio import Heartbeat, close, first_line, lasting, load_portaudio

LATENCY_S = 0.06  # asked of the device: about three blocks; with two, busy threads elsewhere made gaps


class Loudspeaker(Speaker):
    """Plays through a device of the system, by number or part of its name; None for its usual one."""

    def __init__(
        self,
        voice: str | None = None,
        *,
        device: str | int | None = None,
        speed: int = SPEED,
        volume: int = VOLUME,
        loudest: int = LOUDEST,
        folder: Path | None = None,
    ) -> None:
        """Raises DeviceMissing without PortAudio, a device or a voice."""
        self._device = device
        self._stream: Any = None
        self._latency = 0.0  # seconds from a block to the ear
        self._heartbeat = Heartbeat(time.monotonic())
        self._sounddevice = load_portaudio("sound")
        super().__init__(voice, speed=speed, volume=volume, loudest=loudest, folder=folder)
        try:
            self.reopen()
        except DeviceMissing:
            self.close()
            raise

    def reopen(self) -> None:
        """Open the device anew, after it was lost. Raises DeviceMissing while it is away."""
        self.shut()
        try:
            self._device = lasting(self._device, self._sounddevice.query_devices(self._device, "output"))
            self._stream = self._sounddevice.OutputStream(
                samplerate=RATE,
                blocksize=BLOCK,
                device=self._device,
                channels=1,
                dtype="float32",
                latency=LATENCY_S,
                callback=self._fill,
            )
            self._latency = self._stream.latency
            self._heartbeat = Heartbeat(time.monotonic())
            self._stream.start()
        except (self._sounddevice.PortAudioError, ValueError) as error:
            self.shut()
            which = "found" if self._device is None else repr(self._device)
            raise DeviceMissing(
                f"no loudspeaker {which} ({first_line(error)}); plug one in or choose another"
            ) from error

    def alive(self) -> bool:
        """Whether the device still takes what is played."""
        return self._stream is not None and self._heartbeat.alive(time.monotonic())

    def awake(self) -> bool:
        """Whether it has taken anything since it was opened."""
        return self._heartbeat.awake

    def shut(self) -> None:
        """Let go of the device; what is left to be said waits until it is opened anew."""
        stream, self._stream = self._stream, None
        close(stream)

    def speaking(self) -> bool:
        """Whether anything is still to be rendered, played or on its way through a device that is there."""
        return self.alive() and (super().speaking() or self._heartbeat.sounding(time.monotonic()))

    def close(self) -> None:
        """Fall silent for good."""
        super().close()
        self.shut()

    def _fill(self, out: NDArray[np.float32], frames: int, _times: Any, _status: Any) -> None:
        """Called by PortAudio, in its own thread, for every block."""
        sounding = self._player.left() > 0
        out[:, 0] = self._player.fill(frames)
        self._heartbeat.block(time.monotonic(), frames / RATE + self._latency, sounding)
