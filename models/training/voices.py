"""Who says them: espeak-ng's voices in many variants, and for English two neural voices and two of flite.

English is said, too, as those say it who grew up with another language. flite's other voices, and all of festival, are
kept for judging what was trained.
"""

import ctypes
import subprocess
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import espeakng_loader
import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from assistant.rehearsal.weaver_voice import Hibari, Joe, WeaverVoice
from assistant.senses.sound import EAR_RATE
from training.accents import TONGUES, nearest

PEAK = 12_000  # of 32768, of every word
SILENT = 0.012  # part of the peak below which sound before and after a word is cut off
ACCENTS = {
    "en": ["en-us", "en", "en-gb-scotland", "en-gb-x-rp", "en-029", "en-gb-x-gbclan", "en-gb-x-gbcwmd", "en-us-nyc"],
    "fr": ["fr", "fr-be", "fr-ch"],
    "es": ["es", "es-419"],
}
ODD = (
    "Demonic",
    "whisper",
    "UniRobot",
    "Tweaky",
    "Ricishay",
    "anikaRobot",
    "croak",
    "fast",
    "rob",
)  # rob itself now and then breaks espeak-ng down
SHORTEST = EAR_RATE // 33  # samples of a sound; where words are shorter, espeak-ng has left sounds out
NATURAL_ALONE = 0.06  # part of the takes without a variant
SYNCHRONOUS, UTF8, SOUNDS = 2, 1, 256  # espeak-ng's names for how sound is given, at once and to us, and of spellings
RATE, PITCH, RANGE = 1, 3, 4  # and for what can be set

Sound = NDArray[np.int16]
Say = Callable[[str, int], Sound | None]  # a text, one take unlike another
_TAKES_SOUND = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p)


class Espeak:
    """espeak-ng in this process: a word takes some milliseconds."""

    def __init__(self) -> None:
        self._library = ctypes.CDLL(espeakng_loader.get_library_path())
        folder = Path(espeakng_loader.get_data_path())
        self._rate = self._library.espeak_Initialize(SYNCHRONOUS, 0, str(folder).encode(), 0)
        self._variants = [each.name for each in sorted((folder / "voices" / "!v").iterdir())]
        self._variants = [name for name in self._variants if not name.startswith(ODD)]
        self._pieces: list[NDArray[np.int16]] = []
        self._callback = _TAKES_SOUND(self._take)  # held as long as the library may call it
        self._library.espeak_SetSynthCallback(self._callback)
        self._library.espeak_TextToPhonemes.restype = ctypes.c_char_p
        self._known: dict[tuple[str, str], bool] = {}  # of a language and one of the sounds

    def say(self, code: str, text: str, chance: np.random.Generator) -> Sound | None:
        """In an accent and by a variant of chance, at any usual pace and pitch; None where there is no sound."""
        return self._said(str(chance.choice(ACCENTS.get(code, [code]))), text, UTF8, chance)

    def say_as_foreigner(self, text: str, chance: np.random.Generator) -> Sound | None:
        """English in the sounds of another language; the same otherwise."""
        self._library.espeak_SetVoiceByName(str(chance.choice(ACCENTS["en"][:2])).encode())
        written = ctypes.c_char_p(text.encode())
        sounds = self._library.espeak_TextToPhonemes(ctypes.byref(written), UTF8, 0).decode()
        tongue = str(chance.choice(TONGUES))
        as_heard = nearest(sounds, partial(self._has, tongue), chance)
        said = self._said(tongue, f"[[{as_heard}]]", UTF8 | SOUNDS, chance)
        return said if said is not None and len(said) > SHORTEST * len(as_heard) else None

    def _has(self, tongue: str, sound: str) -> bool:
        """Whether a language has a sound; espeak-ng leaves out what comes after one that it has not."""
        if (tongue, sound) not in self._known:
            self._library.espeak_SetVoiceByName(tongue.encode())
            short, tried, long = (
                len(self._spoken(f"[[{x}]]", UTF8 | SOUNDS)) for x in ("na", f"na{sound}nana", "nanana")
            )
            self._known[tongue, sound] = tried > (short + long) / 2
        return self._known[tongue, sound]

    def _said(self, voice: str, text: str, spelled: int, chance: np.random.Generator) -> Sound | None:
        variant = "" if chance.random() < NATURAL_ALONE else f"+{chance.choice(self._variants)}"
        settings = {RATE: chance.integers(110, 230), PITCH: chance.integers(25, 80), RANGE: chance.integers(20, 90)}
        if self._library.espeak_SetVoiceByName(f"{voice}{variant}".encode()):
            return None
        for setting, value in settings.items():
            self._library.espeak_SetParameter(setting, int(value), 0)
        return alone(self._spoken(text, spelled), self._rate)

    def _spoken(self, text: str, spelled: int) -> Sound:
        self._pieces = [np.zeros(0, np.int16)]
        written = text.encode() + b"\0"
        self._library.espeak_Synth(written, len(written), 0, 1, 0, spelled, None, None)
        return np.concatenate(self._pieces)

    def _take(self, samples: "ctypes._Pointer[ctypes.c_short]", count: int, _events: object) -> int:
        if samples and count:
            self._pieces.append(np.ctypeslib.as_array(samples, (count,)).copy())
        return 0


def _neural(open_voice: Callable[[], WeaverVoice]) -> Say:
    voice = open_voice()
    return lambda text, take: alone(voice.say(text, take), EAR_RATE)


def _flite(name: str) -> Say:
    def say(text: str, take: int) -> Sound | None:
        with tempfile.NamedTemporaryFile(suffix=".wav") as file:
            stretch = (1.0, 1.2, 0.85, 1.1)[take % 4]
            options = ["-voice", name, "--setf", f"duration_stretch={stretch}", "-t", text, "-o", file.name]
            subprocess.run(["flite", *options], check=True)
            sound, rate = soundfile.read(file.name, dtype="int16")
        return alone(sound, rate)

    return say


def alone(sound: NDArray[np.int16], rate: int) -> Sound | None:
    """A word without what is silent around it, at the ear's rate and a peak of PEAK; None where there is none."""
    loud = np.flatnonzero(np.abs(sound.astype(np.int32)) > SILENT * np.abs(sound.astype(np.int32)).max(initial=1))
    if len(loud) < EAR_RATE // 50:
        return None
    said = soxr.resample(sound[loud[0] : loud[-1] + 1].astype(np.float32), rate, EAR_RATE)
    return np.asarray(said * (PEAK / np.abs(said).max()), np.int16)


@dataclass(frozen=True, slots=True)
class Natural:
    """A voice for English that sounds less like a machine."""

    opened: Callable[[], Say]
    takes: int  # of each word that is listened for
    others: int  # of each other word


NATURAL = (
    Natural(partial(_neural, Joe), 3, 1),
    Natural(partial(_neural, Hibari), 4, 1),
    Natural(partial(_flite, "slt"), 4, 2),
    Natural(partial(_flite, "rms"), 4, 2),
)
