"""Where the page can be reached: on this machine alone, or in the local network, there in the open and encrypted.

What goes through the network in the open can be read, so that its keys and its port are a sitting's own. The encrypted
door keeps its own from sitting to sitting: no browser says a key to a server that cannot prove itself by a certificate.
"""

import errno
import socket
import sys
from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from secrets import compare_digest
from typing import TYPE_CHECKING

from assistant.alone import Taken
from assistant.errors import DeviceMissing, FolderError, HeddlecallError, OptionsError, refusal
from assistant.meaning import Tell
from assistant.senses.page import kept
from assistant.senses.page.keys import Key, Keys, new_secret

if TYPE_CHECKING:
    from ssl import SSLContext

HERE = "127.0.0.1"
ELSEWHERE = ("10.254.254.254", 9)  # any address beyond the local network: nothing is sent there
OPEN, SECURE = "http", "https"
PORTS_TRIED = 20


@dataclass(frozen=True, slots=True)
class Door:
    """A place in the network, and the keys that fit, those to be given out first."""

    host: str
    port: int
    keys: tuple[Keys, ...]
    scheme: str = OPEN

    def to(self, key: Key) -> str:
        """What to open in a browser."""
        return f"{self.scheme}://{self.host}:{self.port}/{key.word}/"

    @property
    def address(self) -> str:
        """The first one by which the page is worked."""
        return self.to(self.keys[0].hand)

    @property
    def hosts(self) -> frozenset[str]:
        """The names by which it may be asked for."""
        names = (self.host, HERE, "localhost") if self.scheme == OPEN else (self.host,)
        return frozenset(f"{name}:{self.port}" for name in names)

    @property
    def overheard(self) -> bool:
        """Whether what goes through it can be read in the network."""
        return self.scheme == OPEN and self.host != HERE

    def fitting(self, word: str) -> tuple[Key, Keys] | None:
        """The key that this is, with the two it is one of; each is compared, in constant time."""
        every = [(key, keys) for keys in self.keys for key in (keys.hand, keys.eye)]
        fits = [each for each in every if compare_digest(word.encode(errors="replace"), each[0].word.encode())]
        return fits[0] if fits else None


@dataclass(frozen=True, slots=True)
class Listening:
    """A socket that listens; with a context what comes is encrypted."""

    socket: socket.socket
    context: "SSLContext | None" = None


@dataclass(frozen=True, slots=True)
class Entrance:
    """All there is of doors, and what stays open for as long as they are."""

    door: Door
    listening: tuple[Listening, ...]
    held: ExitStack
    secure: Door | None = None
    lasts: bool = False  # the first keys of the secure one, and its port
    authority: bytes = b""  # what a device may be given to know this machine by
    fingerprint: str = ""
    cautions: tuple[Tell, ...] = ()  # why something is not as it is to be


def open_here() -> Entrance:
    """On this machine only."""
    held = ExitStack()
    listening = held.enter_context(_listening(HERE, 0))
    return Entrance(Door(HERE, _port(listening), (Keys.of(new_secret()),)), (Listening(listening),), held)


def open_to_the_network(anew: bool = False) -> Entrance:
    """To the local network too; `anew` with another address that lasts.

    Raises DeviceMissing without a network, OptionsError where another sitting has the address that is to be another.
    """
    host, keys = own_address(), Keys.of(new_secret())
    with ExitStack() as held:
        try:
            listening = _at_one_port(list(dict.fromkeys([host, HERE])))
        except OSError as error:
            raise DeviceMissing(
                "the page cannot be shared at {host}: {why}; try again, or --page",
                host=host,
                why=refusal(error),
            ) from error
        for each in listening:
            held.enter_context(each)
        opened = Entrance(Door(host, _port(listening[0]), (keys,)), tuple(map(Listening, listening)), held)
        try:
            opened = _secured(opened, anew)
        except (DeviceMissing, FolderError, ImportError, OSError) as error:
            opened = _cautioned(opened, Tell("not secure", why=_why(error)))
        return replace(opened, held=held.pop_all())


def _secured(opened: Entrance, anew: bool) -> Entrance:
    """The same with an encrypted door, to which the keys of this sitting fit too."""
    from assistant.senses.page.authority import certified, download, fingerprint

    host, keys = opened.door.host, opened.door.keys
    context, authority = certified(host, kept.folder())
    try:
        listening, lasting = _lasting(host, opened.held, anew)
        keys = (lasting, *keys)
    except Taken as error:
        if anew:
            raise OptionsError(
                "another sitting goes by the address that is to be another ({window}); leave it, then try again",
                window=error.window,
            ) from error
        opened = _cautioned(opened, Tell("not lasting", why=Tell("another window has the one that lasts")))
    except (DeviceMissing, OSError) as error:
        opened = _cautioned(opened, Tell("not lasting", why=_why(error)))
    if len(keys) == len(opened.door.keys):
        listening = opened.held.enter_context(_listening(host, 0))
    return replace(
        opened,
        listening=(*opened.listening, Listening(listening, context)),
        secure=Door(host, _port(listening), keys, SECURE),
        lasts=len(keys) > len(opened.door.keys),
        authority=download(authority),
        fingerprint=fingerprint(authority),
    )


def _lasting(host: str, held: ExitStack, anew: bool) -> tuple[socket.socket, Keys]:
    """The port that is kept, and the keys. Raises Taken, DeviceMissing, OSError."""
    lock = kept.held()
    held.callback(lock.give_back)
    address = kept.kept(anew)
    return held.enter_context(_listening(host, address.port)), Keys.of(address.secret)


def _why(error: HeddlecallError | ImportError | OSError) -> Tell:
    if isinstance(error, HeddlecallError):
        return error.tell
    if isinstance(error, ImportError):
        return Tell("the package cryptography cannot be used")
    return Tell("another program has its port") if error.errno == errno.EADDRINUSE else refusal(error)


def _cautioned(opened: Entrance, caution: Tell) -> Entrance:
    return replace(opened, cautions=(*opened.cautions, caution))


def own_address() -> str:
    """This machine's address in the local network. Raises DeviceMissing where there is none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(ELSEWHERE)
            return str(asking.getsockname()[0])
        except OSError as error:
            raise DeviceMissing("no local network was found; connect to it, or use --page instead") from error


def _at_one_port(hosts: Sequence[str], tries: int = PORTS_TRIED) -> list[socket.socket]:
    """Listening at each of these addresses, at a port that nobody has at any of them. Raises OSError."""
    with ExitStack() as held:
        listening = [held.enter_context(_listening(hosts[0], 0))]
        try:
            listening += [held.enter_context(_listening(host, _port(listening[0]))) for host in hosts[1:]]
        except OSError as error:
            if tries == 1 or error.errno != errno.EADDRINUSE:
                raise
            return _at_one_port(hosts, tries - 1)
        held.pop_all()
        return listening


def _listening(host: str, port: int) -> socket.socket:
    """Port 0 is one that nobody has."""
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if sys.platform == "win32":  # where another program could take it over
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        elif port:  # which may have been ours a moment ago
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((host, port))
        listening.listen(128)
        listening.setblocking(False)
    except OSError:
        listening.close()
        raise
    return listening


def _port(listening: socket.socket) -> int:
    return int(listening.getsockname()[1])
