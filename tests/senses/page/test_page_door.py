"""Where the page can be reached, from sitting to sitting."""

import http.client
import socket
import sys
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from at_the_page import SHORT_WARP, Sitting

from assistant.cli import main
from assistant.errors import DeviceMissing, OptionsError
from assistant.meaning import Tell
from assistant.senses.page import door as doors
from assistant.senses.page import kept
from assistant.senses.page.door import Entrance, open_here, open_to_the_network

OWN_ADDRESS = doors.own_address


@pytest.fixture(autouse=True)
def apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is kept lies in a folder of the test's own, and the network is this machine."""
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    monkeypatch.setattr(doors, "own_address", lambda: "127.0.0.1")


def closed(opened: Entrance) -> Entrance:
    opened.held.close()
    return opened


def why(opened: Entrance) -> list[object]:
    return [caution.places["why"] for caution in opened.cautions]


def test_in_the_open_every_sitting_has_keys_and_a_place_of_its_own() -> None:
    """What a browser kept of one sitting, its address or what was stored for it, says nothing of the next."""
    one = open_here()
    opened = [one, closed(open_here()), closed(open_to_the_network())]
    assert len({each.door.port for each in opened}) == 3
    keys = [key for each in opened for keys in each.door.keys for key in (keys.hand, keys.eye)]
    assert len({secret for key in keys for secret in (key.word, key.proof)}) == 12
    word = one.door.keys[0].hand.word
    assert one.door.address == f"http://127.0.0.1:{one.door.port}/{word}/"
    assert len(word) >= 43  # 256 bits
    assert word not in repr(one)
    closed(one)


def test_the_encrypted_address_is_the_same_in_the_next_sitting() -> None:
    one, other = closed(open_to_the_network()), closed(open_to_the_network())
    assert one.secure
    assert other.secure
    assert one.lasts
    assert (one.secure.address, one.secure.keys[0]) == (other.secure.address, other.secure.keys[0])
    assert one.secure.keys[1] == one.door.keys[0] != other.door.keys[0]  # a sitting's own fit there too
    assert one.cautions == ()
    told = {key.word for keys in one.door.keys for key in (keys.hand, keys.eye)}
    assert told.isdisjoint({one.secure.keys[0].hand.word, one.secure.keys[0].eye.word})  # nothing kept in the open


def test_a_new_address_is_another_from_then_on() -> None:
    before, new, after = (closed(open_to_the_network(anew)).secure for anew in (False, True, False))
    assert before
    assert new
    assert before.keys[0] != new.keys[0]
    assert after
    assert (new.address, new.keys[0]) == (after.address, after.keys[0])


def test_of_two_sittings_at_once_the_second_has_an_address_of_its_own() -> None:
    first, second = open_to_the_network(), open_to_the_network()
    assert first.secure
    assert second.secure
    assert (first.lasts, second.lasts) == (True, False)
    assert second.secure.port != first.secure.port
    assert second.secure.keys == second.door.keys
    assert why(second) == [Tell("another window has the one that lasts")]
    with pytest.raises(OptionsError, match=r"another sitting goes by the address .* \(process \d+"):
        open_to_the_network(anew=True)
    closed(first)
    closed(second)
    third = closed(open_to_the_network())
    assert third.secure
    assert third.secure.address == first.secure.address


def test_where_somebody_else_has_the_port_the_keys_that_are_kept_fit_nowhere() -> None:
    before = closed(open_to_the_network()).secure
    assert before
    with socket.create_server(("127.0.0.1", before.port)):
        now = closed(open_to_the_network())
    assert now.secure
    assert now.secure.port != before.port
    assert now.secure.keys == now.door.keys
    assert why(now) == [Tell("another program has its port")]
    after = closed(open_to_the_network()).secure
    assert after
    assert after.address == before.address


@pytest.mark.parametrize("content", [b"", b"secret: x\nport: 20000\n", b"secret: 1\n\xff", b"[" * 900])
def test_an_address_that_cannot_be_read_is_told_of_and_left(content: bytes) -> None:
    file = kept.folder() / kept.ADDRESS
    file.write_bytes(content)
    now = closed(open_to_the_network())
    assert "holds no address; make another with --new-address" in str(why(now)[0])
    assert file.read_bytes() == content
    assert now.secure
    assert not now.lasts
    assert closed(open_to_the_network(anew=True)).lasts


def test_without_the_library_or_in_a_public_network_there_is_the_open_door_and_a_line(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "assistant.senses.page.authority", None)
    assert why(closed(open_to_the_network())) == [Tell("the package cryptography cannot be used")]
    monkeypatch.delitem(sys.modules, "assistant.senses.page.authority")
    monkeypatch.setattr(doors, "own_address", lambda: "192.0.2.77")
    monkeypatch.setattr(doors, "_listening", lambda host, port: socket.create_server(("127.0.0.1", 0)))
    alone = closed(open_to_the_network())
    assert alone.secure is None
    assert [str(each) for each in why(alone)] == ["192.0.2.77 is no address of a local network"]


def test_an_address_can_only_be_another_where_it_is_shared(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["thread", "first-evening", "--page", "--new-address", "--plain", "--mute", "--deaf"]) == 2
    assert capsys.readouterr().err == "heddlecall: --new-address goes with --share\n"


def test_without_a_network_sharing_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(doors, "own_address", OWN_ADDRESS)
    monkeypatch.setattr(doors, "ELSEWHERE", ("255.255.255.255", 9))  # which may not be asked for so
    with pytest.raises(DeviceMissing, match="no local network was found; connect to it, or use --page"):
        open_to_the_network()


def test_a_page_is_reached_from_this_machine_only_and_a_shared_one_from_the_network(tmp_path: Path) -> None:
    try:
        host = OWN_ADDRESS()
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


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere this machine has one address of its own")
def test_a_port_that_another_program_has_on_this_machine_is_no_hindrance(monkeypatch: pytest.MonkeyPatch) -> None:
    """The port that is free in the network is taken here, several times; then another is asked for."""
    monkeypatch.setattr(doors, "own_address", lambda: "127.0.0.2")
    taken: list[socket.socket] = []
    listening = doors._listening

    def in_the_way(host: str, port: int) -> socket.socket:
        if host == doors.HERE and port and len(taken) < 3:
            taken.append(listening(host, port))
        return listening(host, port)

    monkeypatch.setattr(doors, "_listening", in_the_way)
    opened = open_to_the_network()
    assert len(taken) == 3
    assert opened.door.port not in {each.getsockname()[1] for each in taken}
    closed(opened)
    for each in taken:
        each.close()
