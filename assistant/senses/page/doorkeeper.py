"""Who gets in: only who was given an address, and asks from the page itself; whoever else comes gets an empty answer.

There is no cookie, which a browser would give to every port of this machine.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from starlette.websockets import WebSocketClose

from assistant.senses.page.door import OPEN, SECURE, Door
from assistant.senses.page.keys import Key, Keys

OURS_ONLY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
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
SCHEMES: Mapping[str, str] = {"http": OPEN, "ws": OPEN, "https": SECURE, "wss": SECURE}


@dataclass(frozen=True, slots=True)
class Guest:
    """Somebody who was let in: through which door, with which key, and the two keys it is one of."""

    door: Door
    key: Key
    keys: Keys


def guest_of(scope: Scope) -> Guest:
    """Who asks, once the doorkeeper has let them in."""
    guest: Guest = scope["guest"]
    return guest


class Doorkeeper:
    """Stands before an application: lets in who brings a key, and asks by a name of the page's own."""

    def __init__(self, app: ASGIApp, doors: Sequence[Door]) -> None:
        self._app, self._doors = app, {door.scheme: door for door in doors}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        guest = self._known(scope)
        if scope["type"] == "websocket":
            known = guest and "origin" in Headers(scope=scope)
            await (self._app if known else WebSocketClose())(within(scope, guest), receive, send)
            return
        known = guest and scope["method"] in ("GET", "HEAD")
        answer = _answer(scope, self._app) if known else Response(status_code=404)
        await answer(within(scope, guest), receive, with_headers(send))

    def _known(self, scope: Scope) -> Guest | None:
        """Who asks by one of the page's own names, from no foreign page, and with a key."""
        headers, door = Headers(scope=scope), self._doors.get(SCHEMES[scope["scheme"]])
        host, origin = headers.get("host", ""), headers.get("origin")
        if door is None or host not in door.hosts or origin not in (None, f"{door.scheme}://{host}"):
            return None
        fitting = door.fitting(_first(scope))
        return Guest(door, *fitting) if fitting else None


def _answer(scope: Scope, app: ASGIApp) -> ASGIApp:
    """The application; an address copied without its last slash is given it."""
    return RedirectResponse(f"{scope['path']}/", 303) if scope["path"] == f"/{_first(scope)}" else app


def _first(scope: Scope) -> str:
    """Of the path, up to the second slash."""
    return str(scope["path"]).removeprefix("/").partition("/")[0]


def within(scope: Scope, guest: Guest | None) -> Scope:
    """The same, asked for without the key: /KEY/page.css as /page.css."""
    path = str(scope["path"]).removeprefix("/").removeprefix(_first(scope))
    return {**scope, "path": path, "root_path": "", "guest": guest}


def with_headers(send: Send) -> Send:
    """Every answer bears the same cautions."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message).update(HEADERS)
        await send(message)

    return sending
