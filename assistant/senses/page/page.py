"""The page: shows the session to every browser that was let in, and takes what is touched there."""

import asyncio
import io
import json
from collections.abc import Callable, Mapping
from contextlib import suppress
from functools import partial

import segno
from starlette.websockets import WebSocket, WebSocketDisconnect

from assistant.clock import Clock
from assistant.output import legible, put, show
from assistant.senses.page import state
from assistant.senses.page.allowance import Allowance
from assistant.senses.page.client import Answering, Client, Uncounted
from assistant.senses.page.door import Doorkeeper, open_here, open_to_the_network
from assistant.senses.page.server import Server, pages
from assistant.senses.pedal.gestures import Role
from assistant.senses.pedal.keys import BY_KEY
from assistant.senses.screen.typed import typed_lines
from assistant.senses.screen.words import ScreenWords
from assistant.session.events import Event
from assistant.session.view import Status, View
from assistant.words.language import Language

MOST_CLIENTS = 16
TOUCHES = (20, 10)  # of all browsers, at once, and a second after that
JOINING = (MOST_CLIENTS, 4)  # browsers, likewise
STALLED_S = 5.0  # a browser that takes no more for so long is dropped
LAST_S = 1.0  # at the end, for the last state to reach the browsers
HEARTBEAT_S = 2.0  # a message with the time alone, from which a page sees that it is still connected
BAD_MESSAGE, TOO_MANY = 1008, 1013


Pieces = Mapping[str, Mapping[str, object]]  # what browsers are told, in pieces that change apart from each other


class Page:
    """A display. `show` only lays the state down; the server's own thread brings it to the browsers."""

    def __init__(self, language: Language, share: bool = False) -> None:
        """Serves from now on. Raises DeviceMissing where that cannot be."""
        self.words = ScreenWords(language)
        self.door, sockets = open_to_the_network() if share else open_here()
        self._latest: tuple[View, Status] | None = None  # written by whoever shows, only read by the server's thread
        self._seen: tuple[View, Status] | None = None
        self._shown: Pieces = {}
        self._clients: set[Client] = set()
        self._answering: Answering | None = None
        self._answered = -1  # the step that was given on last
        self._touches, self._joining = Allowance(*TOUCHES), Allowance(*JOINING)
        self._clock = Clock()
        self._switches: Mapping[str, Role] = {}
        self._server = Server(
            Doorkeeper(
                pages(self._attend, partial(state.filled, words=self.words, sitting=self.door.sitting)), self.door
            ),
            sockets,
        )
        self._server.start()

    def start(self, answering: Answering, switches: Mapping[str, Role], clock: Clock | None = None) -> None:
        """Give on what is done on the page, dated by this clock; these keys are switches of a pedal."""
        self._switches, self._clock = switches, clock or self._clock
        self._answering = answering

    def show(self, view: View, status: Status) -> None:
        """Show the session as it stands now; where several come at once, the last."""
        self._latest = view, status
        self._server.soon(self._look)

    def close(self) -> None:
        """Stop serving, once every browser that takes it has the last state."""
        self._server.complete(self._all_told, LAST_S)
        self._server.close()

    def _look(self) -> None:
        latest = self._latest
        if latest is None or latest is self._seen:
            return
        self._seen = view, status = latest
        keys = {key: kind.value for key, kind in BY_KEY.items()}
        now = {**state.now(self.words, view, status), "keys": keys, "switches": list(self._switches)}
        self._shown = {"hangs": state.hangs(view), "warp": state.warp(self.words, view), "now": now}
        for client in self._clients:
            client.see(view)

    async def _all_told(self) -> None:
        while any(client.told is not self._shown for client in self._clients):
            await asyncio.sleep(0.01)

    async def _attend(self, socket: WebSocket) -> None:
        if len(self._clients) >= MOST_CLIENTS or self._answering is None or self._joining.spend():
            await socket.close(TOO_MANY)
            return
        await socket.accept()
        client = Client(self._give_on, self._switches, self._server.soon, self._clock)
        self._clients.add(client)
        if self._seen:
            client.see(self._seen[0])
        sending = asyncio.create_task(self._send(socket, client))
        receiving = asyncio.create_task(_receive(socket, client))
        try:
            await asyncio.wait((sending, receiving), return_when=asyncio.FIRST_COMPLETED)
        finally:
            self._clients.discard(client)
            client.close()
            for task in (sending, receiving):
                task.cancel()
                with suppress(asyncio.CancelledError, WebSocketDisconnect, TimeoutError, RuntimeError):
                    await task
        with suppress(RuntimeError, WebSocketDisconnect, TimeoutError):  # it may be gone already
            async with asyncio.timeout(STALLED_S):
                await socket.close(BAD_MESSAGE)

    def _give_on(self, step: int, event: Event, finger: bool, refused: Callable[[Uncounted], None]) -> None:
        """Each step is answered once; what comes too late, or sooner than hands are, never waits before a key."""
        if self._answering and self._answering.bounced(event, finger):
            refused(Uncounted.TWICE)
        elif (
            self._answering
            and self._latest
            and self._answered < step == self._latest[0].step
            and not self._touches.spend()
        ):
            self._answered = step
            self._answering.answer(step, event, finger, lambda: refused(Uncounted.LATE))
        else:
            refused(Uncounted.LATE)

    async def _send(self, socket: WebSocket, client: Client) -> None:
        """What changed, as soon as it does; a heartbeat where nothing does."""
        sent: Pieces = {}
        await _tell(socket, _json({"at": client.at, "sitting": self.door.sitting}))
        while True:
            client.news.clear()
            shown, why = self._shown, client.uncounted()
            await _tell(socket, _json({"at": client.at, **changed(sent, shown), **({"uncounted": why} if why else {})}))
            client.told = sent = shown
            with suppress(TimeoutError):
                async with asyncio.timeout(HEARTBEAT_S):
                    await client.news.wait()


def changed(before: Mapping[str, object], after: Mapping[str, object]) -> dict[str, object]:
    """What of a mapping is not as before, down through the mappings within it."""
    told: dict[str, object] = {}
    for key, value in after.items():
        was = before.get(key)
        if value == was and key in before:
            continue
        told[key] = (
            changed(was, value)
            if isinstance(was, Mapping) and isinstance(value, Mapping) and was.keys() == value.keys()
            else value
        )
    return told


async def _tell(socket: WebSocket, text: str) -> None:
    """Raises TimeoutError where the browser takes nothing."""
    async with asyncio.timeout(STALLED_S):
        await socket.send_text(text)


async def _receive(socket: WebSocket, client: Client) -> None:
    """Until the browser leaves, or sends what no page of ours would."""
    while (message := await socket.receive())["type"] == "websocket.receive":
        if not client.take(message.get("text") or ""):
            return


def _json(value: Mapping[str, object]) -> str:
    return json.dumps(_legible(value), ensure_ascii=False, separators=(",", ":"))


def _legible(value: object) -> object:
    """The same with every text legible."""
    match value:
        case str():
            return legible(value)
        case Mapping():
            return {key: _legible(each) for key, each in value.items()}
        case list():
            return [_legible(each) for each in value]
    return value


def open_page(language: Language, share: bool, wait: bool) -> Page:
    """A page, its address printed; `wait` until the weaver has read it, where a board will cover it."""
    page = Page(language, share)
    show(invitation(page.words, page.door.address, share))
    if wait:
        put(page.words.text("press enter"))
        next(typed_lines(), "")
    return page


def invitation(words: ScreenWords, address: str, share: bool) -> list[str]:
    """How the page is announced in the terminal: its address, and, where it is shared, a code to be photographed."""
    told = words.text("address", address=address)
    if not share:
        return [told]
    drawn = io.StringIO()
    segno.make(address, error="l", micro=False).terminal(drawn, compact=True, border=2)
    return [*drawn.getvalue().splitlines(), told, words.text("whoever")]
