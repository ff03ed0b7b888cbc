"""Strangers get nothing, and slow nothing."""

import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace

import pytest
from at_the_page import CALLING, ENGLISH, WELL, Answers, cookie, got
from waiting import wait
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import ClientConnection, connect

from assistant.senses.page.door import Door
from assistant.senses.page.page import Page

FILES = ("/", "/page.css", "/page.js", "/connection.js", "/show.js", "/touch.js", "/map.js", "/icon.svg")


def joined(door: Door, **changed: str) -> ClientConnection:
    headers = {"Cookie": cookie(door)["Cookie"], **changed}
    origin = headers.pop("Origin", f"http://127.0.0.1:{door.port}")
    return connect(
        f"ws://127.0.0.1:{door.port}/live",
        origin=origin or None,  # type: ignore[arg-type]
        additional_headers=headers,
        close_timeout=1,
    )


@pytest.fixture(scope="module")
def door(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Door]:
    """That of a page at which many knock, one after the other."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HEDDLECALL_DATA", str(tmp_path_factory.mktemp("data")))
        served = Page(ENGLISH)
    served.start(Answers().take, {})
    yield served.door
    served.close()


def test_the_key_is_changed_for_a_cookie_and_leaves_the_address(door: Door) -> None:
    answer = got(door, f"/?key={door.key}")
    assert (answer.status, answer.getheader("location")) == (303, "/")
    given = answer.getheader("set-cookie") or ""
    assert door.cookie in given
    assert door.key not in given
    assert {"HttpOnly", "SameSite=strict", "Path=/"} <= set(given.split("; "))


@pytest.mark.parametrize("path", FILES)
def test_every_file_comes_with_its_cautions(door: Door, path: str) -> None:
    answer = got(door, path, cookie(door))
    assert answer.status == 200
    rules = answer.getheader("content-security-policy") or ""
    assert "default-src 'none'" in rules
    assert "unsafe" not in rules
    assert "http" not in rules
    assert answer.getheader("x-content-type-options") == "nosniff"
    assert answer.getheader("referrer-policy") == "no-referrer"
    assert answer.getheader("server") is None


STRANGE: list[tuple[str, dict[str, str]]] = [
    ("/?key=", {}),
    ("/?key=wrong", {}),
    ("/?key=%ff%00", {}),
    ("/", {"Cookie": ""}),
    ("/", {"Cookie": "heddlecall=wrong"}),
    ("/page.css", {}),
    ("/live", {}),
    ("/", {"Host": "loom.example"}),
    ("/", {"Host": ""}),
    ("/", {"Origin": "http://loom.example"}),
    ("/", {"Origin": "null"}),
]
TRICKS = (
    *("/../page.py", "/..%2fpage.py", "/%2e%2e/%2e%2e/etc/passwd", "//etc/passwd", "/static/index.html", "/page.css/"),
    *("/page.css%00", "/.", "/index.html/..", "/\\page.css", "/page.py", "http://loom.example/", "/?key=/page.css/x"),
)


@pytest.mark.parametrize(("path", "headers"), STRANGE)
def test_a_stranger_gets_nothing(door: Door, path: str, headers: dict[str, str]) -> None:
    rightly = {**cookie(door), **headers} if {"Host", "Origin"} & headers.keys() else headers
    answer = got(door, path, rightly)
    assert answer.status in (400, 404)
    assert door.cookie not in str(answer.getheaders())
    assert answer.text in ("", "Invalid HTTP request received.")  # type: ignore[attr-defined]


def test_the_key_does_not_help_where_the_name_is_foreign(door: Door) -> None:
    answer = got(door, f"/?key={door.key}", {"Host": f"loom.example:{door.port}"})
    assert (answer.status, answer.getheader("set-cookie")) == (404, None)


@pytest.mark.parametrize("path", TRICKS)
def test_a_path_leads_nowhere_else(door: Door, path: str) -> None:
    answer = got(door, path, cookie(door))
    assert answer.status in (307, 400, 404) or (path == "/?key=/page.css/x" and answer.status == 200)
    assert "import" not in answer.text  # type: ignore[attr-defined]
    assert "root:" not in answer.text  # type: ignore[attr-defined]


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "CONNECT"])
def test_nothing_is_done_by_a_request(door: Door, method: str) -> None:
    assert got(door, "/", cookie(door), method).status in (400, 404, 405)


@pytest.mark.parametrize(
    "changed",
    [{"Cookie": ""}, {"Cookie": "heddlecall=x"}, {"Origin": "http://loom.example"}, {"Origin": ""}, {"Origin": "null"}],
)
def test_a_stranger_gets_no_socket(door: Door, changed: dict[str, str]) -> None:
    with pytest.raises(InvalidStatus) as refused:
        joined(door, **changed)
    assert refused.value.response.status_code == 403


@pytest.mark.parametrize("message", ["", "{", "[]", '{"step":1,"do":"sit down"}', b"\x00\xff", "x" * 100_000])
def test_a_malformed_message_ends_the_connection_and_does_nothing(page: Page, answers: Answers, message: str) -> None:
    page.show(CALLING, WELL)
    with joined(page.door) as ours, joined(page.door) as theirs:
        theirs.send(message)
        with pytest.raises(ConnectionClosed):
            all(theirs.recv(timeout=20) for _ in range(10))
        ours.send('{"step":0,"do":"next"}')
        assert wait(lambda: answers.taken)
    assert [event.kind for _, event in answers.taken] == ["next"]


def test_a_step_counts_once_and_the_page_is_told(page: Page, answers: Answers) -> None:
    page.show(CALLING, WELL)
    with joined(page.door) as ours:
        for _ in range(2):
            ours.send('{"step":3,"do":"next"}')
        while '"late":true' not in str(ours.recv(timeout=20)):
            pass
    assert len(answers.taken) == 1


def test_200_idle_connections_keep_nobody_out(page: Page) -> None:
    with ExitStack() as open_ones:
        for _ in range(200):
            open_ones.enter_context(socket.create_connection(("127.0.0.1", page.door.port), timeout=20))
        half = open_ones.enter_context(socket.create_connection(("127.0.0.1", page.door.port), timeout=20))
        half.sendall(b"GET / HTTP/1.1\r\nHost: ")
        assert got(page.door, "/", cookie(page.door)).status == 200
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
    assert got(page.door, "/", cookie(page.door)).status == 200


def test_a_browser_that_takes_nothing_holds_up_nothing(page: Page) -> None:
    """A client that joins, then reads no more, while states come; the others get the last one."""
    with joined(page.door), joined(page.door) as ours:
        stalled = socket.create_connection(("127.0.0.1", page.door.port), timeout=20)
        stalled.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1024)
        asking = {
            "Host": f"127.0.0.1:{page.door.port}", "Origin": f"http://127.0.0.1:{page.door.port}",
            "Connection": "Upgrade", "Upgrade": "websocket", "Sec-WebSocket-Version": "13",
            "Sec-WebSocket-Key": "AAAAAAAAAAAAAAAAAAAAAA==", **cookie(page.door),
        }  # fmt: skip
        head = "".join(f"{name}: {value}\r\n" for name, value in asking.items())
        stalled.sendall(f"GET /live HTTP/1.1\r\n{head}\r\n".encode())
        assert b"101" in stalled.recv(100)
        for step in range(300):
            page.show(replace(CALLING, title=f"{step} " + "x" * 10_000), WELL)
            time.sleep(0.001)
        while "299 xxx" not in str(ours.recv(timeout=20)):
            pass
        stalled.close()
