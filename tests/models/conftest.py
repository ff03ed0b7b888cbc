"""Models go to a folder of the test's own, and come from a server of the test's own."""

from collections.abc import Iterator
from pathlib import Path

import platformdirs
import pytest
from model_server import Server, serving

from assistant.senses.ear import opening


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's folder of models, not yet made; no other is looked into."""
    monkeypatch.setenv("NO_PROXY", "localhost")
    monkeypatch.setattr(platformdirs, "user_data_dir", lambda name: str(tmp_path / name))
    monkeypatch.setattr(opening, "_CHECKOUT", tmp_path / "no checkout")
    return tmp_path / "heddlecall" / "models"


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    with serving(tmp_path) as server:
        yield server
