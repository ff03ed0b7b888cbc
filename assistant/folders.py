"""Where what a weaver did and taught is kept, for this user's eyes only."""

import os
import stat
import sys
from contextlib import suppress
from pathlib import Path

import platformdirs

from assistant.errors import FolderError

NAME = "heddlecall"
PRIVATE = 0o700  # rights of a folder
OTHERS = 0o077  # the rights of everybody else
OURS = (
    "journal.sqlite3*",
    "journal-before-*",
    "sitting-*",
    "pedal.yaml",
    "address.*",
    "authority.pem",
    "page.pem",
    "settings.*",
    "*.npz",
    "*.flac",
    "*.log",
    "*.jsonl",
)  # a weaver may keep files of hers beside them


def data() -> Path:
    """HEDDLECALL_DATA, or the user's data folder."""
    return Path(os.environ.get("HEDDLECALL_DATA") or platformdirs.user_data_dir(NAME))


def settings() -> Path:
    """The user's configuration folder."""
    return Path(platformdirs.user_config_dir(NAME))


def cache() -> Path:
    """What can be made again."""
    return platformdirs.user_cache_path(NAME, appauthor=False)


def own(folder: Path) -> Path:
    """The same folder, made where it is not there, its parents too, and closed to others with what is ours in it.

    Raises FolderError where another user put it there, or a link in its place, or it is for all users; OSError.
    """
    for missing in reversed([each for each in (folder, *folder.parents) if not each.exists()]):
        missing.mkdir(PRIVATE, exist_ok=True)
    if for_all(folder):
        what = "{folder} is a folder for all users; make one of your own in it, and give HEDDLECALL_DATA that"
        raise FolderError(what, folder=folder)
    if of_another(folder):
        raise FolderError(
            "{folder} belongs to another user; move it away, or give HEDDLECALL_DATA a folder of your own",
            folder=folder,
        )
    _close(folder)
    return folder


def close_all() -> None:
    """Close what is there from before, in all our folders, to others; what cannot be closed is left."""
    for root in (data(), settings(), cache()):
        for folder in (
            root,
            root / "weavers",
            root / "models",
            root / "voices",
            root / "clips",
            root / "logs",
            root / "writing",
            root / "share",
        ):
            with suppress(OSError):
                if not of_another(folder):
                    _close(folder)


def tighten(file: Path) -> None:
    """Take the rights of others from a file or a folder of this user's; no link is followed."""
    with suppress(OSError):  # gone meanwhile, another's, or a disk that knows no rights
        found = file.lstat()
        if found.st_mode & OTHERS and not stat.S_ISLNK(found.st_mode):
            file.chmod(stat.S_IMODE(found.st_mode) & ~OTHERS)


def of_another(folder: Path) -> bool:
    """Whether neither this user nor the system put it there, or where a link leads; or it is for all, as /tmp."""
    if sys.platform == "win32":
        return False
    return for_all(folder) or any(each.st_uid not in (0, os.geteuid()) for each in (folder.lstat(), folder.stat()))


def for_all(folder: Path) -> bool:
    """Whether whoever likes may put files there, as in /tmp."""
    return sys.platform != "win32" and any(each.st_mode & stat.S_ISVTX for each in (folder.lstat(), folder.stat()))


def _close(folder: Path) -> None:
    """A folder that others can look into, and the files of ours in it; one that is closed is not gone through."""
    if sys.platform != "win32" and folder.stat().st_mode & OTHERS:
        for file in (file for names in OURS for file in folder.glob(names)):
            tighten(file)
        with suppress(OSError):
            folder.chmod(PRIVATE)
