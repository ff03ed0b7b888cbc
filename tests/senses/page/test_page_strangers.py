"""What a real browser gives to servers that are not ours: on the page's port between sittings, and on another port."""

import re
import socket
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import pytest
from at_the_page import CALLING, ENGLISH, WELL, Answers, got, hand, joined
from waiting import wait
from websockets.exceptions import InvalidStatus
from websockets.sync.server import Server as SocketServer
from websockets.sync.server import ServerConnection, serve

from assistant.senses.page.page import Page

SHOWN = "() => [...document.querySelectorAll('.lines')].map((face) => face.textContent).join() === '1,2,3,4'"
FOLLOW = """url => {
  const link = document.createElement("a");
  link.href = url;
  document.body.append(link);
  link.click();
}"""
SPOOFED = '{"sitting":"what it cannot know","now":{"title":"spoofed"}}'


@dataclass
class Heard:
    """What a server that is not ours was sent."""

    asked: list[str] = field(default_factory=list)  # each request whole: its line and headers
    sent: list[str] = field(default_factory=list)  # through web sockets


@contextmanager
def web_server(port: int) -> Iterator[tuple[Heard, int]]:
    """Answers all with a page that takes what it can from its origin, and says where it was asked to come from."""
    heard = Heard()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            heard.asked.append(f"{self.requestline}\n{self.headers}")
            self.send_response(200)
            self.send_header("content-type", "text/html")
            self.end_headers()
            self.wfile.write(
                b"<script>fetch('/taken', {method: 'POST', body: JSON.stringify([document.cookie, document.referrer, "
                b"{...localStorage}, {...sessionStorage}, name, history.state])})</script>"
            )

        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["content-length"])).decode()
            heard.asked.append(f"{self.requestline}\n{self.headers}\n{body}")
            self.send_response(204)
            self.end_headers()

        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", port), Handler)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield heard, server.server_port
    server.shutdown()
    server.server_close()
    thread.join()


@contextmanager
def socket_server(port: int) -> Iterator[Heard]:
    """Takes every web socket, tells it a moment of its own, and keeps what comes."""
    heard = Heard()

    def attend(connection: ServerConnection) -> None:
        heard.asked.append(f"{connection.request}")
        connection.send(SPOOFED)
        heard.sent.extend(str(message) for message in connection)

    server: SocketServer = serve(attend, "127.0.0.1", port)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield heard
    server.shutdown()
    thread.join()


def sitting(answers: Answers) -> Page:
    page = Page(ENGLISH)
    for listening in page.entrance.listening:  # as after a minute, when the system would give the port to anybody
        listening.socket.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    page.start(answers, {})
    page.show(CALLING, WELL)
    return page


@pytest.fixture
def window(chromium: Any) -> Iterator[Any]:
    context = chromium.new_context(reduced_motion="reduce")
    yield context.new_page()
    context.close()


def secrets_in(heard: Heard) -> set[str]:
    """Whatever is long enough for a key."""
    return set(re.findall(r"[\w-]{20,}", "\n".join(heard.asked + heard.sent)))


def test_who_takes_the_port_between_sittings_gets_into_none(window: Any, answers: Answers) -> None:
    """Though the page was left open, opened again from its address, and shown what it takes for news."""
    with closing(sitting(answers)) as page:
        window.goto(page.door.address)
        window.wait_for_function(SHOWN)
    before = page.door
    with socket_server(before.port) as fake:
        assert wait(lambda: len(fake.asked) > 1)  # the page that was left open tries again, and believes nothing
        window.locator("#large [data-do=next]").click()
        assert "spoofed" not in window.title()
    assert fake.sent == []
    with web_server(before.port) as (taken, _):
        window.goto(before.address)
        assert wait(lambda: any("/taken" in asked for asked in taken.asked))
    collected = secrets_in(fake) | secrets_in(taken)
    assert hand(before).word in collected  # that of the sitting that is over
    assert hand(before).proof not in collected
    with closing(sitting(answers)) as page:
        for secret in collected:
            assert got(page.door, f"/{secret}/").status == 404
            assert got(page.door, "/", {"Cookie": f"heddlecall-{page.door.port}={secret}"}).status == 404
            with pytest.raises(InvalidStatus), joined(page.door, path=f"/{secret}/live"):
                pass
    assert answers.taken == []


@pytest.mark.parametrize("how", ["typed", "followed"])
def test_a_server_on_another_port_is_given_nothing(window: Any, page: Page, how: str) -> None:
    """Cookies know no ports: one of ours would go to every server of this machine that the same browser asks."""
    page.show(CALLING, WELL)
    window.goto(page.door.address)
    window.wait_for_function(SHOWN)
    assert window.context.cookies() == []
    with web_server(0) as (other, port):
        if how == "typed":
            window.goto(f"http://127.0.0.1:{port}/")
        else:
            window.evaluate(FOLLOW, f"http://127.0.0.1:{port}/")
        assert wait(lambda: any("/taken" in asked for asked in other.asked))
    told = "\n".join(other.asked)
    assert hand(page.door).word not in told
    assert hand(page.door).proof not in told
    assert "cookie" not in told.lower()
    assert not re.search(rf"referer:.*{page.door.port}", told, re.IGNORECASE)
