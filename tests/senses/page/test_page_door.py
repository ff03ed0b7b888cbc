"""Where the page can be reached, from sitting to sitting."""

import http.client
import socket
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from at_the_page import SHORT_WARP, Sitting

from assistant.errors import DeviceMissing
from assistant.senses.page import door as doors
from assistant.senses.page.door import open_here, open_to_the_network, own_address


def closed(opened: tuple[doors.Door, list[socket.socket]]) -> doors.Door:
    door, sockets = opened
    for each in sockets:
        each.close()
    return door


def test_every_sitting_has_a_key_and_a_place_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a browser kept of one sitting, its address or what was stored for it, says nothing of the next."""
    monkeypatch.setattr(doors, "own_address", lambda: "127.0.0.1")
    one, sockets = open_here()
    others = [closed(open_here()), closed(open_to_the_network())]
    assert len({door.port for door in (one, *others)}) == 3
    assert len({secret for door in (one, *others) for secret in (door.key, door.sitting)}) == 6
    assert one.address == f"http://127.0.0.1:{one.port}/{one.key}/"
    assert len(one.key) >= 43  # 256 bits
    assert one.key not in repr(one)
    sockets[0].close()


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
    connection.request("GET", urlsplit(shared.address).path)
    assert connection.getresponse().status == 200
    connection.close()
    assert "heard: Leave" in shared.leave()
