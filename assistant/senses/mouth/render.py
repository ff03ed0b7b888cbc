"""The voice engine in a process of its own, since it may hang or die: `python render.py`, which imports none of ours.

Requests come as lines of JSON on standard input, each answered by one line of JSON on standard output:

    {}                               ->  {"engine": name, "default": voice id, "voices": [[id, name, language], ...]}
    {"text", "voice", "speed", "file"}  ->  {} when the file is written, else {"error": why}

If the engine cannot start, the process ends and the last line on standard error says why.
"""

import ctypes
import json
import os
import re
import signal
import subprocess
import sys
from importlib.util import find_spec
from queue import SimpleQueue
from typing import Any

BUNDLED = "voice-process"  # what is asked of a program that was made one folder with all it needs, and is no Python


def find_bundled_espeak() -> None:
    """Make the library of the package espeakng-loader the one that pyttsx3 finds, with its data (Linux).

    A library already loaded is what the loader gives for its SONAME, libespeak-ng.so.1 (dlopen(3)). espeak-ng keeps no
    more than 160 characters of the path of its data, so that is given from where it lies.
    """
    if sys.platform != "linux" or find_spec("espeakng_loader") is None:
        return
    import espeakng_loader

    ctypes.CDLL(espeakng_loader.get_library_path(), mode=ctypes.RTLD_GLOBAL)
    folder, data = os.path.split(espeakng_loader.get_data_path())
    os.chdir(folder)
    os.environ["ESPEAK_DATA_PATH"] = data


class Pyttsx3:
    """The voice engine of the system, one utterance at a time."""

    def __init__(self) -> None:
        import pyttsx3

        self._engine = pyttsx3.init()
        self._ends: SimpleQueue[bool] = SimpleQueue()
        self._errors: list[str] = []
        self._settings: tuple[str, int] | None = None
        self._engine.connect("finished-utterance", lambda name, completed: self._ends.put(completed))
        self._engine.connect("error", lambda name, exception: self._errors.append(str(exception)))
        self._settle()
        self._engine.runAndWait()  # before its first run it only queues settings

    def voices(self) -> dict[str, Any]:
        """The answer to an empty request."""
        voices = self._engine.getProperty("voices")
        return {
            "engine": str(self._engine),
            "default": self._engine.getProperty("voice"),
            "voices": [[voice.id, voice.name or voice.id, tag(voice.languages)] for voice in voices],
        }

    def render(self, text: str, voice: str, speed: int, file: str) -> dict[str, Any]:
        """Write what is said to a file."""
        self._errors.clear()
        if self._settings != (voice, speed):
            self._engine.setProperty("voice", voice)
            self._engine.setProperty("rate", speed)
            self._settings = (voice, speed)
        self._settle()
        self._engine.save_to_file(text, file)
        self._engine.runAndWait()
        if self._errors:
            self._settings = None
            return {"error": self._errors[-1]}
        if str(self._engine) != "sapi5" and not self._ends.get():  # sapi5 tells of no end: it saves before returning
            sys.exit("the utterance was cut off")
        return {}

    def _settle(self) -> None:
        """Let espeak-ng, which takes settings in a thread of its own, take them before it is asked to speak.

        Else pyttsx3 2.99 thinks it is still speaking, and cancels the settings and the utterance.
        """
        if str(self._engine) == "espeak":
            from pyttsx3.drivers import _espeak

            _espeak.Synchronize()


class MacVoices:
    """The voices of a Mac, by its command `say`."""

    LISTED = re.compile(r"(?P<name>\S.*?) +(?P<language>[a-z]{2,3}[-_]\w+) +#")  # Alex    en_US    # Hello, I am Alex.

    def voices(self) -> dict[str, Any]:
        """The answer to an empty request."""
        listed = subprocess.run(["say", "-v", "?"], check=True, capture_output=True, text=True, encoding="utf-8").stdout
        voices = [[each["name"], each["name"], tag([each["language"]])] for each in self.LISTED.finditer(listed)]
        default = next((name for name, _, language in voices if language == "en-us"), voices[0][0] if voices else "")
        return {"engine": "say", "default": default, "voices": voices}

    def render(self, text: str, voice: str, speed: int, file: str) -> dict[str, Any]:
        """Write what is said to a file."""
        command = ["say", "-v", voice, "-r", str(speed), "-o", file, "-f", "-"]
        done = subprocess.run(command, input=text, capture_output=True, text=True, encoding="utf-8", check=False)
        return {"error": (done.stderr.strip().splitlines() or ["say"])[-1]} if done.returncode else {}


def tag(languages: list[str | None]) -> str:
    """A voice's first language in the form "en-us"."""
    return (next(iter(languages), None) or "").replace("_", "-").lower()


def main() -> None:
    """Answer requests until there are no more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "w")
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # pyttsx3 prints what it saves
    find_bundled_espeak()
    engine = MacVoices() if sys.platform == "darwin" else Pyttsx3()
    for line in sys.stdin:
        request = json.loads(line)
        print(json.dumps(engine.render(**request) if request else engine.voices()), file=answers, flush=True)


if __name__ == "__main__":
    main()
