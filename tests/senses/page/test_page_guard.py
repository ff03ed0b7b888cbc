"""Strangers get nothing, and slow nothing."""

import socket
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import ExitStack
from dataclasses import replace
from typing import Any

import pytest
from at_the_page import CALLING, ENGLISH, WELL, Answers, done, got, hand, inside, joined
from waiting import wait
from websockets.exceptions import ConnectionClosed, InvalidStatus

from assistant.senses.page.door import Door
from assistant.senses.page.page import Page
from assistant.senses.page.server import Paced

GOODBYE = b"\x88\x82\0\0\0\0\x03\xe8"  # RFC 6455, 5.5.1: code 1000, masked with 0

FILES = ("/", "/page.css", "/page.js", "/connection.js", "/show.js", "/touch.js", "/map.js", "/icon.svg")


@pytest.fixture(scope="module")
def door() -> Iterator[Door]:
    """That of a page at which many knock, one after the other."""
    served = Page(ENGLISH)
    served.start(Answers(), {})
    yield served.door
    served.close()


def test_the_address_is_all_that_is_needed_and_nothing_is_left_in_the_browser(door: Door) -> None:
    answer = got(door, inside(door))
    assert (answer.status, answer.getheader("set-cookie")) == (200, None)
    assert answer.getheader("connection") == "close"
    assert hand(door).word not in answer.text  # type: ignore[attr-defined]
    short = got(door, f"/{hand(door).word}")
    assert (short.status, short.getheader("location")) == (303, inside(door))


@pytest.mark.parametrize("path", FILES)
def test_every_file_comes_with_its_cautions(door: Door, path: str) -> None:
    answer = got(door, inside(door, path))
    assert answer.status == 200
    rules = answer.getheader("content-security-policy") or ""
    assert "default-src 'none'" in rules
    assert "unsafe" not in rules
    assert "http" not in rules
    assert answer.getheader("x-content-type-options") == "nosniff"
    assert answer.getheader("referrer-policy") == "no-referrer"
    assert answer.getheader("server") is None


WRONG = "x" * 43
STRANGE: list[tuple[str, dict[str, str]]] = [
    ("/", {}),
    ("//", {}),
    ("/%ff%00/", {}),
    (f"/{WRONG}/", {}),
    (f"/{WRONG}/page.css", {}),
    (f"/{WRONG}/live", {}),
    ("/page.css", {}),
    ("/live", {}),
    ("KEY/", {"Host": "loom.example"}),
    ("KEY/", {"Host": "loom.example:PORT"}),
    ("KEY/", {"Host": ""}),
    ("KEY/", {"Origin": "http://loom.example"}),
    ("KEY/", {"Origin": "http://127.0.0.1"}),
    ("KEY/", {"Origin": "null"}),
    ("/?key=KEY", {}),
    ("/", {"Cookie": "key=KEY"}),
    ("/KEYx/", {}),
]
TRICKS = (
    *("/../page.py", "/..%2fpage.py", "/%2e%2e/%2e%2e/etc/passwd", "//etc/passwd", "/static/index.html", "/page.css/"),
    *("/page.css%00", "/.", "/index.html/..", "/\\page.css", "/page.py", "http://loom.example/", "/?key=/page.css/x"),
)


@pytest.mark.parametrize(("path", "headers"), STRANGE)
def test_a_stranger_gets_nothing(door: Door, path: str, headers: dict[str, str]) -> None:
    """KEY and PORT stand for those of the page."""
    word = hand(door).word
    rightly = {name: text.replace("PORT", str(door.port)).replace("KEY", word) for name, text in headers.items()}
    answer = got(door, path.replace("KEY", f"/{word}" if path.startswith("KEY") else word), rightly)
    assert answer.status in (400, 404)
    assert not any(secret in str(answer.getheaders()) for secret in (word, hand(door).proof))
    assert answer.text in ("", "Invalid HTTP request received.")  # type: ignore[attr-defined]


@pytest.mark.parametrize("path", TRICKS)
def test_a_path_leads_nowhere_else(door: Door, path: str) -> None:
    for asked in (path, inside(door, path)):
        answer = got(door, asked)
        assert answer.status in (400, 404) or asked == inside(door, "/?key=/page.css/x")
        assert "import" not in answer.text  # type: ignore[attr-defined]
        assert "root:" not in answer.text  # type: ignore[attr-defined]


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "CONNECT"])
def test_nothing_is_done_by_a_request(door: Door, method: str) -> None:
    assert got(door, inside(door), {}, method).status in (400, 404, 405)


@pytest.mark.parametrize(
    "changed",
    [
        {"path": "/live"},
        {"path": f"/{WRONG}/live"},
        {"Origin": "http://loom.example"},
        {"Origin": ""},
        {"Origin": "null"},
    ],
)
def test_a_stranger_gets_no_socket(door: Door, changed: Mapping[str, Any]) -> None:
    with pytest.raises(InvalidStatus) as refused, joined(door, **changed):
        pass
    assert refused.value.response.status_code == 403


@pytest.mark.parametrize("message", ["", "{", "[]", '{"step":1,"do":"sit down"}', b"\x00\xff", "x" * 100_000])
def test_a_malformed_message_ends_the_connection_and_does_nothing(page: Page, answers: Answers, message: str) -> None:
    page.show(CALLING, WELL)
    with joined(page.door) as ours, joined(page.door) as theirs:
        theirs.send(message)
        with pytest.raises(ConnectionClosed):
            all(theirs.recv(timeout=20) for _ in range(10))
        ours.send(done(1, "next"))
        assert wait(lambda: answers.taken)
    assert [event.kind for _, event in answers.taken] == ["next"]


def test_a_step_counts_once_and_the_page_is_told(page: Page, answers: Answers) -> None:
    page.show(CALLING, WELL)
    with joined(page.door) as ours:
        for _ in range(2):
            ours.send(done(1, "next"))
        while '"uncounted":"late"' not in str(ours.recv(timeout=20)):
            pass
    assert len(answers.taken) == 1


def test_200_idle_connections_keep_nobody_out(page: Page) -> None:
    with ExitStack() as open_ones:
        for _ in range(200):
            open_ones.enter_context(socket.create_connection(("127.0.0.1", page.door.port), timeout=20))
        half = open_ones.enter_context(socket.create_connection(("127.0.0.1", page.door.port), timeout=20))
        half.sendall(b"GET / HTTP/1.1\r\nHost: ")
        assert got(page.door, inside(page.door)).status == 200
        with joined(page.door) as ours:
            page.show(CALLING, WELL)
            while '"now":{' not in str(ours.recv(timeout=20)):
                pass


def test_a_request_without_end_is_cut_off(page: Page) -> None:
    with socket.create_connection(("127.0.0.1", page.door.port), timeout=20) as endless:
        try:
            for _ in range(64):
                endless.sendall(b"GET / HTTP/1.1\r\n" if _ == 0 else b"X-More: " + b"x" * 1000 + b"\r\n")
            assert b"200" not in endless.recv(100)
        except (ConnectionResetError, BrokenPipeError):
            pass
    assert got(page.door, inside(page.door)).status == 200


def test_a_browser_that_takes_nothing_holds_up_nothing(page: Page) -> None:
    """A client that joins, then reads no more, while states come; the others get the last one."""
    with joined(page.door), joined(page.door) as ours:
        stalled = socket.create_connection(("127.0.0.1", page.door.port), timeout=20)
        stalled.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1024)
        asking = {
            "Host": f"127.0.0.1:{page.door.port}", "Origin": f"http://127.0.0.1:{page.door.port}",
            "Connection": "Upgrade", "Upgrade": "websocket", "Sec-WebSocket-Version": "13",
            "Sec-WebSocket-Key": "AAAAAAAAAAAAAAAAAAAAAA==",
        }  # fmt: skip
        head = "".join(f"{name}: {value}\r\n" for name, value in asking.items())
        stalled.sendall(f"GET {inside(page.door, '/live')} HTTP/1.1\r\n{head}\r\n".encode())
        assert b"101" in stalled.recv(100)
        for step in range(300):
            page.show(replace(CALLING, title=f"{step} " + "x" * 10_000), WELL)
            time.sleep(0.001)
        while "299 xxx" not in str(ours.recv(timeout=20)):
            pass
        stalled.close()


def test_a_browser_that_says_goodbye_as_the_sitting_ends_breaks_nothing(page: Page) -> None:
    """Both at the same moment, which the library that speaks for the server takes for a fault."""
    broken: list[BaseException] = []
    ended = threading.Event()

    def end_both() -> None:
        (connection,) = (one for one in page._server._server.server_state.connections if isinstance(one, Paced))
        connection.conn.receive_data(GOODBYE)
        try:
            connection.shutdown()
        except Exception as error:
            broken.append(error)
        ended.set()

    with joined(page.door):
        page._server.soon(end_both)
        assert ended.wait(20)
    assert broken == []
