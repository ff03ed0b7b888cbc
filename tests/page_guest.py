"""A sitting with its page, and a guest at it, in a network that has no more than loopback: page_guest.py WARP."""

import sys
import time
from array import array
from contextlib import suppress
from fcntl import ioctl
from pathlib import Path
from socket import AF_INET, SOCK_DGRAM, socket
from struct import pack
from urllib.parse import urlsplit
from urllib.request import urlopen

from at_the_page import Sitting
from websockets.exceptions import InvalidStatus
from websockets.sync.client import ClientConnection, connect
from websockets.typing import Origin

from assistant.folders import data

SIOCSIFFLAGS, IFF_UP = 0x8914, 1  # of Linux, netdevice(7)


def raise_loopback() -> None:
    """Where this process may; elsewhere it is up."""
    with socket(AF_INET, SOCK_DGRAM) as asking, suppress(PermissionError):
        ioctl(asking, SIOCSIFFLAGS, array("b", pack("16sh14x", b"lo", IFF_UP)))


def joined(address: str, origin: str) -> ClientConnection:
    """The session at the page; before it has begun it takes nobody, and a page tries again."""
    end = time.monotonic() + 20
    while True:
        try:
            return connect(address, origin=Origin(origin))
        except InvalidStatus:
            if time.monotonic() > end:
                raise
            time.sleep(0.25)


def main() -> None:
    raise_loopback()
    sitting = Sitting(Path(sys.argv[1]), data())
    try:
        at = urlsplit(sitting.address)
        with urlopen(sitting.address, timeout=20) as front:
            front.read()
        with joined(f"ws://{at.netloc}{at.path}live", f"http://{at.netloc}") as page:
            print(page.recv(timeout=20), page.recv(timeout=20))
        print(sitting.leave())
    finally:
        sitting.kill()


if __name__ == "__main__":
    main()
