"""What the program finds around it: a line for each part, and for what is missing the line that brings it.

Nothing that is found wrong is an error here, and nothing is changed.
"""

import os
import platform
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, distributions, requires, version
from pathlib import Path
from re import match
from typing import TYPE_CHECKING

from assistant import folders
from assistant.errors import HeddlecallError, refusal
from assistant.meaning import Tell
from assistant.outfile import FileKind
from assistant.private import struck_out
from assistant.words.language import Language

if TYPE_CHECKING:
    from assistant.senses.pedal.settings import Pedal

LEAST_FREE = 200_000_000  # bytes: the clips of an evening take some ten megabytes, a model up to sixty
TITLE = "heddlecall doctor"
REPORT = FileKind(Tell("a report by heddlecall doctor"), lambda data: data.startswith(TITLE.encode()))
EXTRAS = {"cards": "weasyprint", "vosk": "vosk", "voices": "piper-tts"}  # and the package that shows each


@dataclass(frozen=True, slots=True)
class Finding:
    """What was found of one part."""

    part: str
    told: Tell
    well: bool = True
    private: tuple[str, ...] = ()  # what of it is nobody else's business


Look = Callable[[], Finding]


def findings(language: Language, settings_kept: Callable[[], int]) -> Iterator[Finding]:
    """Of every part, one after the other; a few seconds. `settings_kept` counts them, or raises for a fault."""
    looks: dict[str, Look] = {
        "program": _program,
        "packages": _packages,
        "voice": lambda: _voice(language),
        "loudspeaker": lambda: _device("loudspeaker", "output"),
        "microphone": lambda: _device("microphone", "input"),
        "ear": lambda: _ear(language),
        "words": _lessons,
        "pedal": _pedal,
        "keypad": _keypad,
        "records": _records,
        "settings": lambda: _settings(settings_kept),
        "folders": _folders,
        "terminal": _terminal,
    }
    for part, look in looks.items():
        try:
            yield look()
        except HeddlecallError as error:
            yield Finding(part, error.tell, False)
        except OSError as error:
            yield Finding(part, refusal(error), False)


def without_what_is_private(text: str, found: Iterable[Finding]) -> str:
    """The same with names of people, devices and this machine struck out, and the home folder as "~"."""
    return struck_out(text, (name for each in found for name in each.private))


def _program() -> Finding:
    from assistant.version import told

    system = f"{platform.system()} {platform.release()}, {platform.machine()}"
    return Finding("program", Tell(f"{told()}, Python {platform.python_version()}, {system}"))


def _packages() -> Finding:
    """Those that it stands on, with their versions, and what more there could be."""
    there = {each.name.lower().replace("_", "-"): each.version for each in distributions() if each.name}
    needed = [each for each in requires("heddlecall") or () if "extra ==" not in each]
    names = dict.fromkeys(found[0] for each in needed if (found := match(r"[\w.-]+", each)))
    listed = ", ".join(f"{name} {there[name.lower()]}" for name in names if name.lower() in there)
    lacking = [extra for extra, package in EXTRAS.items() if not _installed(package)]
    if not lacking:
        return Finding("packages", Tell(listed))
    return Finding("packages", Tell("doctor packages", listed=listed, extras=",".join(lacking)))


def _installed(package: str) -> bool:
    try:
        return bool(version(package))
    except PackageNotFoundError:
        return False


def _voice(language: Language) -> Finding:
    from assistant.senses.mouth.voicebox import Voicebox
    from assistant.senses.mouth.voices import choose

    with Voicebox() as box:
        voices = box.voices()
        name = choose(voices, language.voice).name
        return Finding("voice", Tell("doctor voice", engine=box.engine, count=len(voices), name=name))


def _device(part: str, way: str) -> Finding:
    """The usual one. Raises DeviceMissing."""
    from assistant.errors import DeviceMissing
    from assistant.senses.portaudio import NO_MICROPHONE, NO_SOUND, answered, first_line, load_portaudio

    lacking, missing = (
        (NO_SOUND, "no loudspeaker found ({why}); plug one in or choose another")
        if way == "output"
        else (NO_MICROPHONE, "no microphone found ({why}); plug one in or choose another")
    )

    def ask() -> Finding:
        sounddevice = load_portaudio(lacking)
        try:
            about = sounddevice.query_devices(None, way)
            server = sounddevice.query_hostapis(about["hostapi"])["name"]
        except (sounddevice.PortAudioError, ValueError) as error:
            raise DeviceMissing(Tell(missing, why=first_line(error))) from error
        return Finding(part, Tell(f"{about['name']} ({server})"), private=(about["name"],))

    return answered(ask)


def _ear(language: Language) -> Finding:
    from assistant.senses.ear.opening import find_model
    from assistant.senses.ear.words import TrainedWords

    TrainedWords(language.code)
    model = find_model(language.code)
    return Finding("ear", Tell("doctor ear with model", folder=model) if model else Tell("doctor ear"))


def _lessons() -> Finding:
    from assistant.senses.ear.taught import weavers

    if not (names := weavers()):
        return Finding("words", Tell("doctor untaught"))
    return Finding("words", Tell("doctor taught", names=", ".join(names)), private=tuple(names))


def _pedal() -> Finding:
    from assistant.senses.pedal.settings import load_pedal

    pedal = load_pedal()
    if pedal is None:
        return Finding("pedal", Tell("doctor no pedal"))
    _find(pedal)
    return Finding("pedal", Tell("doctor pedal", count=len(pedal.switches)))


def _keypad() -> Finding:
    from assistant.senses.pedal.settings import keypad_file, load_pedal

    keypad = load_pedal(keypad_file())
    if keypad is None:
        return Finding("keypad", Tell("doctor no keypad"))
    _find(keypad)
    return Finding("keypad", Tell("doctor keypad"))


def _find(pedal: "Pedal") -> None:
    """Raises PedalError where its own device is not there or cannot be read."""
    from assistant.senses.pedal import PedalSource
    from assistant.senses.pedal.evdev_pedal import InputDevices

    if pedal.source is PedalSource.EVDEV:
        InputDevices().find(pedal.device).close()


def _records() -> Finding:
    from assistant.session.journal import Records, default_path

    troubles: list[Tell] = []
    with Records.read(default_path(), troubles.append) as records:
        kept = records.records()
        troubles += records.passed_over.values()
    if troubles:
        return Finding("records", troubles[0], False, tuple(Path(each.file).name for each in kept))
    return Finding("records", Tell("doctor records", count=len(kept), file=default_path()))


def _settings(kept: Callable[[], int]) -> Finding:
    return Finding("settings", Tell("doctor settings", count=kept()))


def _folders() -> Finding:
    """Where things are kept, and how much room there is."""
    listed, least = [], LEAST_FREE
    for folder in dict.fromkeys((folders.data(), folders.settings(), folders.cache())):
        there = next(each for each in (folder, *folder.parents) if each.exists())
        free = shutil.disk_usage(there).free
        listed.append(f"{folder} ({free // 1_000_000:,} MB)")
        least = min(least, free)
    return Finding("folders", Tell(", ".join(listed)), least >= LEAST_FREE)


def _terminal() -> Finding:
    if not sys.stdout.isatty():
        return Finding("terminal", Tell("doctor no terminal"))
    columns, rows = shutil.get_terminal_size()
    told = f"{columns} × {rows}, {sys.stdout.encoding}, {os.environ.get('TERM', '')}".rstrip(", ")
    return Finding("terminal", Tell(told), columns >= 80 and rows >= 24)
