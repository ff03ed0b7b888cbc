"""PortAudio, which mouth and ear both need, loaded on first use."""

from types import ModuleType
from typing import cast

from assistant.errors import DeviceMissing

INSTALL = "install PortAudio (Debian, Ubuntu: sudo apt install libportaudio2; Fedora: sudo dnf install portaudio)"


def load_portaudio(what: str) -> ModuleType:
    """The module sounddevice, for the loudspeaker or the microphone. Raises DeviceMissing without PortAudio."""
    try:
        import sounddevice
    except OSError as error:
        raise DeviceMissing(f"no {what} without PortAudio; {INSTALL}") from error
    return cast(ModuleType, sounddevice)


def first_line(error: Exception) -> str:
    """What an error says, in one line."""
    return str(error).partition("\n")[0]
