"""Which version this is, and which commit; the one version stands in pyproject.toml. The build reads this file too."""

import subprocess
import tomllib
from importlib.metadata import PackageNotFoundError
from importlib.metadata import version as installed
from pathlib import Path

_PACKAGE = Path(__file__).parent
WRITTEN = "commit.txt"  # in a package that was built: the commit


def told() -> str:
    """As in "0.1.0 (dbdf9f1a2b3c)", or "0.1.0" where no commit is known; a checkout not as committed is ", changed"."""
    checkout = _PACKAGE.parent
    version = _of_checkout(checkout) or _of_installed()
    found = commit(checkout)
    return f"{version} ({found})" if found else version


def commit(checkout: Path) -> str:
    """What was written when the package in this folder was built, else what git says; "" where neither knows."""
    try:
        return (checkout / _PACKAGE.name / WRITTEN).read_text(encoding="ascii").strip()
    except (OSError, UnicodeDecodeError):
        return _by_git(checkout)


def _by_git(checkout: Path) -> str:
    """Of this folder's own repository, not of one around it."""
    if not (checkout / ".git").exists():
        return ""
    command = ["git", "-C", str(checkout), "describe", "--always", "--abbrev=12", "--exclude=*", "--dirty=, changed"]
    try:
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip()
    except (OSError, subprocess.CalledProcessError):  # no git, or no commit yet
        return ""


def _of_checkout(checkout: Path) -> str:
    try:
        project = tomllib.loads((checkout / "pyproject.toml").read_text(encoding="utf-8"))["project"]
        return str(project["version"]) if project["name"] == "heddlecall" else ""
    except (OSError, ValueError, KeyError):
        return ""


def _of_installed() -> str:
    try:
        return installed("heddlecall")
    except PackageNotFoundError:
        return "unknown"
