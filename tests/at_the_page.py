"""What page tests share: answers that are kept, requests made by hand, and a sitting in a process of its own."""

import http.client
import json
import os
import select
import socket
import ssl
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from websockets.sync.client import ClientConnection, connect
from websockets.typing import Origin

from assistant.senses.page.client import LARGEST_STEP
from assistant.senses.page.door import OPEN, Door
from assistant.senses.page.keys import Key
from assistant.senses.page.page import Page
from assistant.senses.screen.words import ScreenWords
from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.view import Status
from assistant.warp.sequence import loads
from assistant.words.language import load

ENGLISH = load("en")
WORDS = ScreenWords(ENGLISH)
SHORT_WARP = """
title: Short
shafts: 4
yarns:
  rust: {name: rust silk, colour: "#a4532c"}
  mist: {name: mist wool, colour: "#b7c4c9"}
groups:
  - {name: edge, thread: "1 2 3 4", yarn: rust}
  - {name: stripe, thread: "4 3 2 1 4 3", yarn: "2 mist, 1 rust"}
"""


def session(*keys: Kind | tuple[Kind, int]) -> Session:
    """Threading the short warp, after these."""
    begun = Session(loads(SHORT_WARP.encode(), "short.yaml"))
    begun.handle(Event(Kind.SIT_DOWN, 1000.0))
    for at, key in enumerate(keys):
        kind, number = key if isinstance(key, tuple) else (key, None)
        begun.handle(Event(kind, 1000.0 + 5 * at, number, "key"))
    return begun


CALLING = session().view()
WELL = Status(hears=True, speaks=True, heard="next")


class Answers:
    """Keeps what is done on a page, and takes one answer to a step."""

    def __init__(self) -> None:
        self.taken: list[tuple[int, Event]] = []
        self._lock = threading.Lock()

    def bounced(self, event: Event, finger: bool) -> bool:
        return False

    def answer(self, step: int, event: Event, finger: bool, refused: Callable[[], None]) -> None:
        with self._lock:
            fresh = all(step > taken for taken, _ in self.taken)
            if fresh:
                self.taken.append((step, event))
        if not fresh:
            refused()


def done(step: int, do: str, **more: object) -> str:
    """What a page sends of a touch, just now."""
    return json.dumps({"step": step, "at": LARGEST_STEP, "do": do, "finger": True, **more})


def hand(door: Door) -> Key:
    """The first key by which the page is worked there."""
    return door.keys[0].hand


def inside(door: Door, path: str = "/", key: Key | None = None) -> str:
    """Where a browser with the key finds it."""
    return f"/{(key or hand(door)).word}{path}"


@contextmanager
def joined(
    door: Door, path: str = "", key: Key | None = None, trust: ssl.SSLContext | None = None, **changed: str
) -> Iterator[ClientConnection]:
    """A browser of its own; the server has proved itself to it."""
    origin = changed.pop("Origin", f"{door.scheme}://{door.host}:{door.port}")
    with connect(
        f"ws://{door.host}:{door.port}{path or inside(door, '/live', key)}",
        origin=Origin(origin) if origin else None,
        additional_headers=changed,
        close_timeout=1,
        sock=None if door.scheme == OPEN else encrypted(door, trust or ssl.create_default_context()),
    ) as browser:
        assert json.loads(browser.recv(timeout=20))["proof"] == (key or hand(door)).proof
        yield browser


def encrypted(door: Door, trust: ssl.SSLContext) -> ssl.SSLSocket:
    """A connection on which the tickets that follow the greeting (RFC 8446, 4.6.1) have come.

    Taken in by one thread while another writes, which is how the web sockets' library goes on, they stop OpenSSL.
    """
    connection = socket.create_connection((door.host, door.port), timeout=20)
    try:
        ours = trust.wrap_socket(connection, server_hostname=door.host)
    except OSError:
        connection.close()
        raise
    select.select([ours], [], [], 20)
    ours.setblocking(False)
    with suppress(ssl.SSLWantReadError):
        ours.recv(1)
    ours.setblocking(True)
    return ours


def got(
    door: Door,
    path: str,
    headers: Mapping[str, str] = {},
    method: str = "GET",
    trust: ssl.SSLContext | None = None,
) -> http.client.HTTPResponse:
    """The answer to a request made by hand, read to its end."""
    if door.scheme == OPEN:
        connection = http.client.HTTPConnection(door.host, door.port, timeout=20)
    else:
        connection = http.client.HTTPSConnection(door.host, door.port, timeout=20, context=trust)
    connection.putrequest(method, path, skip_host="Host" in headers)
    for name, value in headers.items():
        connection.putheader(name, value)
    connection.endheaders()
    answer = connection.getresponse()
    answer.content = answer.read()  # type: ignore[attr-defined]
    answer.text = answer.content.decode(errors="replace")  # type: ignore[attr-defined]
    connection.close()
    return answer


@dataclass(frozen=True)
class Shared:
    """A page that is shared, its encrypted door, what trusts its authority and nobody else, and where it is kept."""

    page: Page
    door: Door
    trust: ssl.SSLContext
    folder: Path


class Sitting:
    """`heddlecall thread`, or another job, in plain lines, in a process of its own; silent and deaf, if not told."""

    def __init__(
        self,
        file: Path,
        folder: Path,
        how: str = "--page",
        job: tuple[str, ...] = ("thread",),
        bounce: float = 0.4,
        senses: tuple[str, ...] = ("--mute", "--deaf"),
        env: Mapping[str, str] = os.environ,
    ) -> None:
        options = [how, "--plain", *senses, "--bounce", str(bounce)]
        command = [sys.executable, "-m", "assistant", *job, str(file), *options]
        self.process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
            env={**env, "HEDDLECALL_DATA": str(folder)},
        )  # fmt: skip
        assert self.process.stdout is not None
        line = next(line for line in self.process.stdout if line.startswith("page: "))
        self.address = line.removeprefix("page: ").strip()

    def kill(self) -> None:
        self.process.kill()
        self.process.communicate()

    def leave(self) -> str:
        """Everything printed."""
        out, _ = self.process.communicate("q\n", timeout=60)
        return out
