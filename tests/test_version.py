"""What `heddlecall --version` tells, and that it breaks nowhere."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from assistant import version

ROOT = Path(__file__).parent.parent
NOBODY = ("-c", "user.name=nobody", "-c", "user.email=nobody@localhost")


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """With one commit."""
    (tmp_path / "draft").write_text("1 2 3 4")
    for words in (("init", "-q"), ("add", "."), (*NOBODY, "commit", "-q", "-m", "a draft")):
        subprocess.run(["git", *words], cwd=tmp_path, check=True)
    return tmp_path


def head(checkout: Path) -> str:
    asked = ["git", "rev-parse", "HEAD"]
    return subprocess.run(asked, cwd=checkout, capture_output=True, text=True, check=True).stdout[:12]


def test_a_checkout_tells_its_commit_and_that_it_was_changed(checkout: Path) -> None:
    assert version.commit(checkout) == head(checkout)
    (checkout / "draft").write_text("4 3 2 1")
    assert version.commit(checkout) == f"{head(checkout)}, changed"


def test_a_built_package_tells_the_commit_that_was_written(checkout: Path) -> None:
    (checkout / "assistant").mkdir()
    (checkout / "assistant" / version.WRITTEN).write_text("0123456789ab\n")
    assert version.commit(checkout) == "0123456789ab"


def test_a_repository_around_is_none_of_ours(checkout: Path) -> None:
    (checkout / "inner").mkdir()
    assert version.commit(checkout / "inner") == ""


def test_without_git_there_is_no_commit(checkout: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    assert version.commit(checkout) == ""


@pytest.mark.skipif(not (ROOT / "pyproject.toml").exists(), reason="no checkout")
def test_the_version_is_that_of_the_project(tmp_path: Path) -> None:
    asked = [sys.executable, "-m", "assistant", "--version"]
    done = subprocess.run(
        asked, env={**os.environ, "PYTHONPATH": str(ROOT)}, cwd=tmp_path, capture_output=True, text=True, check=True
    )
    stated = next(line for line in (ROOT / "pyproject.toml").read_text().splitlines() if line.startswith("version = "))
    assert done.stdout.split()[0] == stated.split('"')[1]
    assert done.stderr == ""
