"""Where the page can be reached, from sitting to sitting."""

import http.client
import json
import os
import socket
import stat
import sys
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from at_the_page import SHORT_WARP, Sitting, page_file

from assistant.errors import DeviceMissing
from assistant.senses.page import door as doors
from assistant.senses.page.door import open_here, open_to_the_network, own_address


def closed(opened: tuple[doors.Door, list[socket.socket]]) -> doors.Door:
    door, sockets = opened
    for each in sockets:
        each.close()
    return door


def test_the_next_sitting_has_the_same_address(tmp_path: Path) -> None:
    first = closed(open_here(page_file(tmp_path)))
    assert closed(open_here(page_file(tmp_path))) == first
    assert first.address.startswith("http://127.0.0.1:")
    assert len(first.key) >= 43  # 256 bits
    assert first.key not in first.cookie


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such rights")
def test_only_this_user_may_read_the_address(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        closed(open_here(page_file(tmp_path)))
    finally:
        os.umask(before)
    assert stat.S_IMODE(page_file(tmp_path).stat().st_mode) == 0o600


def test_a_second_sitting_at_once_has_its_own_and_the_first_keeps_its(tmp_path: Path) -> None:
    door, sockets = open_here(page_file(tmp_path))
    other = closed(open_here(page_file(tmp_path)))
    assert other.port != door.port
    assert other.key != door.key
    sockets[0].close()
    assert closed(open_here(page_file(tmp_path))) == door


@pytest.mark.parametrize(
    "kept", ["", "[]", "{}", '{"port":0,"key":"a","cookie":"b"}', '{"port":80,"key":"","cookie":""}']
)
def test_a_damaged_address_is_made_anew(kept: str, tmp_path: Path) -> None:
    page_file(tmp_path).parent.mkdir()
    page_file(tmp_path).write_text(kept, encoding="utf-8")
    door = closed(open_here(page_file(tmp_path)))
    assert json.loads(page_file(tmp_path).read_text(encoding="utf-8"))["key"] == door.key


def test_a_shared_page_has_another_key_every_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(doors, "own_address", lambda: "127.0.0.1")
    first, second = (closed(open_to_the_network()) for _ in range(2))
    assert len({first.key, second.key, first.cookie, second.cookie}) == 4


def test_without_a_network_sharing_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(doors, "ELSEWHERE", ("255.255.255.255", 9))  # which may not be asked for so
    with pytest.raises(DeviceMissing, match="no local network was found; connect to it, or use --page"):
        open_to_the_network()


def test_a_page_is_reached_from_this_machine_only_and_a_shared_one_from_the_network(tmp_path: Path) -> None:
    try:
        host = own_address()
    except DeviceMissing as missing:
        pytest.skip(str(missing))
    file = tmp_path / "short.yaml"
    file.write_text(SHORT_WARP, encoding="utf-8")
    here = Sitting(file, tmp_path / "data")
    port = urlsplit(here.address).port or 0
    assert urlsplit(here.address).hostname == "127.0.0.1"
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection((host, port), timeout=20)
    here.leave()
    shared = Sitting(file, tmp_path / "data", "--share")
    assert urlsplit(shared.address).hostname == host
    connection = http.client.HTTPConnection(urlsplit(shared.address).netloc, timeout=20)
    connection.request("GET", "/?" + urlsplit(shared.address).query)
    assert connection.getresponse().status == 303
    connection.close()
    assert "heard: Leave" in shared.leave()
