"""The voice engine seen from the program: it is asked, restarted when it hangs or dies, and asked once more."""

import json
import subprocess
import sys
import tempfile
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Self

import numpy as np
import soundfile

from assistant.errors import DeviceMissing, VoiceFailed, VoiceMissing, VoiceSilent
from assistant.meaning import Tell
from assistant.senses.mouth.player import MOUTH_RATE, Samples
from assistant.senses.mouth.render import BUNDLED
from assistant.senses.resampling import resampled

COMMAND = (
    (sys.executable, BUNDLED)
    if getattr(sys, "frozen", False)
    else (sys.executable, "-P", str(Path(__file__).with_name("render.py")))  # by its place: never another's
)
PATIENCE_S = 8.0  # for one phrase; espeak-ng takes hundredths of a second, a first start on a slow machine seconds
TRIES = 2
SOUND_FILE = "phrase.aiff" if sys.platform == "darwin" else "phrase.wav"  # as the engine of the system writes it
INSTALL = {
    "linux": Tell("install it with: pip install espeakng-loader (or: sudo apt install espeak-ng)"),
    "darwin": Tell("choose a voice in System Settings, Accessibility, Spoken Content"),
    "win32": Tell("install a voice in Settings, Time & language, Speech"),
}


@dataclass(frozen=True, slots=True)
class Voice:
    """A voice of the engine; the language in the form "en-us"."""

    id: str
    name: str
    language: str


class Voicebox:
    """The running engine, used by one thread at a time."""

    def __init__(self, command: Sequence[str] = COMMAND, patience_s: float = PATIENCE_S):
        self._command, self._patience_s = command, patience_s
        self._folder = tempfile.TemporaryDirectory(prefix="heddlecall-")
        self._complaints: IO[str] = tempfile.TemporaryFile("w+", errors="replace")  # noqa: SIM115
        self._process: subprocess.Popen[str] | None = None
        self._closed = False
        try:
            self._about = self._ask({})
        except DeviceMissing:
            self.close()
            raise

    @property
    def engine(self) -> str:
        """The engine's name."""
        return str(self._about["engine"])

    @property
    def pid(self) -> int | None:
        """The engine's process, None when it is not running."""
        return self._process.pid if self._process else None

    def voices(self) -> list[Voice]:
        """Every voice, the engine's own choice first."""
        voices = [Voice(*entry) for entry in self._about["voices"]]
        return sorted(voices, key=lambda voice: voice.id != self._about["default"])

    def render(self, text: str, voice: str, speed: int) -> Samples:
        """What the voice with this id says, as it comes; speed in words a minute. Raises DeviceMissing."""
        file = Path(self._folder.name, SOUND_FILE)
        answer = self._ask({"text": text, "voice": voice, "speed": speed, "file": str(file)})
        if "error" in answer:
            why = answer["error"]
            cannot = Tell(
                "Two knocks stand for “{said}”, which the voice cannot say ({why}). Choose another voice.",
                said=text,
                why=why,
            )
            raise VoiceFailed(
                "the voice {voice!r} cannot say {text!r} ({why}); choose another voice",
                cannot,
                voice=voice,
                text=text,
                why=why,
            )
        try:
            return read_sound(file)
        except soundfile.SoundFileError as error:
            raise no_sound(text, voice) from error
        finally:
            file.unlink(missing_ok=True)

    def interrupt(self) -> None:
        """Give up whatever is asked, now and later; from any thread."""
        self._closed = True
        self._end()

    def close(self) -> None:
        """End the engine; when no other thread is asking any more."""
        self.interrupt()
        self._folder.cleanup()
        self._complaints.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *raised: object) -> None:
        self.close()

    def _ask(self, request: dict[str, Any]) -> dict[str, Any]:
        for _ in range(TRIES):
            answer = "" if self._closed else self._ask_once(json.dumps(request))
            if answer:
                return dict(json.loads(answer))
        install = INSTALL.get(sys.platform, Tell("install espeak-ng"))
        if reason := self._reason():
            raise VoiceSilent("the voice engine does not answer ({reason}); {install}", reason=reason, install=install)
        raise VoiceSilent("the voice engine does not answer; {install}", install=install)

    def _ask_once(self, request: str) -> str:
        """One line of answer, "" when the engine hung or died on it."""
        process = self._process or self._start()
        impatience = threading.Timer(self._patience_s, process.kill)
        impatience.start()
        try:
            answer = exchange(process, request)
        finally:
            impatience.cancel()
        if not answer.endswith("\n"):
            self._end()
            return ""
        return answer

    def _start(self) -> subprocess.Popen[str]:
        self._process = subprocess.Popen(
            self._command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self._complaints,
            text=True,
        )
        return self._process

    def _end(self) -> None:
        process, self._process = self._process, None
        if process:
            process.kill()
            process.communicate()

    def _reason(self) -> str:
        """The last line the engine complained with, "" where it did not."""
        self._complaints.seek(0)
        lines = self._complaints.read().strip().splitlines()
        return lines[-1] if lines else ""


def exchange(process: subprocess.Popen[str], request: str) -> str:
    """A line sent, a line received; less than a line when the process is gone."""
    assert process.stdin is not None
    assert process.stdout is not None
    try:
        process.stdin.write(request + "\n")
        process.stdin.flush()
        return process.stdout.readline()
    except (OSError, ValueError):  # a broken pipe, or one closed meanwhile
        return ""


def voices() -> list[Voice]:
    """Every voice there is, the engine's own choice first. Raises DeviceMissing without an engine."""
    with Voicebox() as box:
        return box.voices()


def choose(voices: Sequence[Voice], wanted: str | None) -> Voice:
    """The voice with this id, else this name, else this language, else a language akin to it; the first for None."""
    if wanted is None and voices:
        return voices[0]
    asked = (wanted or "").casefold().replace("_", "-")
    family = asked.partition("-")[0]
    for fits in (
        lambda voice: (wanted or "").casefold() in (voice.id.casefold(), voice.name.casefold()),
        lambda voice: voice.language == asked,
        lambda voice: voice.language.startswith(asked + "-"),
        lambda voice: voice.language.partition("-")[0] == family,
    ):
        for voice in voices:
            if fits(voice):
                return voice
    if not voices:
        raise VoiceMissing("no voice {wanted!r}; there are 0, among them: none at all", wanted=wanted)
    some = ", ".join(f"{voice.name} ({voice.language})" for voice in voices[:5])
    raise VoiceMissing(
        "no voice {wanted!r}; there are {count}, among them: {some}", wanted=wanted, count=len(voices), some=some
    )


def no_sound(text: str, voice: str) -> VoiceFailed:
    """The error of a voice that left no sound of a text with words in it."""
    return VoiceFailed(
        "the voice {voice!r} left no sound of {text!r}; is the disk full?",
        Tell("Two knocks stand for “{said}”, of which the voice left no sound. Is the disk full?", said=text),
        voice=voice,
        text=text,
    )


def read_sound(file: Path) -> Samples:
    """A sound file as one channel at the common rate."""
    channels, rate = soundfile.read(file, dtype="float32", always_2d=True)
    samples = channels.mean(axis=1, dtype=np.float32)
    return samples if rate == MOUTH_RATE else resampled(samples, rate, MOUTH_RATE)
