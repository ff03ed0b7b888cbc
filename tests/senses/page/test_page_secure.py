"""The encrypted door: its certificate, judged by Python's ssl, by the library that made it and by openssl."""

import shutil
import socket
import ssl
import subprocess
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path

import pytest
from at_the_page import CALLING, Answers, Shared, done, got, hand, inside, joined
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError
from forging import forged, general
from waiting import wait
from websockets.exceptions import ConnectionClosed, InvalidStatus

from assistant.errors import DeviceMissing
from assistant.senses.page import authority as making
from assistant.senses.page.authority import AUTHORITY, LEAF, certified, download, fingerprint

NOW = datetime.now(UTC)


def certificate(file: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate(file.read_bytes())


def test_the_page_is_there_encrypted_and_in_the_open(shared: Shared, answers: Answers) -> None:
    answer = got(shared.door, inside(shared.door), trust=shared.trust)
    assert answer.status == 200
    assert got(shared.page.door, inside(shared.page.door)).status == 200
    with joined(shared.door, trust=shared.trust) as ours:
        ours.send(done(CALLING.step, "next"))
        assert wait(lambda: answers.taken)


def test_who_does_not_know_the_authority_is_warned(shared: Shared) -> None:
    with pytest.raises(ssl.SSLCertVerificationError):
        got(shared.door, inside(shared.door), trust=ssl.create_default_context())


def test_what_is_kept_fits_in_no_open_door(shared: Shared) -> None:
    """Where it could be overheard; and nothing that goes through one holds it."""
    kept, own = shared.door.keys
    for key in (kept.hand, kept.eye):
        assert got(shared.page.door, inside(shared.page.door, key=key)).status == 404
        with pytest.raises(InvalidStatus), joined(shared.page.door, key=key):
            pass
    told = [got(shared.page.door, inside(shared.page.door, path)) for path in ("/", "/hand.svg", "/eye.svg")]
    secrets = [secret for key in (kept.hand, kept.eye) for secret in (key.word, key.proof)]
    assert not any(secret in answer.text for answer in told for secret in secrets)  # type: ignore[attr-defined]
    assert got(shared.door, inside(shared.door, key=own.hand), trust=shared.trust).status == 200
    assert got(shared.page.door, inside(shared.page.door, "/authority.crt")).status == 404


def test_the_authority_is_given_out_at_the_encrypted_door(shared: Shared) -> None:
    answer = got(shared.door, inside(shared.door, "/authority.crt"), trust=shared.trust)
    assert answer.getheader("content-type") == "application/x-x509-ca-cert"
    given = x509.load_der_x509_certificate(answer.content)  # type: ignore[attr-defined]
    assert fingerprint(given) == shared.page.entrance.fingerprint
    assert download(given) == shared.page.entrance.authority


def test_a_key_to_look_with_shows_all_and_takes_nothing(shared: Shared, answers: Answers) -> None:
    eye = shared.door.keys[0].eye
    page = got(shared.door, inside(shared.door, key=eye), trust=shared.trust).text  # type: ignore[attr-defined]
    assert "looks-only" in page
    assert hand(shared.door).word not in page
    assert hand(shared.door).proof not in page
    for path in ("/hand.svg", "/eye.svg"):
        assert got(shared.door, inside(shared.door, path, eye), trust=shared.trust).status == 404
        assert got(shared.door, inside(shared.door, path), trust=shared.trust).status == 200
    with joined(shared.door, key=eye, trust=shared.trust) as looking:
        while '"now":{' not in str(looking.recv(timeout=20)):
            pass
        looking.send(done(CALLING.step, "next"))
        with pytest.raises(ConnectionClosed):
            all(looking.recv(timeout=20) for _ in range(10))
    assert answers.taken == []


def test_who_sits_at_the_page_finds_a_place_whoever_looks(shared: Shared) -> None:
    """Of sixteen places twelve may be taken by those who only look; whoever comes too late is told."""
    eye = shared.door.keys[0].eye
    with ExitStack() as places:

        def come(looks: bool) -> str:
            came = places.enter_context(joined(shared.door, key=eye if looks else None, trust=shared.trust))
            try:
                return str(came.recv(timeout=20))
            except ConnectionClosed as gone:
                return str(gone)

        shared.page._joining = {True: _Any(), False: _Any()}  # type: ignore[dict-item]
        assert "now" in [come(True) for _ in range(12)][-1]
        assert "1013" in come(True)
        assert "now" in [come(False) for _ in range(4)][-1]
        assert "1013" in come(False)


class _Any:
    def spend(self) -> float:
        return 0.0


def test_files_are_for_this_user_alone_and_are_kept(shared: Shared) -> None:
    kept = {file.name: file.stat().st_mode & 0o777 for file in shared.folder.iterdir()}
    assert {AUTHORITY, LEAF, "address.yaml"} <= set(kept)
    assert set(kept.values()) == {0o600}
    before = {name: (shared.folder / name).read_bytes() for name in (AUTHORITY, LEAF)}
    certified("127.0.0.2", shared.folder)
    assert {name: (shared.folder / name).read_bytes() for name in before} == before


def test_idle_callers_keep_nobody_out_of_the_encrypted_door(shared: Shared) -> None:
    """Neither those that never begin to encrypt nor those that say something else."""
    with ExitStack() as callers:
        for number in range(100):
            caller = callers.enter_context(socket.create_connection(("127.0.0.2", shared.door.port), timeout=20))
            if number % 2:
                caller.sendall(b"GET / HTTP/1.1\r\n\r\n")
        assert got(shared.door, inside(shared.door), trust=shared.trust).status == 200
        assert wait(lambda: len(shared.page._server._greeted) <= 32)


def test_at_the_end_all_are_told_though_one_is_just_leaving(shared: Shared) -> None:
    """It said that it leaves, and does not close its side, for which an encrypted connection waits a while."""
    door = shared.door
    with (
        joined(door, trust=shared.trust) as stays,
        socket.create_connection((door.host, door.port), timeout=20) as plain,
        shared.trust.wrap_socket(plain, server_hostname=door.host) as leaves,
    ):
        asking = {
            "Host": f"{door.host}:{door.port}", "Origin": f"https://{door.host}:{door.port}",
            "Connection": "Upgrade", "Upgrade": "websocket", "Sec-WebSocket-Version": "13",
            "Sec-WebSocket-Key": "AAAAAAAAAAAAAAAAAAAAAA==",
        }  # fmt: skip
        head = "".join(f"{name}: {value}\r\n" for name, value in asking.items())
        leaves.sendall(f"GET {inside(door, '/live')} HTTP/1.1\r\n{head}\r\n".encode())
        assert b"101" in leaves.recv(100)
        leaves.sendall(b"\x88\x82\0\0\0\0\x03\xe9")  # a frame that closes, with the code of one that leaves
        assert wait(lambda: len(shared.page._clients) == 1)
        shared.page.close()
        with pytest.raises(ConnectionClosed) as closed:
            all(stays.recv(timeout=20) for _ in range(10))
    assert closed.value.rcvd
    assert closed.value.rcvd.code == 1012


def test_certificates_are_of_the_lengths_that_browsers_take(tmp_path: Path) -> None:
    """At most 397 days for a page: Baseline Requirements of the CA/Browser Forum, 6.3.2."""
    certified("192.168.7.9", tmp_path)
    leaf = certificate(tmp_path / LEAF)
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc <= timedelta(days=397)
    names = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert list(names) == [x509.IPAddress(ip_address("192.168.7.9"))]


def test_a_certificate_is_renewed_in_time_and_when_the_address_is_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def serial(host: str, days: int) -> tuple[int, int]:
        class Then(datetime):
            @classmethod
            def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
                return NOW + timedelta(days=days)

        monkeypatch.setattr(making, "datetime", Then)
        certified(host, tmp_path)
        return certificate(tmp_path / LEAF).serial_number, certificate(tmp_path / AUTHORITY).serial_number

    first = serial("10.0.0.1", 0)
    assert serial("10.0.0.1", 300) == first
    moved = serial("10.0.0.2", 300)
    assert (moved[0] == first[0], moved[1]) == (False, first[1])
    late = serial("10.0.0.2", 680)
    assert (late[0] == moved[0], late[1]) == (False, first[1])
    assert serial("10.0.0.2", 3600)[1] != first[1]


def test_a_damaged_certificate_is_made_anew_and_a_damaged_authority_told_of(tmp_path: Path) -> None:
    certified("10.0.0.1", tmp_path)
    (tmp_path / LEAF).write_bytes(b"nothing")
    certified("10.0.0.1", tmp_path)
    assert certificate(tmp_path / LEAF)
    (tmp_path / AUTHORITY).write_bytes((tmp_path / LEAF).read_bytes()[:200])
    with pytest.raises(DeviceMissing, match=r"authority\.pem holds no authority; delete it, and another is made"):
        certified("10.0.0.1", tmp_path)


@pytest.mark.parametrize("host", ["192.0.2.1", "8.8.8.8", "172.32.0.1", "100.64.0.1"])
def test_no_certificate_is_made_for_an_address_of_the_internet(tmp_path: Path, host: str) -> None:
    with pytest.raises(DeviceMissing, match="is no address of a local network"):
        certified(host, tmp_path)


ALLOWED = ("10.1.2.3", "172.16.0.9", "192.168.1.1", "127.0.0.1", "169.254.3.4", "fd00::1", "loom.local")
REFUSED = ("8.8.8.8", "192.0.2.1", "172.32.0.1", "2001:db8::1", "loom.example", "local.example")


@pytest.mark.parametrize("name", [*ALLOWED, *REFUSED])
def test_the_authority_vouches_for_local_names_only(tmp_path: Path, name: str) -> None:
    """Judged by a verifier of cryptography's and by openssl."""
    _, leaf = forged(tmp_path, name)
    root = certificate(tmp_path / AUTHORITY)
    asked = general(name)
    assert isinstance(asked, x509.DNSName | x509.IPAddress)
    verifier = PolicyBuilder().store(Store([root])).time(NOW).build_server_verifier(asked)
    try:
        verifier.verify(leaf, [])
        allowed = True
    except VerificationError:
        allowed = False
    assert allowed == (name in ALLOWED)
    if program := shutil.which("openssl"):
        for file, content in (("root.pem", root), ("leaf.pem", leaf)):
            (tmp_path / file).write_bytes(content.public_bytes(Encoding.PEM))
        command = [program, "verify", "-purpose", "sslserver", "-CAfile", "root.pem", "leaf.pem"]
        said = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
        assert (said.returncode == 0) == (name in ALLOWED), said.stderr
        assert name in ALLOWED or "permitted subtree violation" in said.stdout + said.stderr
