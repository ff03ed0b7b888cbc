"""Print what is heard: in sound files, or from the microphone as it comes."""

from collections.abc import Iterator, Sequence
from itertools import chain
from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from assistant.errors import SoundFileError
from assistant.senses.ear.engine import RATE, Engine
from assistant.senses.ear.glance import as_json
from assistant.senses.ear.listener import Heard
from assistant.senses.ear.live import listener_for, live
from assistant.senses.ear.microphone import BLOCK_S, to_int16

NARROW = 16_000  # samples a second below which the upper sounds of speech are missing
RATES = range(4_000, 400_000)  # samples a second that a recording of words may have
LOOKED_AFTER_S = 0.5  # the microphone
QUIET_S = 0.5  # of silence after a file, so that a word at its very end is decided


def hear(
    paths: Sequence[Path], engine: Engine, *, numbers: bool = False, microphone: str | int | None = None
) -> Iterator[dict[str, object]]:
    """What is heard, one entry a file; without files one entry a word, from the microphone, and at Ctrl-C the room.

    Raises SoundFileError for a file that cannot be read, DeviceMissing without a microphone.
    """
    if paths:
        yield from (hear_file(path, engine, numbers) for path in paths)
        return
    with live(engine, numbers, microphone) as ear:
        try:
            while True:
                if heard := ear.next(LOOKED_AFTER_S):
                    yield {"file": "microphone", "heard": [entry(heard)]}
        except KeyboardInterrupt:
            yield {"file": "microphone", "room": as_json(ear.measures)}
            raise


def hear_file(path: Path, engine: Engine, numbers: bool) -> dict[str, object]:
    """What is heard in one sound file."""
    listener = listener_for(engine, numbers)
    quiet = np.zeros(round(QUIET_S * RATE), np.int16)
    heard = [each for block in chain(read(path), [quiet]) for each in listener.listen(block, False)]
    told: dict[str, object] = {"file": str(path), "heard": [entry(each) for each in heard]}
    return told | _note(path)


def _note(path: Path) -> dict[str, str]:
    """What makes hearing this file unsure."""
    rate = soundfile.info(path).samplerate
    if rate >= NARROW:
        return {}
    return {"note": f"{rate} samples a second leave out the upper sounds of speech; record with {NARROW} or more"}


def entry(heard: Heard) -> dict[str, object]:
    """One word heard; "unclear" for something that was not understood. Seconds since the file began."""
    number = {} if heard.number is None else {"number": heard.number}
    return {
        "event": heard.kind.value if heard.kind else "unclear",
        "word": heard.word,
        **number,
        "score": round(heard.score, 3),
        "word_end_s": round(heard.word_end_s, 3),
        "decided_s": round(heard.decided_s, 3),
    }


def read(path: Path) -> Iterator[NDArray[np.int16]]:
    """A sound file of any rate and width, block by block, as one channel at 16 kHz. Raises SoundFileError."""
    try:
        with soundfile.SoundFile(path) as file:
            if file.samplerate not in RATES:
                raise _unreadable(path, f"{file.samplerate} samples a second")
            resample = soxr.ResampleStream(file.samplerate, RATE, 1, dtype="float32")
            for block in file.blocks(round(BLOCK_S * file.samplerate) + 1, dtype="float32", always_2d=True):
                yield to_int16(resample.resample_chunk(np.nan_to_num(block.mean(axis=1, dtype=np.float32))))
            yield to_int16(resample.resample_chunk(np.zeros(0, np.float32), last=True))
    except (OSError, RuntimeError, TypeError, ValueError) as error:
        what = getattr(error, "strerror", None) or str(error).rpartition(": ")[2] or "not a sound file"
        raise _unreadable(path, what) from error


def _unreadable(path: Path, what: str) -> SoundFileError:
    return SoundFileError(f"{path}: cannot be read as sound ({what}); give a WAV, FLAC or OGG file")
