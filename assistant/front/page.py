"""The front door in a browser: what it shows is what the terminal shows, and jobs are done on pages of their own."""

import asyncio
import secrets
import sys
import threading
from collections.abc import Callable, Mapping
from contextlib import closing, suppress
from dataclasses import asdict
from importlib.resources import files
from queue import Empty, SimpleQueue
from shutil import get_terminal_size

from starlette.websockets import WebSocket

from assistant.clock import Clock
from assistant.front.front import Front
from assistant.front.running import Captured, Sat, address_in, in_terminal
from assistant.front.values import Doing
from assistant.front.visit import LONGEST_TEXT, Errand
from assistant.output import put, show
from assistant.senses.page import state
from assistant.senses.page.allowance import Allowance
from assistant.senses.page.client import held
from assistant.senses.page.door import open_here
from assistant.senses.page.doorkeeper import Doorkeeper, Guest, guest_of
from assistant.senses.page.invited import facts, invitation, made
from assistant.senses.page.page import (
    HEARTBEAT_S,
    JOINING,
    LAST_S,
    MOST_CLIENTS,
    TOO_MANY,
    TOUCHES,
    converse,
    tell,
    worded_json,
)
from assistant.senses.page.server import INDEX, Server, pages
from assistant.senses.screen import interrupts_as_keys
from assistant.senses.screen.words import ScreenWords
from assistant.words.language import Language, load

GLANCE_S = 0.5  # at most between looks whether the program is asked to end
LONGEST_MESSAGE = 4096  # characters
LONGEST_KEY = 20
KEPT = ("door.js", "door.css")
TEXTS = ("door over", "to the sitting", "back", "choices", "what it prints", "what it stands for")
FROM_HERE = "#door"  # on the address of a job's page, which leads back here when it is over

Message = tuple[int, str, str]  # the step it answers, "key" or "typed" or "text", and which


def run(front: Front, language: Language) -> None:
    """Until the program is asked to end, which is how one leaves."""
    with closing(FrontPage(front)) as page:
        words = ScreenWords(language)
        show(invitation(words, page.entrance).told(get_terminal_size().columns))
        put(front.text("how to end"))
        with interrupts_as_keys(lambda key, ago: page.leave()):
            page.run()


class FrontPage:
    """A server, and one visit for all who come; acts come in from any thread, and are done in that of `run`."""

    def __init__(self, front: Front) -> None:
        self.entrance = open_here()
        self._front, self._sitting, self._clock = front, secrets.token_urlsafe(8), Clock()
        self._inbox: SimpleQueue[Callable[[], None]] = SimpleQueue()
        self._step, self._address, self._left = 0, "", False
        self._runs: Captured | Sat | None = None
        self._told: Mapping[str, object] = {}
        self._news: set[asyncio.Event] = set()
        self._touches, self._joining = Allowance(*TOUCHES), Allowance(*JOINING)
        static = files("assistant.front") / "static"
        kept = {name: (static / name).read_bytes() for name in KEPT}
        self._layout = (static / "door.html").read_text(encoding="utf-8")
        given = {INDEX: self._index, **{name: _always(content) for name, content in kept.items()}}
        app = pages(self._attend, {**made(self.entrance), **given})
        self._tell()
        self._server = Server(Doorkeeper(app, [self.entrance.door]), self.entrance.listening)
        self._server.start()

    def run(self) -> None:
        """Do what is chosen, as it comes."""
        while not self._left:
            with suppress(Empty):
                self._inbox.get(timeout=GLANCE_S)()

    def leave(self) -> None:
        """Let that be over."""
        self._left = True

    def close(self) -> None:
        """Have what runs leave, and stop serving."""
        if self._runs:
            self._runs.stop()
        self._server.complete(self._all_told, LAST_S)
        self._server.close()
        self.entrance.held.close()

    def _index(self, guest: Guest) -> bytes:
        language = load(self._front.code)
        own = {key: self._front.text(key) for key in TEXTS}
        given = {"sitting": self._sitting, **facts(self.entrance, guest), **own}
        return state.filled(self._layout, ScreenWords(language), given).encode()

    def _tell(self) -> None:
        """What browsers are told from now on."""
        view = self._front.view()
        keys = self._front.text("keys in hall") if view.is_hall and not view.reading else view.keys  # leads not out
        told = {**asdict(view), "keys": keys}
        self._told = {"step": self._step, "lang": self._front.code, "go": self._address, **told}
        for news in tuple(self._news):
            self._server.soon(news.set)

    def _take(self, message: Message) -> None:
        """What was done in a browser, where it answers what stands there."""
        step, what, which = message
        if step != self._step:
            return
        if what == "key":
            if which == "escape" and isinstance(self._runs, Captured):
                self._runs.stop()
            elif self._front.view().is_hall and which == "escape":  # from there one leaves in the terminal
                return
            else:
                self._front.press(which)
        else:
            self._front.type(which)
            if what == "text":
                self._front.press("enter")
        if what != "typed":
            self._step += 1
        errand = self._front.errand
        if errand and not self._runs:
            self._begin(errand)
        self._tell()

    def _begin(self, errand: Errand) -> None:
        if errand.doing is Doing.TERMINAL:
            self._inbox.put(lambda: self._in_terminal(errand))
        elif errand.doing is Doing.SIT:
            self._runs = sat = Sat(errand.lines[0], self._on_line)
            self._in_thread(sat.wait)
        else:
            self._runs = captured = Captured()
            self._in_thread(lambda: captured.run(errand.lines))

    def _in_thread(self, act: Callable[[], tuple[int, list[str]]]) -> None:
        def ran() -> None:
            code, printed = act()
            self._inbox.put(lambda: self._done(code, printed))

        threading.Thread(target=ran, name="errand", daemon=True).start()

    def _in_terminal(self, errand: Errand) -> None:
        if sys.stdin.isatty():
            line = f"$ {self._front.view().line}"
            put(line)
            code = in_terminal(errand.lines)
            put(self._front.text("how to end"))
            self._done(code, [])
        else:
            self._done(2, [self._front.text("type in a terminal", line=self._front.view().line)])

    def _on_line(self, line: str) -> None:
        if not self._address and (address := address_in(line)):
            self._inbox.put(lambda: self._sits(f"{address}{FROM_HERE}"))

    def _sits(self, address: str) -> None:
        self._address = address
        self._tell()

    def _done(self, code: int, printed: list[str]) -> None:
        self._runs, self._address = None, ""
        self._front.done(code, printed)
        self._step += 1
        self._tell()

    async def _attend(self, socket: WebSocket) -> None:
        key = guest_of(socket.scope).key
        if self._joining.spend() or len(self._news) >= MOST_CLIENTS:
            await socket.close(TOO_MANY)
            return
        await socket.accept()
        news, began = asyncio.Event(), self._clock.now()
        self._news.add(news)
        first = {"proof": key.proof, "sitting": self._sitting}
        sending = self._send(socket, news, began, first)
        await converse(socket, sending, self._receive(socket, key.looks_only), lambda: self._news.discard(news))

    async def _send(self, socket: WebSocket, news: asyncio.Event, began: float, first: Mapping[str, object]) -> None:
        """All of it whenever it changes; a heartbeat where nothing does."""
        sent: object = None
        more = first
        while True:
            news.clear()
            told = self._told
            shown = {"front": told} if told is not sent else {}
            await tell(socket, worded_json({"at": round(1000 * (self._clock.now() - began)), **more, **shown}))
            sent, more = told, {}
            with suppress(TimeoutError):
                async with asyncio.timeout(HEARTBEAT_S):
                    await news.wait()

    async def _receive(self, socket: WebSocket, looks_only: bool) -> None:
        """Until the browser leaves, or sends what no page of ours would."""
        while (message := await socket.receive())["type"] == "websocket.receive":
            told = None if looks_only else parse(message.get("text") or "")
            if told is None:
                return
            if not self._touches.spend():
                self._inbox.put(lambda told=told: self._take(told))  # type: ignore[misc]

    async def _all_told(self) -> None:
        for news in tuple(self._news):
            news.set()
        await asyncio.sleep(0)


def parse(text: str) -> Message | None:
    """What a message says. Pure; whatever a stranger sends gives None."""
    match held(text, LONGEST_MESSAGE):
        case {"step": int(step), "key": str(which), **rest} if not rest and len(which) <= LONGEST_KEY:
            return step, "key", which
        case {"step": int(step), "typed": str(which), **rest} if not rest and len(which) <= LONGEST_TEXT:
            return step, "typed", which
        case {"step": int(step), "text": str(which), **rest} if not rest and len(which) <= LONGEST_TEXT:
            return step, "text", which
    return None


def _always(content: bytes) -> Callable[[Guest], bytes]:
    return lambda _: content
