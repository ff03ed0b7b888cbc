"""The loudspeaker: one output stream, open from the first call to the last."""

import time
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.errors import DeviceMissing
from assistant.senses.mouth.player import BLOCK, RATE
from assistant.senses.mouth.speaker import SPEED, VOLUME, Speaker
from assistant.senses.portaudio import first_line, load_portaudio

LOST_AFTER_S = 2.0  # PortAudio tells of no lost device: only its calls for blocks stop coming
WAKES_WITHIN_S = 5.0  # PulseAudio's null sink takes up to 2 s from opening to its first call, a wireless one longer
LATENCY_S = 0.06  # asked of the device: about three blocks; with two, busy threads elsewhere made gaps


class Heartbeat:
    """When blocks are asked for, and until when they are heard; seconds on the caller's clock."""

    def __init__(self, now: float):
        self._lost_from = now + WAKES_WITHIN_S
        self._quiet_from = now

    def block(self, now: float, seconds: float, sounding: bool) -> None:
        """A block was asked for; it has left after so many seconds."""
        self._lost_from = now + LOST_AFTER_S
        if sounding:
            self._quiet_from = now + seconds

    def alive(self, now: float) -> bool:
        """Whether blocks are still asked for."""
        return now < self._lost_from

    def sounding(self, now: float) -> bool:
        """Whether the last block with sound in it has not left yet."""
        return now < self._quiet_from


class Loudspeaker(Speaker):
    """Plays through a device of the system, by number or part of its name; None for its usual one."""

    def __init__(
        self,
        voice: str | None = None,
        *,
        device: str | int | None = None,
        speed: int = SPEED,
        volume: int = VOLUME,
        folder: Path | None = None,
    ) -> None:
        """Raises DeviceMissing without PortAudio, a device or a voice."""
        self._device = device
        self._stream: Any = None
        self._heartbeat = Heartbeat(time.monotonic())
        self._sounddevice = load_portaudio("sound")
        super().__init__(voice, speed=speed, volume=volume, folder=folder)
        try:
            self.reopen()
        except DeviceMissing:
            self.close()
            raise

    def reopen(self) -> None:
        """Open the device anew, after it was lost. Raises DeviceMissing while it is away."""
        self._shut()
        try:
            self._stream = self._sounddevice.OutputStream(
                samplerate=RATE,
                blocksize=BLOCK,
                device=self._device,
                channels=1,
                dtype="float32",
                latency=LATENCY_S,
                callback=self._fill,
            )
            self._heartbeat = Heartbeat(time.monotonic())
            self._stream.start()
        except (self._sounddevice.PortAudioError, ValueError) as error:
            self._shut()
            which = "found" if self._device is None else repr(self._device)
            raise DeviceMissing(
                f"no loudspeaker {which} ({first_line(error)}); plug one in or choose another"
            ) from error

    def alive(self) -> bool:
        """Whether the device still takes what is played."""
        return self._stream is not None and self._heartbeat.alive(time.monotonic())

    def speaking(self) -> bool:
        """Whether anything is still to be rendered, played or on its way through a device that is there."""
        return self.alive() and (super().speaking() or self._heartbeat.sounding(time.monotonic()))

    def close(self) -> None:
        """Fall silent for good."""
        super().close()
        self._shut()

    def _fill(self, out: NDArray[np.float32], frames: int, _times: Any, _status: Any) -> None:
        """Called by PortAudio, in its own thread, for every block."""
        sounding = self._player.left() > 0
        out[:, 0] = self._player.fill(frames)
        self._heartbeat.block(time.monotonic(), frames / RATE + self._stream.latency, sounding)

    def _shut(self) -> None:
        if self._stream:
            self._stream.close()
        self._stream = None
