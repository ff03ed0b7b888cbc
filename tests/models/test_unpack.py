"""A zip may hold anything; only a model comes out of it, and only where it should."""

import stat
from contextlib import suppress
from pathlib import Path
from shutil import rmtree
from zipfile import ZipInfo

import pytest
from zips import FILES, NAME, bomb, kept, packed

from assistant import zips
from assistant.errors import ModelError
from assistant.models import unpack as unpacking
from assistant.models.unpack import unpack


@pytest.fixture
def target(tmp_path: Path) -> Path:
    (tmp_path / "models").mkdir()
    return tmp_path / "models" / NAME


def zipped(target: Path, content: bytes) -> Path:
    file = target.parents[1] / "fetched.zip"
    file.write_bytes(content)
    return file


def special(name: str, mode: int) -> ZipInfo:
    member = ZipInfo(name)
    member.create_system, member.external_attr = 3, mode << 16
    return member


@pytest.mark.parametrize("inside", ["", f"{NAME}/", "package/model/"])
def test_a_model_is_found_wherever_it_lies_in_the_zip(target: Path, inside: str) -> None:
    files = {name.replace(f"{NAME}/", inside): content for name, content in FILES.items()}
    unpack(zipped(target, packed({**files, "read me.txt": b"and more"})), target)
    assert (target / "am" / "final.mdl").read_bytes() == FILES[f"{NAME}/am/final.mdl"]
    assert kept(target.parent)[:2] == [NAME, f"{NAME}/am"]


@pytest.mark.parametrize(
    "name",
    [
        "../outside",
        f"{NAME}/../../outside",
        "/outside",
        "//outside",
        "C:/outside",
        "..\\outside",
        "a\\..\\..\\b",
        ".",
        "..",
    ],
)
def test_nothing_is_written_outside(target: Path, name: str) -> None:
    before = kept(target.parents[1])
    file = zipped(target, packed({**FILES, name: b"escaped"}))
    with pytest.raises(ModelError, match="would write outside its folder"):
        unpack(file, target)
    assert kept(target.parents[1]) == ["fetched.zip", *before]
    assert not Path("/outside").exists()


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFCHR, stat.S_IFIFO, stat.S_IFSOCK])
def test_a_link_or_a_device_is_refused(target: Path, kind: int) -> None:
    link = special(f"{NAME}/graph", kind | 0o777)
    with pytest.raises(ModelError, match="holds a link or a device"):
        unpack(zipped(target, packed(FILES, (link, b"/etc"))), target)
    assert kept(target.parent) == []


def test_a_bomb_is_refused_by_what_it_tells(target: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(unpacking, "LARGEST", 20_000_000)
    content = bomb(24 << 20)
    assert len(content) < 50_000
    with pytest.raises(ModelError, match="would unpack to 25 MB, more than the 20 MB allowed"):
        unpack(zipped(target, content), target)
    assert kept(target.parent) == []


def test_a_bomb_that_lies_about_its_size_gets_no_further_than_the_lie(target: Path) -> None:
    size = 8 << 20
    content = bomb(size).replace(size.to_bytes(8, "little"), (100).to_bytes(8, "little"))
    content = content.replace(size.to_bytes(4, "little"), (100).to_bytes(4, "little"))
    with pytest.raises(ModelError, match="no zip file, or a broken one"):
        unpack(zipped(target, content), target)
    assert kept(target.parent) == []


def test_too_many_files_are_refused(target: Path) -> None:
    with pytest.raises(ModelError, match="holds 1003 files, more than the 1000"):
        unpack(zipped(target, packed({**FILES, **{f"{NAME}/{i}": b"" for i in range(1001)}})), target)


@pytest.mark.parametrize("twice", [f"{NAME}/conf/mfcc.conf", f"{NAME}/conf", f"{NAME}/am/final.mdl/more"])
@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_two_files_of_one_name_are_refused(target: Path, twice: str) -> None:
    with pytest.raises(ModelError, match="no zip file, or a broken one"):
        unpack(zipped(target, packed(FILES, (ZipInfo(twice), b"again"))), target)
    assert kept(target.parent) == []


@pytest.mark.parametrize("share", [0, 0.01, 0.5, 0.99])
def test_a_truncated_zip_leaves_nothing(target: Path, share: float) -> None:
    whole = packed(FILES)
    with pytest.raises(ModelError, match="no zip file, or a broken one"):
        unpack(zipped(target, whole[: int(len(whole) * share)]), target)
    assert kept(target.parent) == []


def test_a_damaged_byte_leaves_nothing(target: Path) -> None:
    damaged = bytearray(packed(FILES))
    damaged[5000] ^= 1
    with pytest.raises(ModelError, match="no zip file, or a broken one"):
        unpack(zipped(target, bytes(damaged)), target)
    assert kept(target.parent) == []


def test_whatever_byte_is_damaged_is_one_clear_line(target: Path) -> None:
    """Or does no harm: not all that a zip tells is needed."""
    whole = packed({name: content[:20] for name, content in FILES.items()})
    refused = 0
    for at in range(len(whole)):
        file = zipped(target, whole[:at] + bytes([whole[at] ^ 0xFF]) + whole[at + 1 :])
        with suppress(ModelError):
            unpack(file, target)
        refused += not target.exists()
        assert all(name.startswith(NAME) for name in kept(target.parent))
        rmtree(target, ignore_errors=True)
    assert refused > len(whole) / 3


@pytest.mark.parametrize("files", [{}, {"read me.txt": b"nothing"}, {**FILES, "b/final.mdl": b"", "b/conf/x": b""}])
def test_a_zip_must_hold_one_model(target: Path, files: dict[str, bytes]) -> None:
    with pytest.raises(ModelError, match="holds no vosk model, or more than one"):
        unpack(zipped(target, packed(files)), target)
    assert kept(target.parent) == []


def test_an_encrypted_zip_is_refused(target: Path) -> None:
    content = packed(FILES)
    at = content.index(b"PK\x01\x02") + 8  # the flags in the directory: APPNOTE.TXT 4.3.12
    with pytest.raises(ModelError, match="is encrypted"):
        unpack(zipped(target, content[:at] + b"\x01" + content[at + 1 :]), target)


def test_what_was_left_of_an_unpacking_that_was_killed_is_cleared_away(target: Path) -> None:
    left = target.with_name(".unpacking") / NAME / "am"
    left.mkdir(parents=True)
    (left / "half.mdl").write_bytes(b"half")
    unpack(zipped(target, packed(FILES)), target)
    assert not left.exists()
    assert not (target / "am" / "half.mdl").exists()


def test_a_bomb_within_the_allowed_size_is_refused_by_how_little_it_is_packed_in(target: Path) -> None:
    with pytest.raises(ModelError, match="would unpack to 25 MB, more than 20 times its own size"):
        unpack(zipped(target, bomb(24 << 20)), target)
    assert kept(target.parent) == []


def test_of_a_directory_that_claims_to_be_long_little_is_read(target: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A zip that is one directory of entries, each of them an object in memory once it is read."""
    monkeypatch.setattr(zips, "AT_ONCE", 70_000)
    many = packed({**FILES, **{f"{NAME}/{i}": b"" for i in range(1001)}})
    with pytest.raises(ModelError, match="no zip file, or a broken one"):
        unpack(zipped(target, many), target)
    assert kept(target.parent) == []


def test_files_that_lie_over_one_another_count_each(target: Path) -> None:
    """As in a zip whose directory names the same packed bytes many times."""
    once = bytearray(bomb(1 << 20))
    begin = once.index(b"PK\x01\x02")
    end = once.rindex(b"PK\x05\x06")
    entry = bytes(once[begin:end])
    many = [entry.replace(b"final.mdl", f"fin{n:02}.mdl".encode()) for n in range(30)]
    directory = b"".join(many)
    closing = bytearray(once[end:])
    closing[8:12] = len(many).to_bytes(2, "little") * 2
    closing[12:16] = len(directory).to_bytes(4, "little")
    with pytest.raises(ModelError, match="would unpack to 31 MB, more than 20 times its own size"):
        unpack(zipped(target, bytes(once[:begin]) + directory + bytes(closing)), target)
