"""Where the page can be reached, and who gets in: only who was given the address, and asks from the page itself.

An address holds a key that nobody can guess and that is good for one sitting; whoever comes without it gets an empty
answer. There is no cookie, which a browser would give to every port of this machine.
"""

import secrets
import socket
import sys
from dataclasses import dataclass, field
from secrets import compare_digest

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from starlette.websockets import WebSocketClose

from assistant.errors import DeviceMissing, refusal

HERE = "127.0.0.1"
SECRET_BYTES = 32
ELSEWHERE = ("10.254.254.254", 9)  # any address beyond the local network: nothing is sent there
OURS_ONLY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": OURS_ONLY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
    "connection": "close",  # so that whoever asks much has to come anew each time
}


def _secret() -> str:
    return secrets.token_urlsafe(SECRET_BYTES)


@dataclass(frozen=True, slots=True)
class Door:
    """The page's place in the network for one sitting. The browser brings the key; the page is told the sitting."""

    host: str
    port: int
    key: str = field(default_factory=_secret, repr=False)
    sitting: str = field(default_factory=_secret, repr=False)  # which a server that takes its port later does not know

    @property
    def address(self) -> str:
        """What to open in a browser."""
        return f"http://{self.host}:{self.port}/{self.key}/"

    @property
    def hosts(self) -> frozenset[str]:
        """The names by which it may be asked for."""
        return frozenset(f"{name}:{self.port}" for name in (self.host, HERE, "localhost"))


def open_here() -> tuple[Door, list[socket.socket]]:
    """On this machine only."""
    listening = _listening(HERE, 0)
    return Door(HERE, listening.getsockname()[1]), [listening]


def open_to_the_network() -> tuple[Door, list[socket.socket]]:
    """To the local network too. Raises DeviceMissing without one."""
    host = own_address()
    try:
        shared = _listening(host, 0)
        port = shared.getsockname()[1]
        listening = [shared] if host == HERE else [shared, _listening(HERE, port)]
    except OSError as error:
        raise DeviceMissing(
            "the page cannot be shared at {host}: {why}; try again, or --page",
            host=host,
            why=refusal(error),
        ) from error
    return Door(host, port), listening


def own_address() -> str:
    """This machine's address in the local network. Raises DeviceMissing where there is none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(ELSEWHERE)
            return str(asking.getsockname()[0])
        except OSError as error:
            raise DeviceMissing("no local network was found; connect to it, or use --page instead") from error


def _listening(host: str, port: int) -> socket.socket:
    """Port 0 is one that nobody has."""
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if sys.platform == "win32":  # where another program could take it over
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        listening.bind((host, port))
        listening.listen(128)
        listening.setblocking(False)
    except OSError:
        listening.close()
        raise
    return listening


class Doorkeeper:
    """Stands before an application: lets in who brings the key, and asks by a name of the page's own."""

    def __init__(self, app: ASGIApp, door: Door) -> None:
        self._app, self._door = app, door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        headers = Headers(scope=scope)
        if scope["type"] == "websocket":
            known = "origin" in headers and self._from_here(headers) and self._has_key(scope)
            await (self._app if known else WebSocketClose())(within(scope), receive, send)
            return
        known = scope["method"] in ("GET", "HEAD") and self._from_here(headers) and self._has_key(scope)
        await (self._answer(scope) if known else Response(status_code=404))(within(scope), receive, with_headers(send))

    def _answer(self, scope: Scope) -> ASGIApp:
        """The application; an address copied without its last slash is given it."""
        root = f"/{self._door.key}"
        return RedirectResponse(f"{root}/", 303) if scope["path"] == root else self._app

    def _from_here(self, headers: Headers) -> bool:
        """Asked for by one of its own names, and by no foreign page."""
        host, origin = headers.get("host", ""), headers.get("origin")
        return host in self._door.hosts and origin in (None, f"http://{host}")

    def _has_key(self, scope: Scope) -> bool:
        return compare_digest(_first(scope).encode(errors="replace"), self._door.key.encode())


def _first(scope: Scope) -> str:
    """Of the path, up to the second slash."""
    return str(scope["path"]).removeprefix("/").partition("/")[0]


def within(scope: Scope) -> Scope:
    """The same, asked for without the key: /KEY/page.css as /page.css."""
    return {**scope, "path": str(scope["path"]).removeprefix("/").removeprefix(_first(scope)), "root_path": ""}


def with_headers(send: Send) -> Send:
    """Every answer bears the same cautions."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message).update(HEADERS)
        await send(message)

    return sending
