"""The server of the page, in a thread of its own: whatever happens in it, the session goes on."""

import asyncio
import logging
import socket
import threading
from asyncio.sslproto import SSLProtocol
from collections.abc import Awaitable, Callable, Coroutine, Mapping, Sequence
from concurrent.futures import CancelledError, TimeoutError
from contextlib import suppress
from importlib.resources import files
from ssl import SSLContext
from typing import Any

import h11
import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route, WebSocketRoute
from starlette.types import ASGIApp
from starlette.websockets import WebSocket
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.protocols.websockets.websockets_sansio_impl import WebSocketsSansIOProtocol
from websockets.exceptions import InvalidState

from assistant.senses.page.allowance import Allowance
from assistant.senses.page.client import LONGEST_MESSAGE
from assistant.senses.page.door import Listening
from assistant.senses.page.doorkeeper import Guest, guest_of

KINDS = {
    "html": "text/html",
    "css": "text/css",
    "js": "text/javascript",
    "svg": "image/svg+xml",
    "png": "image/png",
    "webmanifest": "application/manifest+json",
    "crt": "application/x-x509-ca-cert",
}
INDEX = "index.html"
MOST_GREETED = 32  # connections about to be encrypted; with one more, the oldest goes
GREETING_S, PARTING_S = 5.0, 1.0  # for that, and for its end
RECORD = 16_384  # bytes, at most, that are decrypted at once: RFC 8446, 5.1
MOST_WAITING = 64  # connections that are no web socket; with one more, the oldest goes
LARGEST_REQUEST = 8192  # bytes of its head
CALLERS = (64, 32)  # connections taken at once, and a second after that; a page opens a dozen
BYTES = (4096, 2048)  # through a web socket; ten touches a second are 400
BYTES_LET = "allowance"  # where a web socket has its allowance
REFUSED_S = 0.1  # after which a connection that could not be taken is tried again
PING_S = 5.0
CLOSE_S = 3.0


SSLProtocol.max_size = RECORD  # set aside for each caller; by itself it is sixteen times as much


class Brief(H11Protocol):
    """Connections that do not say what they want do not keep others out."""

    def __init__(self, waiting: dict["Brief", None], **kept: Any) -> None:
        """`waiting` are all such connections, the oldest first."""
        super().__init__(**kept)
        self._waiting = waiting

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._waiting[self] = None
        if len(self._waiting) > MOST_WAITING:
            oldest = next(iter(self._waiting))
            del self._waiting[oldest]
            oldest.transport.abort()

    def connection_lost(self, exc: Exception | None) -> None:
        self._waiting.pop(self, None)
        super().connection_lost(exc)

    def handle_websocket_upgrade(self, event: h11.Request) -> None:
        self._waiting.pop(self, None)
        super().handle_websocket_upgrade(event)


class Paced(WebSocketsSansIOProtocol):
    """A web socket through which more comes than hand and foot can send is cut off, before any of it is read."""

    def __init__(self, **kept: Any) -> None:
        super().__init__(**kept)
        self._bytes = Allowance(*BYTES)

    async def run_asgi(self) -> None:
        self.scope["state"][BYTES_LET] = self._bytes  # so that more may be let through
        await super().run_asgi()

    def data_received(self, data: bytes) -> None:
        if self.handshake_initiated and self._bytes.spend(len(data)):
            self.transport.abort()
        else:
            super().data_received(data)

    def shutdown(self) -> None:
        """Say that the sitting is over, unless the browser is leaving at this moment."""
        try:
            super().shutdown()
        except InvalidState:
            self.transport.close()


Made = Callable[[Guest], bytes]  # what is made for whoever asks; nothing where it is not for them


def pages(attend: Callable[[WebSocket], Awaitable[None]], made: Mapping[str, Made]) -> Starlette:
    """The few files there are, read beforehand or `made` when they are asked for, and the web socket."""
    static = files("assistant.senses.page") / "static"
    kept = {item.name: item.read_bytes() for item in static.iterdir() if item.name not in made}
    given: Mapping[str, Made] = {**{name: _always(content) for name, content in kept.items()}, **made}
    routes = [_file("/" if name == INDEX else f"/{name}", give, name) for name, give in given.items()]
    app = Starlette(routes=[*routes, WebSocketRoute("/live", attend)])
    app.router.redirect_slashes = False
    return app


def layout() -> str:
    """The page, before its texts are filled in."""
    return (files("assistant.senses.page") / "static" / INDEX).read_text(encoding="utf-8")


def _always(content: bytes) -> Made:
    return lambda _: content


def _file(path: str, give: Made, name: str) -> Route:
    async def answer(request: Request) -> Response:
        content = give(guest_of(request.scope))
        return Response(content, 200 if content else 404, media_type=KINDS[name.rpartition(".")[2]])

    return Route(path, answer, methods=["GET"])


class Untimed(uvicorn.Server):
    """Serves until it is told to leave, and does not look ten times a second whether it was."""

    def __init__(self, config: uvicorn.Config) -> None:
        super().__init__(config)
        self._left = asyncio.Event()

    async def main_loop(self) -> None:
        await self.on_tick(0)
        await self._left.wait()

    def leave(self) -> None:
        """Stop serving; in its own thread."""
        self.should_exit = True
        self._left.set()


class Server:
    """Runs an application on sockets that listen already; takes callers no faster than is good."""

    def __init__(self, app: ASGIApp, listening: Sequence[Listening]) -> None:
        self._listening = listening
        self._config = uvicorn.Config(
            app,
            loop="asyncio",
            ws=Paced,
            lifespan="off",
            log_config=None,
            log_level=logging.CRITICAL + 1,
            access_log=False,
            proxy_headers=False,
            server_header=False,
            date_header=False,
            timeout_graceful_shutdown=1,
            h11_max_incomplete_event_size=LARGEST_REQUEST,
            ws_max_size=4 * LONGEST_MESSAGE,
            ws_ping_interval=PING_S,
            ws_ping_timeout=PING_S,
            ws_per_message_deflate=False,
        )
        self._server = Untimed(self._config)
        self._callers, self._waiting = Allowance(*CALLERS), dict[Brief, None]()
        self._greeted = dict[asyncio.Task[None], None]()  # those about to be encrypted, the oldest first
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._run, name="page", daemon=True)

    def start(self) -> None:
        """Begin to serve."""
        self._thread.start()

    def soon(self, act: Callable[[], None]) -> None:
        """Do something in the thread of the server, at once if it can be; never waits for it."""
        if not self._loop.is_closed():
            self._loop.call_soon_threadsafe(act)

    def complete(self, what: Callable[[], Coroutine[Any, Any, None]], within_s: float) -> None:
        """Do something in the thread of the server and wait until it is done, but no longer than that."""
        if self._thread.is_alive():
            with suppress(TimeoutError, CancelledError):
                asyncio.run_coroutine_threadsafe(what(), self._loop).result(within_s)

    def close(self) -> None:
        """Stop serving, within a few seconds."""
        self.soon(self._server.leave)
        self._thread.join(CLOSE_S)

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        self._config.load()
        tasks = [self._loop.create_task(self._accept(each)) for each in self._listening]
        self._loop.run_until_complete(self._server.serve([]))
        tasks += self._greeted
        for task in tasks:
            task.cancel()
        self._loop.run_until_complete(asyncio.gather(*tasks, return_exceptions=True))

    async def _accept(self, listening: Listening) -> None:
        while True:
            while wait := self._callers.spend():
                await asyncio.sleep(wait)
            try:
                caller, _ = await self._loop.sock_accept(listening.socket)
                if listening.context:
                    self._greet(caller, listening.context)
                else:
                    await self._loop.connect_accepted_socket(self._brief, caller)
            except OSError:  # gone again already, or too many are open
                await asyncio.sleep(REFUSED_S)

    def _greet(self, caller: socket.socket, context: SSLContext) -> None:
        """Agree with a caller on how to encrypt, while others are taken."""

        async def agree() -> None:
            with suppress(OSError):
                await self._loop.connect_accepted_socket(
                    self._brief,
                    caller,
                    ssl=context,
                    ssl_handshake_timeout=GREETING_S,
                    ssl_shutdown_timeout=PARTING_S,
                )

        task = self._loop.create_task(agree())
        self._greeted[task] = None
        task.add_done_callback(lambda done: self._greeted.pop(done, None))
        if len(self._greeted) > MOST_GREETED:
            oldest = next(iter(self._greeted))
            del self._greeted[oldest]
            oldest.cancel()

    def _brief(self) -> Brief:
        return Brief(self._waiting, config=self._config, server_state=self._server.server_state, app_state={})
