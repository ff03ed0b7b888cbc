"""Who gets in: only a browser that was given the address, from the page itself. All others get an empty answer."""

from secrets import compare_digest

from starlette.datastructures import Headers, MutableHeaders, QueryParams
from starlette.requests import cookie_parser
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from starlette.websockets import WebSocketClose

from assistant.senses.page.door import Door

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


class Guard:
    """Stands before an application."""

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
