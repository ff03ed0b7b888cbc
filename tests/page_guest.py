"""A sitting with its page, and a guest at it, in a network that has no more than loopback: page_guest.py WARP."""

import sys
from array import array
from contextlib import suppress
from fcntl import ioctl
from pathlib import Path
from socket import AF_INET, SOCK_DGRAM, socket
from struct import pack
from urllib.parse import urlsplit
from urllib.request import urlopen

from at_the_page import Sitting
from websockets.sync.client import connect
from websockets.typing import Origin

from assistant.folders import data

SIOCSIFFLAGS, IFF_UP = 0x8914, 1  # of Linux, netdevice(7)


def raise_loopback() -> None:
    """Where this process may; elsewhere it is up."""
    with socket(AF_INET, SOCK_DGRAM) as asking, suppress(PermissionError):
        ioctl(asking, SIOCSIFFLAGS, array("b", pack("16sh14x", b"lo", IFF_UP)))


def main() -> None:
    raise_loopback()
    sitting = Sitting(Path(sys.argv[1]), data())
    try:
        at = urlsplit(sitting.address)
        with urlopen(sitting.address, timeout=20) as front:
            front.read()
        with connect(f"ws://{at.netloc}{at.path}live", origin=Origin(f"http://{at.netloc}")) as page:
            print(page.recv(timeout=20), page.recv(timeout=20))
        print(sitting.leave())
    finally:
        sitting.kill()


if __name__ == "__main__":
    main()
