"""The pedal and the keypad the weaver taught, each kept as YAML in the user's configuration folder."""

from dataclasses import dataclass
from pathlib import Path

import yaml

from assistant import folders
from assistant.entries import WithoutAnchors, read_entries
from assistant.errors import SettingsError, refusal
from assistant.files import write_whole
from assistant.senses.pedal import PedalSource
from assistant.senses.pedal.gestures import Role

MOST_BYTES = 100_000


@dataclass(frozen=True, slots=True)
class Pedal:
    """Which keys of which device are switches, and what for; or a numeric keypad, which has none."""

    source: PedalSource
    device: str  # a path in /dev/input/by-id, or vendor:product:name; "" in a terminal
    switches: dict[str, Role]  # by the key's name, as the source names it
    keypad: bool = False


def settings_file() -> Path:
    """Where the pedal is kept."""
    return folders.settings() / "pedal.yaml"


def keypad_file() -> Path:
    """Where a numeric keypad is kept that is read from its own device."""
    return folders.settings() / "keypad.yaml"


def save_pedal(pedal: Pedal, file: Path | None = None) -> Path:
    """Keep the pedal; whoever reads meanwhile finds the old one or the new one, whole. Returns the file.

    Raises SettingsError where it cannot be written.
    """
    file = file or (keypad_file() if pedal.keypad else settings_file())
    switches = {key: role.value for key, role in pedal.switches.items()}
    keys = {"keypad": True} if pedal.keypad else {"switches": switches}
    text = yaml.safe_dump({"source": pedal.source.value, "device": pedal.device, **keys}, sort_keys=False)
    try:
        folders.own(file.parent)
        write_whole(file, text.encode(), private=True)
    except OSError as error:
        raise SettingsError("the pedal cannot be kept in {file}: {why}", file=file, why=refusal(error)) from error
    return file


def load_pedal(file: Path | None = None) -> Pedal | None:
    """The pedal that was taught, or None where none was. Raises SettingsError where the file cannot be used."""
    file = file or settings_file()
    try:
        entries = read_entries(file, MOST_BYTES, WithoutAnchors)
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        raise SettingsError("{file} cannot be read; teach the pedal with: heddlecall pedal", file=file) from error
    return _pedal(entries, file)


def _pedal(entries: object, file: Path) -> Pedal:
    match entries:
        case {"source": PedalSource.EVDEV, "device": str(device), "keypad": True}:
            return Pedal(PedalSource.EVDEV, device, {}, keypad=True)
        case {
            "source": PedalSource.EVDEV | PedalSource.TERMINAL as source,
            "device": str(device),
            "switches": dict(switches),
        } if switches:
            pass
        case _:
            raise SettingsError("{file} does not describe a pedal; teach the pedal with: heddlecall pedal", file=file)
    unknown = sorted({str(role) for role in switches.values()} - set(Role))
    if unknown:
        raise SettingsError(
            "{file}: no switch can be {roles}; there are: {known}; teach the pedal with: heddlecall pedal",
            file=file,
            roles=", ".join(unknown),
            known=", ".join(Role),
        )
    return Pedal(PedalSource(source), device, {str(key): Role(role) for key, role in switches.items()})
