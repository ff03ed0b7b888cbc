"""The page: shows the session to every browser that was let in, and takes what is touched there."""

import asyncio
import json
import secrets
from collections.abc import Callable, Coroutine, Mapping
from contextlib import suppress
from shutil import get_terminal_size
from typing import Any

from starlette.websockets import WebSocket, WebSocketDisconnect

from assistant.clock import Clock
from assistant.output import legible, put, show
from assistant.senses.mouth.speaker import Speaker
from assistant.senses.page import state
from assistant.senses.page.allowance import Allowance
from assistant.senses.page.client import Answering, Client, Played, Sense, Uncounted, Wish
from assistant.senses.page.door import open_here, open_to_the_network
from assistant.senses.page.doorkeeper import Doorkeeper, Guest, guest_of
from assistant.senses.page.invited import facts, invitation, made
from assistant.senses.page.keys import Key
from assistant.senses.page.listening import EarByPage, EarElsewhere
from assistant.senses.page.server import BYTES_LET, INDEX, Server, layout, pages
from assistant.senses.page.sounding import Sounding
from assistant.senses.page.standing_in import Became, StandIn
from assistant.senses.pedal.gestures import PRESENTER, Role
from assistant.senses.pedal.keys import BY_KEY
from assistant.senses.screen import INVITE
from assistant.senses.screen.invitation import Invitation
from assistant.senses.screen.typed import typed_lines
from assistant.senses.screen.words import ScreenWords
from assistant.session.events import Event
from assistant.session.view import Status, View
from assistant.words.keypad import GO_ON, PAD, SHIFT
from assistant.words.language import Language

MOST_CLIENTS, MOST_LOOKING = 16, 12  # browsers, and those of them that only look: hands find a place
TOUCHES = (20, 10)  # of all browsers, at once, and a second after that
JOINING = (MOST_CLIENTS, 4)  # browsers, likewise
STALLED_S = 5.0  # a browser that takes no more for so long is dropped
LAST_S = 1.0  # at the end, for the last state to reach the browsers
HEARTBEAT_S = 2.0  # a message with the time alone, from which a page sees that it is still connected
BAD_MESSAGE, TOO_MANY = 1008, 1013


Pieces = Mapping[str, Mapping[str, object]]  # what browsers are told, in pieces that change apart from each other


class Page:
    """A display. `show` only lays the state down; the server's own thread brings it to the browsers."""

    def __init__(self, language: Language, share: bool = False, anew: bool = False) -> None:
        """Serves from now on, `anew` at another address that lasts.

        Raises DeviceMissing where that cannot be, OptionsError where it cannot be another.
        """
        self.words = ScreenWords(language)
        self.entrance = open_to_the_network(anew) if share else open_here()
        self.door, self.secure = self.entrance.door, self.entrance.secure
        self.sitting = secrets.token_urlsafe(8)  # by which a page that was left open sees that it is of another
        self._latest: tuple[View, Status] | None = None  # written by whoever shows, only read by the server's thread
        self._seen: tuple[View, Status] | None = None
        self._shown: Pieces = {}
        self._clients: set[Client] = set()
        self._answering: Answering | None = None
        self._sounding: Sounding | None = None
        self._listening: EarByPage | None = None
        self._answered = -1  # the step that was given on last
        self._touches = Allowance(*TOUCHES)
        self._joining = {looks: Allowance(*JOINING) for looks in (False, True)}
        self._clock = Clock()
        self._switches: Mapping[str, Role] = PRESENTER
        self._taught: Mapping[str, Role] = {}
        page = layout()
        files = {INDEX: lambda guest: state.filled(page, self.words, self._own(guest)).encode(), **made(self.entrance)}
        doors = [self.door, *([self.secure] if self.secure else [])]
        self._server = Server(Doorkeeper(pages(self._attend, files), doors), self.entrance.listening)
        self._server.start()

    @property
    def invitation(self) -> Invitation | None:
        """What is shown again when its key is pressed; none where that key is a switch of a pedal."""
        return None if INVITE in self._taught else invitation(self.words, self.entrance)

    def start(self, answering: Answering, switches: Mapping[str, Role], clock: Clock | None = None) -> None:
        """Give on what is done on the page, dated by this clock; these keys are switches of a pedal."""
        self._taught, self._clock = switches, clock or self._clock
        self._switches = {**PRESENTER, **switches}
        self._answering = answering

    def sound(self, mouth: Speaker, became: Callable[[Became], None]) -> None:
        """Let the mouth sound at any page, from now on; `became` is told of it, and waits for nothing."""
        self._sounding = Sounding(mouth, self._server.soon, became)
        self._server.soon(self._tell_all)

    def listen(self, ear: EarElsewhere, became: Callable[[Became], None]) -> None:
        """Let the ear listen through any page, likewise."""
        self._listening = EarByPage(ear, became)
        self._server.soon(self._tell_all)

    def show(self, view: View, status: Status) -> None:
        """Show the session as it stands now; where several come at once, the last."""
        self._latest = view, status
        self._server.soon(self._look)

    def close(self) -> None:
        """Stop serving, once every browser that takes it has the last state."""
        self._server.complete(self._all_told, LAST_S)
        self._server.close()
        self.entrance.held.close()

    @property
    def _keys(self) -> dict[str, object]:
        """What keys mean, those of a keypad by their places on it, and which of them are switches."""
        return {
            "keys": {key: kind.value for key, kind in BY_KEY.items()},
            "keypad": {key.browser: key.name for key in PAD if key.browser},
            "shift": SHIFT,
            "goesOn": GO_ON,
            "switches": list(self._taught),
            "presenter": [key for key in PRESENTER if key not in self._taught],
        }

    def _own(self, guest: Guest) -> Mapping[str, str]:
        """What the page is given for whoever asks for it."""
        return {"sitting": self.sitting, **facts(self.entrance, guest)}

    def _look(self) -> None:
        latest = self._latest
        if latest is None or latest is self._seen:
            return
        self._seen = view, status = latest
        now = {**state.now(self.words, view, status), **self._keys}
        self._shown = {"hangs": state.hangs(view), "warp": state.warp(self.words, view), "now": now}
        for client in self._clients:
            client.see(view)

    async def _all_told(self) -> None:
        while any(client.told is not self._shown for client in self._clients):
            await asyncio.sleep(0.01)

    async def _attend(self, socket: WebSocket) -> None:
        key = guest_of(socket.scope).key
        if self._answering is None or self._joining[key.looks_only].spend():
            await socket.close(TOO_MANY)
            return
        await socket.accept()
        if self._full(key.looks_only):
            await _turn_away(socket, self._first(key, 0))
            return
        client = Client(
            self._give_on,
            self._switches,
            self._server.soon,
            self._clock,
            key.looks_only,
            lambda told: self._told_of_sound(client, told),
            socket.scope["state"].get(BYTES_LET),
        )
        self._clients.add(client)
        if self._seen:
            client.see(self._seen[0])

        def over() -> None:
            self._clients.discard(client)
            for stand_in in self._stand_ins().values():
                stand_in.leave(client)
            self._tell_all()
            client.close()

        await converse(socket, self._send(socket, client, key), _receive(socket, client), over)

    def _full(self, looks_only: bool) -> bool:
        looking = sum(client.looks_only for client in self._clients)
        return len(self._clients) >= MOST_CLIENTS or (looks_only and looking >= MOST_LOOKING)

    def _first(self, key: Key, at: int) -> dict[str, object]:
        """What a page believes nobody without."""
        return {"at": at, "proof": key.proof, "sitting": self.sitting}

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

    def _stand_ins(self) -> dict[Sense, StandIn]:
        """The senses for which a page may stand in."""
        both = {Sense.SPEAK: self._sounding, Sense.LISTEN: self._listening}
        return {sense: stand_in for sense, stand_in in both.items() if stand_in}

    def _told_of_sound(self, client: Client, told: Wish | Played | bytes) -> bool:
        if isinstance(told, Wish):
            if stand_in := self._stand_ins().get(told.sense):
                stand_in.wish(client, told)
                self._tell_all()
            return stand_in is not None
        if isinstance(told, Played) and self._sounding:
            self._sounding.played(client, told)
        elif isinstance(told, bytes) and self._listening:
            self._listening.hear(client, told)
        else:
            return False
        return True

    def _tell_all(self) -> None:
        for client in self._clients:
            client.news.set()

    async def _send(self, socket: WebSocket, client: Client, key: Key) -> None:
        """What changed, as soon as it does; a heartbeat where nothing does."""
        sent: Pieces = {}
        await tell(socket, worded_json(self._first(key, client.at)))
        while True:
            client.news.clear()
            while client.sounds:
                await tell(socket, _sound(client, client.sounds.popleft()))
            told, why = self._shown, client.uncounted()
            places = {sense.value: stand_in.place(client) for sense, stand_in in self._stand_ins().items()}
            shown = {**told, **({"sound": places} if places and not client.looks_only else {})}
            await tell(
                socket, worded_json({"at": client.at, **changed(sent, shown), **({"uncounted": why} if why else {})})
            )
            client.told, sent = told, shown
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


async def converse(
    socket: WebSocket,
    sending: Coroutine[Any, Any, None],
    receiving: Coroutine[Any, Any, None],
    over: Callable[[], None],
) -> None:
    """Send and receive until either ends; then it is `over`, and the socket is closed."""
    both = [asyncio.create_task(each) for each in (sending, receiving)]
    try:
        await asyncio.wait(both, return_when=asyncio.FIRST_COMPLETED)
    finally:
        over()
        for task in both:
            task.cancel()
            with suppress(asyncio.CancelledError, WebSocketDisconnect, TimeoutError, RuntimeError):
                await task
    with suppress(RuntimeError, WebSocketDisconnect, TimeoutError):  # it may be gone already
        async with asyncio.timeout(STALLED_S):
            await socket.close(BAD_MESSAGE)


async def tell(socket: WebSocket, told: str | bytes) -> None:
    """Raises TimeoutError where the browser takes nothing."""
    async with asyncio.timeout(STALLED_S):
        await (socket.send_bytes(told) if isinstance(told, bytes) else socket.send_text(told))


def _sound(client: Client, sound: bytes | Mapping[str, object]) -> str | bytes:
    return sound if isinstance(sound, bytes) else worded_json({"at": client.at, **sound})


async def _turn_away(socket: WebSocket, first: dict[str, object]) -> None:
    """Tell a browser that there are as many as there may be."""
    with suppress(RuntimeError, WebSocketDisconnect, TimeoutError):
        await tell(socket, worded_json({**first, "full": True}))
        async with asyncio.timeout(STALLED_S):
            await socket.close(TOO_MANY)


async def _receive(socket: WebSocket, client: Client) -> None:
    """Until the browser leaves, or sends what no page of ours would."""
    while (message := await socket.receive())["type"] == "websocket.receive":
        block = message.get("bytes")
        if not (client.take(message.get("text") or "") if block is None else client.hear(block)):
            return


def worded_json(value: Mapping[str, object]) -> str:
    """A message, every text in it legible."""
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


def open_page(language: Language, share: bool, anew: bool, wait: bool) -> Page:
    """A page, its address printed; `wait` until the weaver has read it, where a board will cover it."""
    page = Page(language, share, anew)
    show(invitation(page.words, page.entrance).told(get_terminal_size().columns))
    put(page.words.text("again", key=INVITE))
    if wait:
        put(page.words.text("press enter"))
        next(typed_lines(), "")
    return page
