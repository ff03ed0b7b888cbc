"""The voice engines seen from the program: each is asked, restarted when it hangs or dies, and asked once more."""

import json
import subprocess
import sys
import tempfile
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import IO, Any, Self

import numpy as np
import soundfile

from assistant.errors import DeviceMissing, VoiceFailed, VoiceSilent
from assistant.meaning import Tell
from assistant.senses.mouth.natural import models
from assistant.senses.mouth.player import MOUTH_RATE, Samples
from assistant.senses.mouth.render import BUNDLED
from assistant.senses.mouth.voices import Voice
from assistant.senses.resampling import resampled

COMMAND = (
    (sys.executable, BUNDLED)
    if getattr(sys, "frozen", False)
    else (sys.executable, "-P", str(Path(__file__).with_name("render.py")))  # by its place: never another's
)
NATURAL = (sys.executable, "-P", str(Path(__file__).with_name("render_natural.py")))
PATIENCE_S = 8.0  # for one phrase; espeak-ng takes hundredths of a second, a first start on a slow machine seconds
NATURAL_PATIENCE_S = 30.0  # a natural voice is sixty megabytes to read
TRIES = 2
SOUND_FILE = "phrase.aiff" if sys.platform == "darwin" else "phrase.wav"  # as the engine of the system writes it
INSTALL = {
    "linux": Tell("install it with: pip install espeakng-loader (or: sudo apt install espeak-ng)"),
    "darwin": Tell("choose a voice in System Settings, Accessibility, Spoken Content"),
    "win32": Tell("install a voice in Settings, Time & language, Speech"),
}


class Engine:
    """A process that answers requests, started when it is first asked; used by one thread at a time."""

    def __init__(self, command: Sequence[str], patience_s: float):
        self._command, self._patience_s = command, patience_s
        self._complaints: IO[str] = tempfile.TemporaryFile("w+", errors="replace")  # noqa: SIM115
        self._process: subprocess.Popen[str] | None = None
        self._closed = False

    @property
    def pid(self) -> int | None:
        """Of its process, None when it is not running."""
        return self._process.pid if self._process else None

    def ask(self, request: dict[str, Any]) -> dict[str, Any]:
        """Its answer. Raises VoiceSilent."""
        for _ in range(TRIES):
            answer = "" if self._closed else self._ask_once(json.dumps(request))
            if answer:
                return dict(json.loads(answer))
        install = INSTALL.get(sys.platform, Tell("install espeak-ng"))
        if reason := self._reason():
            raise VoiceSilent("the voice engine does not answer ({reason}); {install}", reason=reason, install=install)
        raise VoiceSilent("the voice engine does not answer; {install}", install=install)

    def interrupt(self) -> None:
        """Give up whatever is asked, now and later; from any thread."""
        self._closed = True
        self._end()

    def close(self) -> None:
        """End it; when no other thread is asking any more."""
        self.interrupt()
        self._complaints.close()

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


class Voicebox:
    """The running engines, the system's and that of natural voices; used by one thread at a time."""

    def __init__(self, command: Sequence[str] = COMMAND, patience_s: float = PATIENCE_S):
        """Raises DeviceMissing where the system has no voice, and there is no natural one."""
        self._folder = tempfile.TemporaryDirectory(prefix="heddlecall-")
        self._models = {model.id: model for model in models()}
        self._system = Engine(command, patience_s)
        self._natural = Engine(NATURAL, NATURAL_PATIENCE_S)
        self._about = dict[str, Any](engine="", default="", voices=[])
        try:
            self._about = self._system.ask({})
        except DeviceMissing:
            if not self._models:
                self.close()
                raise

    @property
    def engine(self) -> str:
        """The name of the system's engine."""
        return str(self._about["engine"])

    def engine_of(self, voice: str) -> str:
        """The name of what speaks the voice with this id."""
        return self._models[voice].kind if voice in self._models else self.engine

    def voices(self) -> list[Voice]:
        """Every voice, the engine's own choice first, natural ones last."""
        voices = [Voice(*entry) for entry in self._about["voices"]]
        natural = [Voice(each.id, each.name, each.language, natural=True) for each in self._models.values()]
        return [*sorted(voices, key=lambda voice: voice.id != self._about["default"]), *natural]

    def render(self, text: str, voice: str, speed: int) -> Samples:
        """What the voice with this id says, as it comes; speed in words a minute. Raises DeviceMissing."""
        file = Path(self._folder.name, SOUND_FILE)
        wanted = {"text": text, "speed": speed, "file": str(file)}
        if model := self._models.get(voice):
            answer = self._natural.ask(wanted | {"kind": model.kind, "model": model.file})
        else:
            answer = self._system.ask(wanted | {"voice": voice})
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
        self._system.interrupt()
        self._natural.interrupt()

    def close(self) -> None:
        """End the engines; when no other thread is asking any more."""
        self._system.close()
        self._natural.close()
        self._folder.cleanup()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *raised: object) -> None:
        self.close()


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
