"""What a weaver did and taught is for her eyes only, whatever umask she has, and from the first byte on."""

import os
import stat
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from at_the_page import SHORT_WARP
from weaver import record

from assistant import folders
from assistant.errors import FolderError
from assistant.files import private_by_default, usual_umask, write_whole
from assistant.senses.mouth.clips import Shelf
from assistant.session.journal import Journal

pytestmark = pytest.mark.skipif(os.name != "posix", reason="Windows has no such rights")

RUN = """
import os, sys
os.umask(int(sys.argv[1], 8))
from assistant.cli import main
sys.exit(main(sys.argv[2:]))
"""
SHARING = """
from assistant.senses.page import door
door.own_address = lambda: "127.0.0.1"
"""  # in a network that is this machine


def home(folder: Path) -> dict[str, str]:
    """The environment of a weaver who keeps everything below this folder."""
    places = {
        "XDG_CACHE_HOME": "cache",
        "XDG_CONFIG_HOME": "config",
        "XDG_DATA_HOME": "share",
        "HEDDLECALL_DATA": "data",
    }
    return {**os.environ, "HOME": str(folder), **{name: str(folder / place) for name, place in places.items()}}


def run(umask: str, folder: Path, *words: str | Path, typed: str = "", at: str = "") -> None:
    """`at` is done before."""
    command = [sys.executable, "-c", at + RUN, umask, *map(str, words)]
    done = subprocess.run(command, env=home(folder), input=typed, text=True, capture_output=True, check=False)
    assert done.returncode in (0, 1), done.stderr


def open_to_others(folder: Path) -> list[str]:
    """Everything below it that another user may read or write, with its rights."""
    return [
        f"{path.relative_to(folder)} {stat.S_IMODE(path.lstat().st_mode):o}"
        for path in (folder, *folder.rglob("*"))
        if path.lstat().st_mode & 0o077 and not path.is_symlink()
    ]


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A word, as it was recorded."""
    pytest.importorskip("hibari", reason="the weaver's voice is not installed")
    return record(tmp_path_factory.mktemp("said"), {"next": "next"})


@pytest.mark.parametrize("umask", ["0", "022"])
def test_nobody_else_can_read_what_a_sitting_a_lesson_a_rehearsal_and_the_log_leave(
    umask: str, tmp_path: Path, said: Path
) -> None:
    given, kept = tmp_path / "given", tmp_path / "kept"
    given.mkdir()
    kept.mkdir(0o700)
    file = given / "short.yaml"
    file.write_text(SHORT_WARP, encoding="utf-8")
    run(umask, kept, "thread", file, "--page", "--plain", "--deaf", "--mute", typed="n\nn\nq\n")
    run(umask, kept, "thread", file, "--share", "--plain", "--deaf", "--mute", typed="q\n", at=SHARING)
    run(umask, kept, "teach", "--from", said, "--weaver", "Aino")
    run(umask, kept, "rehearse", file)
    run(umask, kept, "note", "wound twice")
    run(umask, kept, "log", "--report", given / "report.html", "--csv", given / "rows.csv")
    run(umask, kept, "speak", "seven", "--out", given / "seven.wav")
    left = {path.name for path in kept.rglob("*")}
    assert {"journal.sqlite3", "Aino.npz", "clips", "authority.pem", "page.pem", "address.yaml"} <= left
    assert open_to_others(kept) == []
    usual = 0o666 & ~int(umask, 8)
    for asked_for in ("report.html", "rows.csv", "seven.wav"):
        assert stat.S_IMODE((given / asked_for).stat().st_mode) == usual


def test_the_journal_and_what_sqlite_lays_beside_it_are_private_while_they_are_open(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        with (
            private_by_default(),
            Journal(tmp_path / "kept" / "journal.sqlite3") as journal,
            journal.hold(tmp_path / "scarf.yaml", "thread", "this window"),
        ):
            assert len(list((tmp_path / "kept").iterdir())) == 5  # journal, -wal, -shm, lock and window
            assert open_to_others(tmp_path / "kept") == []
    finally:
        os.umask(before)


def test_what_was_left_open_before_is_closed_by_the_next_command(tmp_path: Path) -> None:
    env = home(tmp_path)
    files = [
        Path(env["HEDDLECALL_DATA"], "journal.sqlite3-old"),
        Path(env["HEDDLECALL_DATA"], "weavers", "Aino.npz"),
        Path(env["HEDDLECALL_DATA"], "share", "authority.pem"),
        Path(env["XDG_CACHE_HOME"], "heddlecall", "clips", "a.flac"),
        Path(env["XDG_CONFIG_HOME"], "heddlecall", "pedal.yaml"),
    ]
    for file in files:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(b"kept")
        file.chmod(0o644)
    hers = Path(env["HEDDLECALL_DATA"], "scarf.yaml")
    hers.write_text(SHORT_WARP, encoding="utf-8")
    hers.chmod(0o644)
    run("022", tmp_path, "models")
    for file in files:
        assert [each for each in open_to_others(file.parent) if "scarf" not in each] == []
        assert file.read_bytes() == b"kept"
    assert stat.S_IMODE(hers.stat().st_mode) == 0o644


def test_a_journal_that_others_could_read_is_closed_when_it_is_opened(tmp_path: Path) -> None:
    path = tmp_path / "kept" / "journal.sqlite3"
    Journal(path).__exit__()
    path.parent.chmod(0o700)
    path.chmod(0o644)
    with Journal(path):
        assert open_to_others(path.parent) == []


def test_a_link_is_followed_by_nothing_that_closes(tmp_path: Path) -> None:
    other = tmp_path / "sequence.yaml"
    other.write_bytes(b"")
    other.chmod(0o644)
    folder = tmp_path / "kept"
    folder.mkdir(0o755)
    (folder / "journal.sqlite3").symlink_to(other)
    folders.own(folder)
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE(other.stat().st_mode) == 0o644


def test_a_folder_that_is_for_all_is_refused_and_stays_so(tmp_path: Path) -> None:
    shared = tmp_path / "tmp"
    shared.mkdir()
    shared.chmod(0o1777)
    with pytest.raises(FolderError, match="is a folder for all users; make one of your own in it"):
        Journal(shared / "journal.sqlite3")
    assert stat.S_IMODE(shared.stat().st_mode) == 0o1777
    assert list(shared.iterdir()) == []


ANOTHER = 65534
AS_ROOT = pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root can give files away")


@AS_ROOT
@pytest.mark.parametrize("planted", ["folder", "link"])
def test_a_folder_that_another_user_put_there_is_refused(planted: str, tmp_path: Path) -> None:
    folder, aim = tmp_path / "heddlecall", tmp_path / "of-hers"
    aim.mkdir(0o755)
    if planted == "folder":
        folder.mkdir()
    else:
        folder.symlink_to(aim)
    os.chown(folder, ANOTHER, ANOTHER, follow_symlinks=False)
    with pytest.raises(FolderError, match="heddlecall belongs to another user; move it away, or give HEDDLECALL_DATA"):
        Journal(folder / "journal.sqlite3")
    assert list(folder.iterdir()) == []
    assert stat.S_IMODE(aim.stat().st_mode) == 0o755


@AS_ROOT
def test_no_clip_is_taken_from_a_folder_of_another_user(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path / "clips", "engine", "voice")
    clip = np.full(4800, 0.1, np.float32)
    shelf.keep("even", 175, clip)
    assert shelf.find("even", 175) is not None
    os.chown(tmp_path / "clips", ANOTHER, ANOTHER)
    assert shelf.find("even", 175) is None
    shelf.keep("odd", 175, clip)
    assert len(list((tmp_path / "clips").iterdir())) == 1


def test_a_program_that_installs_for_others_has_the_umask_that_was_usual() -> None:
    before = os.umask(0o022)
    try:
        assert usual_umask() == -1
        with private_by_default(), private_by_default():
            assert usual_umask() == 0o022
        assert os.umask(0o022) == 0o022
    finally:
        os.umask(before)


def test_a_file_asked_for_by_name_is_readable_as_others_of_hers(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        with private_by_default():
            write_whole(tmp_path / "card.html", b"card")
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "card.html").stat().st_mode) == 0o640
