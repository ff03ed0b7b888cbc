"""The loudspeaker: one output stream, open from the first call to the last; opened for a sitting, or to try a voice."""

import io
import time
from collections.abc import Callable
from contextlib import closing
from typing import Any

import numpy as np
import soundfile
from numpy.typing import NDArray

from assistant.errors import DeviceLost, DeviceMissing, VoiceMissing
from assistant.meaning import Tell
from assistant.outfile import Outfile
from assistant.senses.mouth import LOUDEST, SPEED, VOLUME, Mouth, SilentMouth
from assistant.senses.mouth.player import BLOCK, MOUTH_RATE, Nowhere, Player, Samples
from assistant.senses.mouth.proof import NumberEar
from assistant.senses.mouth.speaker import Cable, Speaker
from assistant.senses.portaudio import NO_SOUND, Heartbeat, answered, close, first_line, lasting, load_portaudio
from assistant.words.speech import Part, Say

LATENCY_S = 0.06  # asked of the device: about three blocks; with two, busy threads elsewhere made gaps


class Loudspeaker(Player):
    """Plays through a device of the system, by number or part of its name; None for its usual one."""

    def __init__(self, device: str | int | None = None) -> None:
        """Raises DeviceMissing without PortAudio or a device."""
        super().__init__()
        self._device = device
        self._stream: Any = None
        self._latency = 0.0  # seconds from a block to the ear
        self._heartbeat = Heartbeat(time.monotonic())
        self._sounddevice = answered(lambda: load_portaudio(NO_SOUND))
        answered(self.reopen)

    def reopen(self) -> None:
        """Open the device anew, after it was lost. Raises DeviceMissing while it is away."""
        self.shut()
        try:
            self._device = lasting(self._device, self._sounddevice.query_devices(self._device, "output"))
            self._stream = self._sounddevice.OutputStream(
                samplerate=MOUTH_RATE,
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
            raise DeviceMissing(
                "no loudspeaker found ({why}); plug one in or choose another"
                if self._device is None
                else "no loudspeaker {device!r} ({why}); plug one in or choose another",
                device=self._device,
                why=first_line(error),
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

    def sounding(self) -> bool:
        """Whether anything is still to be played, or on its way through the device."""
        return super().sounding() or self._heartbeat.sounding(time.monotonic())

    def _fill(self, out: NDArray[np.float32], frames: int, _times: Any, _status: Any) -> None:
        """Called by PortAudio, in its own thread, for every block."""
        sounding = self.left() > 0
        out[:, 0] = self.fill(frames)
        self._heartbeat.block(time.monotonic(), frames / MOUTH_RATE + self._latency, sounding)


def open_mouth(
    usual: str,
    voice: str | None,
    loudspeaker: str | int | None,
    speed: int,
    volume: int,
    loudest: int = LOUDEST,
    *,
    mute: bool = False,
    elsewhere: bool = False,
    open_ear: Callable[[str], NumberEar] | None = None,
) -> tuple[Mouth, Tell | None]:
    """A mouth at the loudspeaker; or silence, with the reason, where there is none.

    `usual` is the voice where none was asked for.
    `open_ear`: what hears the numbers of a language, where nothing else is to be done.
    `mute`: not at the loudspeaker. `elsewhere`: it may come to sound at another place, for which a voice will do.
    Raises DeviceMissing for a voice or a loudspeaker that was asked for and is not there.
    """
    if mute and not elsewhere:
        return SilentMouth(), None
    desk: Player = Nowhere()
    silent: Tell | None = None
    try:
        desk = desk if mute else Loudspeaker(loudspeaker)
    except DeviceMissing as missing:
        if loudspeaker is not None:
            raise
        silent = Tell("silent", why=missing.tell)
        if not elsewhere:
            return SilentMouth(), silent
    try:
        wish = voice or usual
        return Speaker(desk, wish, speed=speed, volume=volume, loudest=loudest, open_ear=open_ear), silent
    except DeviceMissing as missing:
        desk.shut()
        if (voice if isinstance(missing, VoiceMissing) else loudspeaker) is not None:
            raise
        return SilentMouth(), None if mute else Tell("silent", why=missing.tell)


CALL = (3, 4, 1, 2)  # by which a voice is tried; every voice reads figures in its own language


def speak(
    voice: str,
    text: str | None = None,
    *,
    speed: int = SPEED,
    volume: int = VOLUME,
    out: Outfile | None = None,
    device: str | int | None = None,
) -> None:
    """Say a text, without one a call as in a sitting, or write it to a WAV file.

    Raises DeviceMissing, DeviceLost, OutfileError.
    """
    parts = tuple(Part(str(shaft), beat=True) for shaft in CALL) if text is None else (Part(text),)
    if out:
        with closing(Cable(voice, speed=speed, volume=volume)) as cable:
            cable.utter([Say(parts)])
            out.write(wav(cable.rest()))
            trouble = cable.trouble
    else:
        loudspeaker = Loudspeaker(device)
        with closing(Speaker(loudspeaker, voice, speed=speed, volume=volume)) as mouth:
            mouth.utter([Say(parts)])
            wait(mouth, loudspeaker)
            trouble = mouth.trouble
    if trouble:
        raise DeviceMissing(trouble)


def wait(mouth: Mouth, loudspeaker: Loudspeaker) -> None:
    """Until all is said. Raises DeviceLost."""
    while mouth.speaking():
        time.sleep(0.05)
    if not loudspeaker.alive():
        raise DeviceLost("the loudspeaker went away; plug it in again")


def wav(samples: Samples) -> bytes:
    """A WAV file of 16 bits, one channel."""
    sound = io.BytesIO()
    soundfile.write(sound, samples, MOUTH_RATE, format="WAV", subtype="PCM_16")
    return sound.getvalue()
