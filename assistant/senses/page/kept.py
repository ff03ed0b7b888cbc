"""The address that lasts: a secret and a port, kept from sitting to sitting for each user of this computer."""

import random
import re
from dataclasses import dataclass, field
from pathlib import Path

import yaml

from assistant import folders
from assistant.alone import Alone, this_window
from assistant.entries import WithoutAnchors, read_entries
from assistant.errors import DeviceMissing
from assistant.files import sync_folder, write_whole
from assistant.senses.page.keys import SECRET_BYTES, new_secret

FOLDER, ADDRESS, LOCK = "share", "address.yaml", "address.lock"
MOST_BYTES = 1000
PORTS = range(20_000, 32_000)  # which no system gives to programs that ask for any
HEX = re.compile(rf"[0-9a-f]{{{2 * SECRET_BYTES}}}")


@dataclass(frozen=True, slots=True)
class Kept:
    """What the address is made of."""

    secret: bytes = field(repr=False)
    port: int


def folder() -> Path:
    """Where all of it lies, for this user's eyes only. Raises FolderError, OSError."""
    return folders.own(folders.data() / FOLDER)


def held() -> Alone:
    """The address, had by one sitting at a time. Raises Taken where another has it, OSError."""
    lock = Alone(folder() / LOCK, this_window())
    lock.take()
    return lock


def kept(anew: bool = False) -> Kept:
    """The address, made where there is none or it is to be another. Raises DeviceMissing, OSError."""
    file = folder() / ADDRESS
    found = None if anew else _read(file)
    return found or _make(file)


def _read(file: Path) -> Kept | None:
    try:
        entries = read_entries(file, MOST_BYTES, WithoutAnchors)
    except FileNotFoundError:
        return None
    except ValueError:
        entries = None
    match entries:
        case {"secret": str(secret), "port": int(port)} if HEX.fullmatch(secret) and port in PORTS:
            return Kept(bytes.fromhex(secret), port)
    raise DeviceMissing("{file} holds no address; make another with --new-address", file=file)


def _make(file: Path) -> Kept:
    made = Kept(new_secret(), random.choice(PORTS))
    text = yaml.safe_dump({"secret": made.secret.hex(), "port": made.port})
    write_whole(file, text.encode(), private=True)
    sync_folder(file.parent)
    return made
