"""Rendered phrases: trimmed, levelled, and kept on disk under a name made of all that shaped them."""

import hashlib
import io
import json
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import platformdirs
import soundfile

from assistant.files import write_whole
from assistant.senses.mouth.player import RATE, SILENCE, Samples

QUIET = 0.01  # of the peak, 40 dB below it: what is softer, at either end, is silence
MARGIN_S = 0.01
LEVEL = 0.1  # root mean square of every clip, -20 dBFS
PEAK = 0.89  # -1 dBFS
FORM = 1  # to be raised when any of the above changes
SEAL_BYTES = 32  # after the FLAC stream, whose own checksums leave out its header: the SHA-256 of all before


def default_folder() -> Path:
    """Where the clips are kept."""
    return platformdirs.user_cache_path("heddlecall", appauthor=False) / "clips"


def clean(samples: Samples) -> Samples:
    """A clip with the same short margin before and after what is heard, and as loud as every other."""
    loudness = np.abs(samples)
    if not loudness.any():
        return SILENCE
    heard = np.flatnonzero(loudness > QUIET * loudness.max())
    margin = round(MARGIN_S * RATE)
    clip = np.pad(samples, margin)[heard[0] : heard[-1] + 1 + 2 * margin]
    gain = min(LEVEL / np.sqrt(np.mean(clip**2)), PEAK / loudness.max())
    return np.asarray(clip * gain, dtype=np.float32)


@dataclass(frozen=True, slots=True)
class Shelf:
    """The clips of one engine and voice."""

    folder: Path
    engine: str
    voice: str

    def file(self, text: str, speed: int) -> Path:
        """Where the clip of this text at this speed is kept."""
        key = json.dumps([FORM, self.engine, self.voice, speed, text])
        return self.folder / f"{hashlib.sha256(key.encode()).hexdigest()}.flac"

    def find(self, text: str, speed: int) -> Samples | None:
        """The clip, None where there is none or it is damaged."""
        try:
            kept = self.file(text, speed).read_bytes()
        except OSError:
            return None
        sound, seal = kept[:-SEAL_BYTES], kept[-SEAL_BYTES:]
        if hashlib.sha256(sound).digest() != seal:
            return None
        samples, _ = soundfile.read(io.BytesIO(sound), dtype="float32")
        return np.asarray(samples, dtype=np.float32)

    def keep(self, text: str, speed: int, clip: Samples) -> None:
        """Put a clip on the shelf, whole or not at all; a full or locked disk only costs rendering it again."""
        if not len(clip):
            return  # there is no empty FLAC file
        sound = io.BytesIO()
        soundfile.write(sound, clip, RATE, format="FLAC", subtype="PCM_16")
        file = self.file(text, speed)
        with suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            write_whole(file, sound.getvalue() + hashlib.sha256(sound.getvalue()).digest())
