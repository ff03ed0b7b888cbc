"""Where the page can be reached, and with what: its addresses, and two secrets that nobody can guess."""

import json
import secrets
import socket
import sys
from dataclasses import dataclass
from pathlib import Path

from assistant.errors import DeviceMissing
from assistant.files import write_whole
from assistant.folders import data

HERE = "127.0.0.1"
SECRET_BYTES = 32
ELSEWHERE = ("10.254.254.254", 9)  # any address beyond the local network: nothing is sent there


@dataclass(frozen=True, slots=True)
class Door:
    """The page's place in the network. The key is in the address; whoever brings it gets the cookie instead."""

    host: str
    port: int
    key: str
    cookie: str

    @property
    def address(self) -> str:
        """What to open in a browser."""
        return f"http://{self.host}:{self.port}/?key={self.key}"

    @property
    def hosts(self) -> frozenset[str]:
        """The names by which it may be asked for."""
        return frozenset(f"{name}:{self.port}" for name in (self.host, HERE, "localhost"))


def new_door(host: str, port: int) -> Door:
    """One with secrets of its own."""
    return Door(host, port, secrets.token_urlsafe(SECRET_BYTES), secrets.token_urlsafe(SECRET_BYTES))


def open_here(file: Path | None = None) -> tuple[Door, list[socket.socket]]:
    """On this machine only, at the same address as before, so that a page left open finds the next sitting."""
    file = file or data() / "page.json"
    kept = _kept(file)
    if kept:
        try:
            return kept, [_listening(HERE, kept.port)]
        except OSError:  # another sitting has it, or another program
            listening = _listening(HERE, 0)
            return new_door(HERE, listening.getsockname()[1]), [listening]
    listening = _listening(HERE, 0)
    door = new_door(HERE, listening.getsockname()[1])
    _keep(door, file)
    return door, [listening]


def open_to_the_network() -> tuple[Door, list[socket.socket]]:
    """To the local network too, at an address that is good for this sitting only. Raises DeviceMissing without one."""
    host = own_address()
    try:
        shared = _listening(host, 0)
        port = shared.getsockname()[1]
        listening = [shared] if host == HERE else [shared, _listening(HERE, port)]
    except OSError as error:
        raise DeviceMissing(f"the page cannot be shared at {host}: {error.strerror}; try again, or --page") from error
    return new_door(host, port), listening


def own_address() -> str:
    """This machine's address in the local network. Raises DeviceMissing where there is none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(ELSEWHERE)
            return str(asking.getsockname()[0])
        except OSError as error:
            raise DeviceMissing("no local network was found; connect to it, or use --page instead") from error


def _listening(host: str, port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if sys.platform != "win32":  # there it would let two programs listen at one port
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((host, port))
        listening.listen(128)
    except OSError:
        listening.close()
        raise
    return listening


def _kept(file: Path) -> Door | None:
    try:
        match json.loads(file.read_text(encoding="utf-8")):
            case {"port": int(port), "key": str(key), "cookie": str(cookie)} if 0 < port < 65536 and all(
                _is_secret(secret) for secret in (key, cookie)
            ):
                return Door(HERE, port, key, cookie)
    except (OSError, ValueError):
        pass
    return None


def _is_secret(text: str) -> bool:
    return len(text) == len(secrets.token_urlsafe(SECRET_BYTES)) and text.isascii()


def _keep(door: Door, file: Path) -> None:
    """For this user's eyes only."""
    kept = json.dumps({"port": door.port, "key": door.key, "cookie": door.cookie})
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        write_whole(file, kept.encode(), private=True)
    except OSError as error:
        raise DeviceMissing(f"the page's address cannot be kept in {file}: {error.strerror}") from error
