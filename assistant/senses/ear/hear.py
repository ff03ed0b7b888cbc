"""`heddlecall hear`: what is heard in sound files or from the microphone, printed, or shown in place in a terminal."""

import shutil
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from itertools import chain
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import TextIO

import numpy as np
import soundfile
from numpy.typing import NDArray

from assistant.errors import SoundFileError, refusal
from assistant.files import open_plain
from assistant.meaning import Tell
from assistant.output import legible, put, write
from assistant.senses.devices import Devices
from assistant.senses.ear.engine import MOST_BY_VOICE, WordEngine
from assistant.senses.ear.glance import Glance, as_json
from assistant.senses.ear.listener import Heard, Listener, Metered
from assistant.senses.ear.microphone import BLOCK_S, Microphone
from assistant.senses.ear.room import Measures
from assistant.senses.portaudio import abandon, libraries_quiet, rescan
from assistant.senses.resampling import resampler
from assistant.senses.sound import EAR_RATE, sixteen_bits

MEASURED_EVERY_S = 0.1
NARROW = 16_000  # samples a second below which the upper sounds of speech are missing
RATES_PLAYED = range(4_000, 400_000)  # samples a second that a recording of words may have
MOST_CHANNELS = 32
LONGEST = 5  # minutes of a recording: one for teaching holds a word, one to try the ear a few dozen
NO_PLAIN_FILE = 7  # libsndfile's word for an MP3 that it finds no sound in, though it is a plain file
UNTOLD = 2**63 - 1  # frames: libsndfile's word for a header that does not tell
HEARD_IN_A_SECOND = 30  # seconds of a recording, at least; measured
LOOKED_AFTER_S = 0.5  # the microphone
QUIET_S = 0.5  # of silence after a file, so that a word at its very end is decided
DRAWN_EVERY_S = 0.1
UP, TO_THE_END = "\x1b[{}A", "\x1b[K"


class LiveEar:
    """Listens until it is closed; a microphone that went away is taken up again, as long as somebody asks."""

    def __init__(self, engine: WordEngine, numbers: bool, microphone: str | int | None):
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
def live(engine: WordEngine, numbers: bool, microphone: str | int | None) -> Iterator[LiveEar]:
    """A live ear, closed at the end."""
    with libraries_quiet():
        ear = LiveEar(engine, numbers, microphone)
        try:
            yield ear
        finally:
            ear.close()


def listener_for(engine: WordEngine, numbers: bool) -> Listener:
    """Listens for commands, or for numbers."""
    listener = Listener(engine)
    listener.expect(MOST_BY_VOICE if numbers else 0)
    return listener


def hear(
    paths: Sequence[Path], engine: WordEngine, *, numbers: bool = False, microphone: str | int | None = None
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


def hear_file(path: Path, engine: WordEngine, numbers: bool) -> dict[str, object]:
    """What is heard in one sound file."""
    listener = listener_for(engine, numbers)
    quiet = np.zeros(round(QUIET_S * EAR_RATE), np.int16)
    heard = [each for block in chain(read(path), [quiet]) for each in listener.listen(block, False)]
    told: dict[str, object] = {"file": str(path), "heard": [entry(each) for each in heard]}
    return told | _note(path)


def _note(path: Path) -> dict[str, str]:
    """What makes hearing this file unsure."""
    with _opened(path) as file:
        rate = file.samplerate
    if rate >= NARROW:
        return {}
    return {"note": f"{rate} samples a second leave out the upper sounds of speech; record with {NARROW} or more"}


def entry(heard: Heard) -> dict[str, object]:
    """One word heard; "unclear" for something that was not understood. Seconds since the file began."""
    number = {} if heard.number is None else {"number": heard.number}
    return {
        "event": str(heard.kind or "unclear"),
        "word": heard.word,
        **number,
        "score": round(heard.score, 3),
        "word_end_s": round(heard.word_end_s, 3),
        "decided_s": round(heard.decided_s, 3),
    }


def read(path: Path) -> Iterator[NDArray[np.int16]]:
    """A sound file of any rate and width, block by block, as one channel at 16 kHz. Raises SoundFileError."""
    with _opened(path) as file:
        resample = resampler(file.samplerate, EAR_RATE)
        left = LONGEST * 60 * file.samplerate
        size = round(BLOCK_S * file.samplerate) + 1
        while len(block := _next(file, size)):
            left -= len(block)
            if left < 0:  # more than its header told
                raise _too_long(path)
            yield sixteen_bits(resample.resample_chunk(np.nan_to_num(block.mean(axis=1, dtype=np.float32))))
        yield sixteen_bits(resample.resample_chunk(np.zeros(0, np.float32), last=True))


def _next(file: soundfile.SoundFile, size: int) -> NDArray[np.float32]:
    with libraries_quiet() if file.format == "MP3" else nullcontext():  # its decoder complains of all that is damaged
        block: NDArray[np.float32] = file.read(size, dtype="float32", always_2d=True)
        return block


def hearing(paths: Iterable[Path]) -> float:
    """About how many seconds it takes to hear sound files, by their headers. Raises SoundFileError for one too long."""
    return sum(map(_lasting, paths)) / HEARD_IN_A_SECOND


def _lasting(path: Path) -> float:
    with _opened(path) as file:
        return file.frames / file.samplerate if file.frames < UNTOLD else 0.0


@contextmanager
def _opened(path: Path) -> Iterator[soundfile.SoundFile]:
    """One that may be heard, as far as its header tells. Raises SoundFileError, also for what is done in here."""
    try:
        with open_plain(path) as opened, _decoder(opened.fileno()) as file:
            if file.samplerate not in RATES_PLAYED:
                raise _unreadable(path, Tell("{rate} samples a second", rate=file.samplerate))
            if file.channels > MOST_CHANNELS:
                raise _unreadable(path, Tell("{count} channels", count=file.channels))
            if LONGEST * 60 * file.samplerate < file.frames < UNTOLD:
                raise _too_long(path)
            yield file
    except (OSError, RuntimeError, TypeError, ValueError) as error:
        if isinstance(error, OSError):
            raise _unreadable(path, refusal(error)) from error
        if getattr(error, "code", None) == NO_PLAIN_FILE:
            raise _unreadable(path, Tell("a damaged MP3 file")) from error
        raise _unreadable(path, str(error).rpartition(": ")[2] or Tell("not a sound file")) from error


def _decoder(opened: int) -> soundfile.SoundFile:
    with libraries_quiet():
        return soundfile.SoundFile(opened, closefd=False)


def _unreadable(path: Path, what: str | Tell) -> SoundFileError:
    return SoundFileError(
        "{file}: cannot be read as sound ({what}); give a WAV, FLAC or OGG file",
        file=path,
        what=what,
    )


def _too_long(path: Path) -> SoundFileError:
    return SoundFileError(
        "{file} lasts longer than {most} minutes, the most that a recording of words may last; cut it up",
        file=path,
        most=LONGEST,
    )


def try_ear(engine: WordEngine, numbers: bool, microphone: str | int | None, out: TextIO) -> None:
    """Raises DeviceMissing without a microphone."""
    shown = Glance(engine.language, _examples(engine, numbers))
    with live(engine, numbers, microphone) as ear:
        put(shown.listening(ear.name), out)
        put("", out)
        last, drawn = None, 0
        try:
            while True:
                last = ear.next(DRAWN_EVERY_S) or last
                lines = shown.lines(ear.measures, last, ear.gone, shutil.get_terminal_size().columns)
                _draw(lines, drawn, out)
                drawn = len(lines)
        except KeyboardInterrupt:
            _draw(["", *shown.verdict(ear.measures, ear.name, shutil.get_terminal_size().columns)], 0, out)


def _draw(lines: list[str], over: int, out: TextIO) -> None:
    """Over so many of the lines before."""
    up = UP.format(over) if over else ""
    write(up + "".join(f"\r{legible(line)}{TO_THE_END}\n" for line in lines), out)


def _examples(engine: WordEngine, numbers: bool) -> str:
    """A few words to say."""
    language = engine.language
    words = language.numbers[1:5] if numbers else [language.commands[kind][0] for kind in ("next", "repeat", "back")]
    return ", ".join(words)
