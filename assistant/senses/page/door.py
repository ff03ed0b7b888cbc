"""Where the page can be reached, and who gets in: only a browser that was given the address, from the page itself.

An address holds a secret that nobody can guess; whoever comes without one gets an empty answer.
"""

import json
import secrets
import socket
import sys
from dataclasses import dataclass
from pathlib import Path
from secrets import compare_digest

from starlette.datastructures import Headers, MutableHeaders, QueryParams
from starlette.requests import cookie_parser
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from starlette.websockets import WebSocketClose

from assistant.errors import DeviceMissing, refusal
from assistant.files import write_whole
from assistant.folders import data

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
}


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
        raise DeviceMissing(
            "the page cannot be shared at {host}: {why}; try again, or --page",
            host=host,
            why=refusal(error),
        ) from error
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
        raise DeviceMissing(
            "the page's address cannot be kept in {file}: {why}",
            file=file,
            why=refusal(error),
        ) from error


class Doorkeeper:
    """Stands before an application: lets in who brings the key or the cookie, and asks by a name of the page's own."""

    def __init__(self, app: ASGIApp, door: Door) -> None:
        self._app, self._door = app, door
        self._cookie = f"heddlecall-{door.port}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        headers = Headers(scope=scope)
        if scope["type"] == "websocket":
            known = self._from_here(headers) and "origin" in headers and self._has_cookie(headers)
            await (self._app if known else WebSocketClose())(scope, receive, send)
            return
        await self._answer(scope, headers)(scope, receive, with_headers(send))

    def _answer(self, scope: Scope, headers: Headers) -> ASGIApp:
        if not self._from_here(headers) or scope["method"] not in ("GET", "HEAD"):
            return Response(status_code=404)
        if scope["path"] == "/" and self._has_key(scope):
            return self._let_in()
        return self._app if self._has_cookie(headers) else Response(status_code=404)

    def _from_here(self, headers: Headers) -> bool:
        """Asked for by one of its own names, and by no foreign page."""
        host, origin = headers.get("host", ""), headers.get("origin")
        return host in self._door.hosts and origin in (None, f"http://{host}")

    def _has_key(self, scope: Scope) -> bool:
        return _same(QueryParams(scope["query_string"]).get("key", ""), self._door.key)

    def _has_cookie(self, headers: Headers) -> bool:
        return _same(cookie_parser(headers.get("cookie", "")).get(self._cookie, ""), self._door.cookie)

    def _let_in(self) -> Response:
        """The key is left out of the address from here on."""
        response = Response(status_code=303, headers={"location": "/"})
        response.set_cookie(self._cookie, self._door.cookie, httponly=True, samesite="strict")
        return response


def _same(text: str, secret: str) -> bool:
    return compare_digest(text.encode(errors="replace"), secret.encode())


def with_headers(send: Send) -> Send:
    """Every answer bears the same cautions."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message).update(HEADERS)
        await send(message)

    return sending
